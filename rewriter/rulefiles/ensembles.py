"""Ensembles: the sections there are, how they are called, what they can play."""

import re
from functools import cache
from typing import NamedTuple

import msgspec

from rewriter.rulefiles.words import ClefName, RegisterSet, Words
from rewriter.theory.dynamics import Strength

_ORDINALS = (
    "1 i one 1st first primo primi prima prime 1o 1mo 1mi 1ma erste ersten erster erstes "
    "1er 1ers 1re 1res 1ere 1eres premier premiers premiere premieres",
    "2 ii two 2nd 2nds 2d 2ds second seconds secondo secondi seconda seconde 2o 2do 2di 2da "
    "zweite zweiten zweiter zweites 2e 2es 2de 2des 2eme 2emes deuxieme deuxiemes",
    "3 iii three 3rd 3rds 3d third thirds terzo terzi terza terze 3o 3zo 3za "
    "dritte dritten dritter drittes 3e 3es 3eme 3emes troisieme troisiemes",
    "4 iv four 4th 4ths fourth fourths quarto quarti quarta quarte 4o 4to 4ta "
    "vierte vierten vierter viertes 4e 4es 4eme 4emes quatrieme quatriemes",
)  # without accents, as `unaccented` leaves them
_NUMBERS = {
    word: str(number) for number, words in enumerate(_ORDINALS, 1) for word in words.split()
}
_ROMAN_BEHIND = re.compile(r"(?P<stem>.*[^i])(?P<roman>i{1,3})")


class Figures(NamedTuple):
    """How well a register suits a tune, 0 to 1, by how strong the music is."""

    soft: float
    plain: float
    full: float

    def at(self, strength: Strength) -> float:
        """The figure for one strength."""
        if strength == "plain":
            return self.plain
        return self.soft if strength == "soft" else self.full


class Register(msgspec.Struct, frozen=True):
    """A band of a section's range, up to the next register or the top of the range.

    Attributes:
        name: such as ``tenor``.
        from_midi: lowest note, sounding (C4 = 60).
        fitness: for the tune.
        fitness_in_four_levels: in a layout of four or more levels, where that differs.
    """

    name: str
    from_midi: int
    fitness: Figures
    fitness_in_four_levels: Figures | None = None


class ClefUse(msgspec.Struct, frozen=True):
    """A clef and where a section uses it; the first of a section is its home clef.

    Attributes:
        clef: its name.
        sign: MusicXML <sign>.
        line: MusicXML <line>, from the bottom.
        above: taken when most of a slurred group lies above this note, sounding.
        back_below: left when most of a slurred group lies below this note, sounding.
    """

    clef: ClefName
    sign: str
    line: int
    above: int | None = None
    back_below: int | None = None


