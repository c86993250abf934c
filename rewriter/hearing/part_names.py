"""What the name of a part says: a section, a share of one, two sections, a soloist."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.rulefiles.ensembles import form_of, number_said, unaccented
from rewriter.theory.numbers import whole

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.rulefiles.ensembles import Ensemble, Section

_SOLO: Final = frozenset((
    "solo", "soli", "sola", "sole", "solos", "solist", "solisten", "solistin", "soloist",
    "soloists", "solista", "solisti", "soliste", "solistes", "principal", "principale",
    "prinzipal", "prinzipale", "concertante", "concertanti", "concertato", "konzertmeister",
    "konzertmeisterin", "concertmaster", "leader", "obbligato", "obligato", "obligat",
))  # fmt: skip
_SOLO_ATTACHED: Final = re.compile(r"(?:solo|prinzipal)(?=[a-z]{3})", re.IGNORECASE)
_OTHERS: Final = frozenset((
    "others", "rest", "altri", "gli", "ubrigen", "anderen", "die", "autres", "les",
    "ripieni", "ripieno", "ripienisti",
))  # fmt: skip
_DIVIDED: Final = frozenset((
    "div", "divided", "divisi", "divise", "divises", "divisees", "geteilt", "get",
))  # fmt: skip
_SAYING_NOTHING: Final = _DIVIDED | frozenset((
    "unis", "tutti", "alle", "tous", "section", "sections", "sect", "strings", "string",
    "str", "orchestra", "orch", "archi", "streicher", "cordes", "group", "players", "the",
    "in", "of", "der",
))  # fmt: skip
_DESK: Final = r"(?:desks?|stands?|pulte?|leggi[oi]|leggii|pupitres?)"
_DESKS: Final = re.compile(
    rf"\b{_DESK}\.?\s*(?P<first>\d+)(?:\s*[-\u2013&+]\s*(?P<last>\d+))?"
    rf"|\b(?P<ordinal>\d+)\s*(?:\.|st|nd|rd|th|er|e|eme|o)?\s*{_DESK}\b",
    re.IGNORECASE,
)
_BETWEEN: Final = frozenset(
    ("&", "+", "/", ",", ";", "e", "ed", "und", "u", "and", "et", "con", "with")
)
_FIRST_TO_SECOND: Final = re.compile(r"\b(1\s*[-\u2013]\s*2|I\s*[-\u2013]\s*II)\b")
_LETTERS: Final = frozenset("abcdef")
_LETTER_BEHIND: Final = re.compile(r"(?P<word>.*(?:\d|[a-z]I{1,3}|\bI{1,3}))(?P<letter>[a-f])")
_MOST_NUMBERED: Final = 4  # a higher number counts players, or their strings


class Named(NamedTuple):
    """What a name says.

    Attributes:
        sections: that it means, in score order; empty where it names none.
        share: such as ``a``, ``2``, ``desk 1``, ``others``, ``div.``; empty for the whole.
        soloist: True where it says that one player plays alone.
        one: True where it is in the singular and says no number: ``Violin``, ``Viola``.
        bare: True where it is without the number that tells the sections apart.
    """

    sections: tuple[Section, ...] = ()
    share: str = ""
    soloist: bool = False
    one: bool = False
    bare: bool = False


def named(text: str, ensemble: Ensemble) -> Named:
    """What a name says, in any of the ensemble's languages and spellings.

    Args:
        text: such as ``Violini I (div. a)`` or ``Vc. e Cb.``.
        ensemble: whose sections there are.
    """
    plain = _SOLO_ATTACHED.sub("solo ", unaccented(" ".join(text.split())))
    if found := ensemble.find(plain):
        return _whole(found, plain)
    rest, desks = _without_desks(plain)
    rest = _FIRST_TO_SECOND.sub(lambda both: re.sub(r"[-\u2013]", "&", both[0]), rest)
    words = _words(rest)
    soloist = any(word.casefold() in _SOLO for word in words)
    read = _joined(_sides(words), ensemble)
    if read is None and "(" in rest:  # what stands in brackets may be anything
        read = _joined(_sides(_words(re.sub(r"\([^)]*\)?", " ", rest))), ensemble)
    if read is None:
        return Named(soloist=soloist)
    return read._replace(soloist=soloist, share=desks or read.share)


def _words(text: str) -> list[str]:
    """A name cut into words and signs that join two names; dots and hyphens left out."""
    apart = re.sub(r"([&+/,;])", r" \1 ", text)
    return [word for word in re.split(r"[\s.\-\u2013:()\[\]'\u2019]+", apart) if word]


def _without_desks(text: str) -> tuple[str, str]:
    """The name without what it says of desks, and that in the words of stacks."""
    match = _DESKS.search(text)
    if match is None:
        return text, ""
    first, last = match["first"] or match["ordinal"], match["last"]
    said = f"desks {first}-{last}" if last and last != first else f"desk {first}"
    return f"{text[: match.start()]} {text[match.end() :]}", said


def _sides(words: Sequence[str]) -> list[list[str]]:
    """The names a name is joined of; one that is only a number has the other's words too."""
    sides: list[list[str]] = [[]]
    for word in words:
        if word.casefold() in _BETWEEN:
            sides.append([])
        else:
            sides[-1].append(word)
    sides = [side for side in sides if side]
    stem = [
        word
        for side in sides[:1] + sides[-1:]
        if not all(map(number_said, side))
        for word in side
        if not number_said(word)
    ]
    return [
        [*stem, *side] if len(sides) > 1 and all(map(number_said, side)) else side
        for side in sides
    ]


