"""What the part list says of each part: its names, its groups, its instrument."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.theory.numbers import whole

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lxml.etree import _Element as Element

    from rewriter.scores.score import Part, Score

_MADE_UP: Final = re.compile(
    r"(?:musicxml )?(?:part|staff|stave|track|instrument|channel|unnamed|untitled|p)?[ .]*\d*",
    re.IGNORECASE,
)
"""Names that programs make up where nobody gave one."""
_SILENT_PROGRAM: Final = 1  # what is written where nobody chose an instrument
_FEW: Final = 2
_LONGEST: Final = 200
"""Characters of a name that are read."""


class PartEntry(NamedTuple):
    """What is said of a part; all of it may be empty.

    Attributes:
        names: in full, as listed and as printed.
        abbreviations: likewise.
        groups: names of the groups it is in, the closest first.
        sound: the standard's id of its first instrument, unless all parts have the same.
        instrument: name of that instrument, likewise.
        program: General MIDI, from 1, likewise; 0 where nobody chose one.
        clef: sign and line of the first clef, such as ``C3``.
    """

    names: tuple[str, ...]
    abbreviations: tuple[str, ...]
    groups: tuple[str, ...]
    sound: str
    instrument: str
    program: int
    clef: str


def part_entries(score: Score) -> list[PartEntry]:
    """What the part list says of each part, in score order."""
    groups = dict(_groups(score.header))
    entries = [_entry(part, groups.get(part.id, ())) for part in score.parts]
    if len(entries) <= _FEW:
        return entries
    if len({entry.sound for entry in entries}) == 1:
        entries = [entry._replace(sound="") for entry in entries]
    if len({entry.instrument for entry in entries}) == 1:
        entries = [entry._replace(instrument="") for entry in entries]
    if len({entry.program for entry in entries}) == 1:
        entries = [entry._replace(program=0) for entry in entries]
    return entries


def _entry(part: Part, groups: tuple[str, ...]) -> PartEntry:
    program = whole(part.entry.findtext("midi-instrument/midi-program") or "") or 0
    return PartEntry(
        _said(part.full_name, _printed(part.entry, "part-name-display")),
        _said(part.short_name, _printed(part.entry, "part-abbreviation-display")),
        groups,
        part.sound,
        " ".join((part.entry.findtext("score-instrument/instrument-name") or "").split()),
        0 if program <= _SILENT_PROGRAM else program,
        _first_clef(part),
    )


def _said(*texts: str) -> tuple[str, ...]:
    """Texts that somebody wrote, each once; numbers too, which mean something in a group."""
    return tuple(
        dict.fromkeys(text[:_LONGEST] for text in texts if text and not _made_up(text))
    )


def _made_up(text: str) -> bool:
    return not text.isdecimal() and bool(_MADE_UP.fullmatch(text))


def _printed(entry: Element, tag: str) -> str:
    texts = [text.text or "" for text in entry.iterfind(f"{tag}/display-text")]
    return " ".join("".join(texts).split())


def _groups(header: Element) -> Iterator[tuple[str, tuple[str, ...]]]:
    """The id of each part and the names of the groups it is in, the closest first."""
    opened: dict[str, str] = {}
    for child in header.iterfind("part-list/*"):
        number = child.get("number", "1")
        if child.tag == "part-group":
            opened.pop(number, None)
            if child.get("type") == "start":
                texts = (child.findtext("group-name"), child.findtext("group-abbreviation"))
                opened[number] = next((t for text in texts if (t := _row(text))), "")
        elif child.tag == "score-part":
            names = [name for name in reversed(opened.values()) if name]
            yield str(child.get("id")), tuple(names)


def _row(text: str | None) -> str:
    return " ".join((text or "").split())[:_LONGEST]


def _first_clef(part: Part) -> str:
    """Sign and line of its first clef; ``G2`` where it has none, as programs read it."""
    for bar in part.saying(b"<clef"):
        clef = part.tree(bar).find(".//clef")
        if clef is not None:
            sign = clef.findtext("sign") or "G"
            usual = {"F": "4", "C": "3"}.get(sign, "2")
            return f"{sign}{clef.findtext('line') or usual}"
    return "G2"