class Names(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a section is called in one language: one of it, all of it, in short."""

    singular: Words
    plural: Words
    abbreviation: Words


class LanguageNames(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a section is called, in every language there is."""

    en: Names
    it: Names
    de: Names
    fr: Names

    def of(self, language: str) -> Names:
        """Names in one language."""
        names: Names = getattr(self, language)
        return names

    @property
    def every(self) -> tuple[Names, ...]:
        """Names in all languages."""
        return self.en, self.it, self.de, self.fr


class Section(msgspec.Struct, frozen=True, kw_only=True):
    """A string section. All pitches are sounding MIDI numbers (C4 = 60).

    Attributes:
        key: its name, such as ``Vn I``; what reports and layouts say.
        names: in English, Italian, German and French.
        spellings: other ways to write it in a stack.
        players: how many play in it.
        strings: open strings, lowest first.
        lowest: lowest playable note, extension or fifth string included.
        low: lowest note of the range.
        high: highest note of the range.
        extreme: highest note playable by few.
        registers: lowest first.
        clefs: in order of preference.
        clef_stays_bars: how many bars a clef stays at least, where the music allows.
        clef_stays_notes: how many notes a clef stays at least.
        readable_leger_lines: a clef stays for less where a note would need more in another.
        clef_breaks_slur_beyond_leger_lines: a clef changes within a slur, at a barline or a
            rest, only where its notes need more in every clef.
        ottava_beyond_leger_lines: 8va where a group needs more; None for never.
        ottava_stays_bars: how many bars an 8va line lasts at least ...
        ottava_stays_notes: ... and how many written notes it covers then ...
        ottava_slur_notes: ... unless it covers so many under one slur.
        sound: MusicXML sound id.
        program: General MIDI, from 1.
        written_octave: octaves the written note stands above the sounding one.
        group: id of the bracket it stands in.
        language: the ensemble's; for names when none is asked for.
    """

    key: str
    names: LanguageNames
    spellings: tuple[str, ...]
    players: int
    strings: tuple[int, ...]
    lowest: int
    low: int
    high: int
    extreme: int
    registers: tuple[Register, ...]
    clefs: tuple[ClefUse, ...]
    clef_stays_bars: int = 2
    clef_stays_notes: int = 2
    readable_leger_lines: int = 4
    clef_breaks_slur_beyond_leger_lines: int = 5
    ottava_beyond_leger_lines: int | None = None
    ottava_stays_bars: int = 1
    ottava_stays_notes: int = 4
    ottava_slur_notes: int = 5
    sound: str
    program: int
    written_octave: int = 0
    group: str = "strings"
    language: str = "en"

    def full_name(self, language: str = "") -> str:
        """Its name, ``Violins I``; of one player ``Violin I``; in the ensemble's language."""
        names = self.names.of(language or self.language)
        return names.singular if self.players == 1 else names.plural

    def short_name(self, language: str = "") -> str:
        """Abbreviation, such as ``Vn I``; in the ensemble's language unless told."""
        return self.names.of(language or self.language).abbreviation


class Ensemble(msgspec.Struct, frozen=True, kw_only=True):
    """The list of sections, in score order.

    Attributes:
        name: what messages call it, such as ``symphonic``.
        title: for people.
        summary: one sentence.
        source: where its figures come from.
        language: of names on the page.
        sections: in score order.
        registers: by which set of them stacks are placed.
    """

    name: str
    title: str
    summary: str
    source: str
    language: str
    sections: tuple[Section, ...]
    registers: RegisterSet = "singing"

    def section(self, key: str) -> Section:
        """The section of this name.

        Raises:
            KeyError: there is none.
        """
        for section in self.sections:
            if section.key == key:
                return section
        raise KeyError(key)

    def find(self, name: str) -> tuple[Section, ...]:
        """Sections a spelling means; bare ``Vn`` means both violins; empty for none.

        Capitals, dots, hyphens and spaces do not matter, nor whether a number is Roman.
        """
        form = form_of(name)
        tries = [(form, _forms_of_section), (form, _bare_forms_of_section)]
        if roman := _ROMAN_BEHIND.fullmatch(form):
            tries.append((f"{roman['stem']}{len(roman['roman'])}", _forms_of_section))
        for wanted, forms in tries:
            found = tuple(section for section in self.sections if wanted in forms(section))
            if found:
                return found
        return ()

    def nearest(self, name: str) -> str | None:
        """Key of the section whose spelling comes nearest to a name; None for none."""
        from difflib import get_close_matches

        by_form: dict[str, str] = {}
        for section in self.sections:
            for spelling in _spellings(section):
                by_form.setdefault(form_of(spelling), section.key)
        near = get_close_matches(form_of(name), by_form, n=1, cutoff=0.6)
        return by_form[near[0]] if near else None


def form_of(name: str) -> str:
    """A section name without capitals, accents, dots, hyphens and spaces, its number last.

    >>> form_of("1st Violins"), form_of("Vl. II"), form_of("Vn-I"), form_of("Vc.")
    ('violins1', 'vl2', 'vn1', 'vc')
    """
    apart = re.sub(r"(?<=[a-z])(I{1,3})$", r" \1", name.strip())
    words = [word for word in re.split(r"[\s.-]+", unaccented(apart).lower()) if word]
    numbers = [_NUMBERS[word] for word in words if word in _NUMBERS]
    return "".join([word for word in words if word not in _NUMBERS] + numbers)


def number_said(word: str) -> str:
    """The figure a word of a name stands for, ``1`` to ``4``; empty for none.

    >>> number_said("premiers"), number_said("II."), number_said("Vn")
    ('1', '2', '')
    """
    return _NUMBERS.get(unaccented(word).lower().rstrip("."), "")


def unaccented(text: str) -> str:
    """A text without accents; umlauts, ordinal signs and Roman figures as plain letters."""
    if text.isascii():
        return text
    from unicodedata import combining, normalize

    apart = normalize("NFKD", text.replace("\N{DEGREE SIGN}", "o"))
    return "".join(sign for sign in apart if not combining(sign))


def _spellings(section: Section) -> tuple[str, ...]:
    in_languages = [
        spelling
        for names in section.names.every
        for spelling in (names.singular, names.plural, names.abbreviation)
    ]
    return section.key, *in_languages, *section.spellings


@cache
def _forms_of_section(section: Section) -> frozenset[str]:
    return frozenset(form_of(spelling) for spelling in _spellings(section))


@cache
def _bare_forms_of_section(section: Section) -> frozenset[str]:
    """Spellings without their number, which mean every section that shares them."""
    return frozenset(
        form[:-1] for form in _forms_of_section(section) if form[-1:] in set("1234")
    )
