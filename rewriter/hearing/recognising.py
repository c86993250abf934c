"""A part recognised by what is said of it alone."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from rewriter.hearing.families import family_named, family_of_program, family_of_sound
from rewriter.hearing.part_names import Named, named
from rewriter.rulefiles.ensembles import unaccented

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.hearing.families import Family
    from rewriter.hearing.part_entries import PartEntry
    from rewriter.rulefiles.ensembles import Ensemble, Section

KnownBy = Literal["name", "abbreviation", "group", "sound", "order", "told", ""]

_VOICE_TOO: Final = re.compile(
    r"(?:\d\.? ?)?(?:alt(?:os?|i)?|bass(?:[eio]|es)?)\.?(?: ?(?:\d|i{1,3})\.?)?", re.IGNORECASE
)
"""Names that a choir has too."""
_ANY_STRINGS: Final = re.compile(
    r"(?:strings?|archi|streicher|cordes|string (?:ensemble|orchestra|quartet|section))\W*\d*",
    re.IGNORECASE,
)
"""Names that say strings and not which."""


class Recognised(NamedTuple):
    """What one part says of its players.

    Attributes:
        read: sections, share, soloist.
        family: of the instrument; None where nothing says it.
        known_by: what said it.
        voice_too: True where the name may be a singer's as well.
    """

    read: Named = Named()
    family: Family | None = None
    known_by: KnownBy = ""
    voice_too: bool = False

    @property
    def sections(self) -> tuple[Section, ...]:
        """The sections it is taken for."""
        return self.read.sections


def recognise(entry: PartEntry, ensemble: Ensemble) -> Recognised:
    """By its name, its abbreviation, its group, and last by its instrument's sound."""
    best = Recognised()
    solo = any(named(group, ensemble).soloist for group in entry.groups)
    for known_by, text in _labels(entry):
        read = named(text, ensemble)
        solo = solo or read.soloist
        family: Family | None = "strings" if read.sections else family_named(text)
        if family is None:
            continue
        voice_too = known_by != "group" and bool(_VOICE_TOO.fullmatch(unaccented(text)))
        best = Recognised(read, family, known_by, voice_too)
        if not _ANY_STRINGS.fullmatch(unaccented(text)):
            break
    if not best.sections and (best.family is None or _only_strings(best, entry)):
        by_sound = _by_sound(entry, ensemble)
        if by_sound.sections or best.family is None:
            best = by_sound
    if best.voice_too and (heard := _by_sound(entry, ensemble)).family not in {None, "strings"}:
        best = heard
    return best._replace(read=best.read._replace(soloist=solo or best.read.soloist))


def _labels(entry: PartEntry) -> Iterator[tuple[KnownBy, str]]:
    for name in entry.names:
        yield "name", name
    for name in entry.abbreviations:
        yield "abbreviation", name
    own = (*entry.names, *entry.abbreviations, "")[0]
    for group in entry.groups:
        if own:
            yield "group", f"{group} {own}"
        yield "group", group


def _only_strings(found: Recognised, entry: PartEntry) -> bool:
    """True where all that is known is that it is some strings."""
    texts = (*entry.names, *entry.abbreviations)
    return found.family == "strings" and not any(
        family_named(text) and not _ANY_STRINGS.fullmatch(unaccented(text)) for text in texts
    )


def _by_sound(entry: PartEntry, ensemble: Ensemble) -> Recognised:
    """By the standard's sound id, the instrument's name, the General MIDI program."""
    found = tuple(one for one in ensemble.sections if one.sound == entry.sound)
    family = family_of_sound(entry.sound)
    if not found and (family is None or entry.sound == "strings.group"):
        found = named(entry.instrument, ensemble).sections
        family = family_named(entry.instrument) or family
    if not found and family is None:
        found = tuple(one for one in ensemble.sections if one.program == entry.program)
        family = family_of_program(entry.program)
    if found:
        return Recognised(Named(found, bare=len(found) > 1), "strings", "sound")
    return Recognised(family=family, known_by="sound" if family else "")