def _joined(sides: Sequence[Sequence[str]], ensemble: Ensemble) -> Named | None:
    """All of them together; None where one of them names no section."""
    read = [_one_name(side, ensemble) for side in sides]
    found = [one for one in read if one is not None]
    if not found or len(found) < len(read):
        return None
    if len(found) == 1:
        return found[0]
    meant = {section.key for one in found for section in one.sections}
    return Named(tuple(section for section in ensemble.sections if section.key in meant))


def _one_name(words: Iterable[str], ensemble: Ensemble) -> Named | None:
    """One section and a share of it; bare violins are both of them; None for none."""
    rest: list[str] = []
    shares: list[str] = []
    divided = False
    for word in words:
        folded = word.casefold()
        behind = _LETTER_BEHIND.fullmatch(word)
        if folded in _OTHERS:
            shares = ["others"]
        elif folded in _LETTERS and rest:
            shares.append(folded)
        elif behind:
            rest.append(behind["word"])
            shares.append(behind["letter"])
        elif folded not in _SAYING_NOTHING and folded not in _SOLO:
            rest.append(word)
        divided = divided or folded in _DIVIDED
    share = "".join(shares) or ("div." if divided else "")
    if found := ensemble.find(" ".join(rest)):
        return _whole(found, " ".join(rest))._replace(share=share)
    return _numbered(rest, share, ensemble)


def _numbered(words: list[str], share: str, ensemble: Ensemble) -> Named | None:
    """A section with a number that is not its own: a share, or how many players it has."""
    at = [place for place, word in enumerate(words) if number_said(word) or word.isdecimal()]
    if not at:
        return None
    place = at[-1]
    players = (whole(words[place]) or 0) > _MOST_NUMBERED
    rest = " ".join(words[:place] + words[place + 1 :])
    found = ensemble.find(rest)
    if not found or (len(found) > 1 and not (players and place == 0)):
        return None  # third violins are neither of the two
    if players:
        return _whole(found, rest)._replace(share=share)
    number = number_said(words[place]) or words[place]
    return Named(found, number + ("" if share == "div." else share))


def _whole(found: tuple[Section, ...], text: str) -> Named:
    return Named(found, one=_singular(text, found), bare=len(found) > 1)


def _singular(text: str, found: Sequence[Section]) -> bool:
    """True where a name is that of one instrument, in no language that of several."""
    form = form_of(text)
    every = [names for section in found for names in section.names.every]
    one = {form_of(names.singular).rstrip("1234") for names in every}
    several = {form_of(names.plural).rstrip("1234") for names in every}
    return form in one - several
