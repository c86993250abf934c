"""One part of one piece through one layout, and all that may be wrong with the result."""

import re
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

from lxml import etree

import rewriter
from rewriter.problems import Refused
from tests.outside.reference import (
    Heard,
    bar_lengths,
    heard_by_reference,
    heard_in_xml,
    part_ids,
    score_root,
    tune_bar_lengths,
)
from tests.outside.schema import faults
from tests.outside.spans import spanner_faults, voice_faults

SECTIONS = ("Vn I", "Vn II", "Vla", "Vc", "Db")
LAYOUTS = (
    "three-levels-middle-doubled",
    "Vn I + Vn II / half Vc",
    "Vn I loco // Vc + Db",
    "Vn I / Vn II / Vla / Vc / Db",
)
PARTICULARS = re.compile(r'"[^"]*"|\b[A-G][#b]*\d\b|\d+')
SUFFIXES = {".mxl", ".musicxml", ".xml"}


class Line(NamedTuple):
    """A part of a piece, or the first voice of its first staff, to be taken as the tune."""

    part: str
    staff: str | None
    voice: str | None
    tune: str


class Trouble(NamedTuple):
    """One thing found: what kind, where, and what was said."""

    kind: str
    place: str
    said: str


def pieces() -> list[Path]:
    """Every MusicXML file of music21's corpus, in order."""
    from music21 import corpus

    return sorted(path for path in map(Path, corpus.getPaths()) if path.suffix in SUFFIXES)


def lines_of(data: bytes) -> Iterator[Line]:
    """What of a piece can be a tune: each part that has a note."""
    for part in score_root(data).findall("part"):
        name = part.get("id", "")
        notes = [note for note in part.iter("note") if note.find("pitch") is not None]
        upper = [note for note in notes if note.findtext("staff", "1") == "1"]
        if not upper:
            continue
        voices = {note.findtext("voice", "1"): None for note in upper}
        staves = max((int(one.text or "1") for one in part.iter("staves")), default=1)
        staff = "1" if staves > 1 else None
        voice = next(iter(voices)) if len(voices) > 1 else None
        tune = (
            name + (f" staff {staff}" if staff else "") + (f" voice {voice}" if voice else "")
        )
        yield Line(name, staff, voice, tune)


class Piece(NamedTuple):
    """A piece with what is wrong with it to begin with."""

    path: Path
    data: bytes
    is_valid: bool

    @classmethod
    def read(cls, path: Path) -> "Piece":
        data = path.read_bytes()
        return cls(path, data, not faults(etree.tostring(score_root(data))))


def troubles(piece: Piece, line: Line, layout: str) -> Iterator[Trouble]:
    """What is wrong with the expansion of one line by one layout."""
    place = f"{piece.path.name} {line.tune} {layout}"
    made = attempt(lambda: rewriter.expand(piece.data, layout, tune=line.tune), place)
    if isinstance(made, Trouble):
        yield made
        return
    yield from _troubles_of(piece, line, made, place)


def attempt(
    expand: Callable[[], rewriter.Expansion], place: str
) -> rewriter.Expansion | Trouble:
    """An expansion, or why there is none."""
    try:
        return expand()
    except Refused as refused:
        said = re.sub(r'\d+|"[^"]*"|\b[A-G][#b]*\d\b', "*", str(refused))
        return Trouble("refused", place, said)
    except Exception as crash:  # noqa: BLE001 - that is what is looked for
        return Trouble("crash", place, repr(crash))


def _troubles_of(
    piece: Piece, line: Line, expansion: rewriter.Expansion, place: str
) -> Iterator[Trouble]:
    yield from written_troubles(piece, line, expansion, place)
    lengths = tune_bar_lengths(piece.data, line.part)
    tune = heard_in_xml(
        piece.data, line.part, staff=line.staff, voice=line.voice, chords="top", lengths=lengths
    )
    yield from _notes(tune, expansion, place)


def written_troubles(
    piece: Piece, line: Line, expansion: rewriter.Expansion, place: str, *, of_all: bool = False
) -> Iterator[Trouble]:
    """What is wrong with a score whatever it should sound like.

    Args:
        piece: the sketch.
        line: its tune.
        expansion: of it.
        place: for messages.
        of_all: True where other parts than the tune's are played too.
    """
    for found in faults(expansion.score):
        yield Trouble("invalid" if piece.is_valid else "input too: invalid", place, found)
    lengths = tune_bar_lengths(piece.data, line.part)
    parts = part_ids(piece.data) if of_all else [line.part]
    known = {_kind(fault) for part in parts for fault in spanner_faults(piece.data, part)}
    yield from _open_ends(known, expansion.score, place)
    for part in bar_lengths(expansion.score):
        if part != lengths:
            yield Trouble("bar of wrong length", place, str(part))


def _notes(tune: list[Heard], expansion: rewriter.Expansion, place: str) -> Iterator[Trouble]:
    """Notes that should sound and do not, and the other way round."""
    told = {key: Counter[Heard]() for key in SECTIONS}
    for one in expansion.report.lines:
        told[one.section] = Counter(n._replace(midi=n.midi + 12 * one.octave) for n in tune)
    for section, notes in zip(SECTIONS, heard_by_reference(expansion.score), strict=True):
        heard = Counter(notes)
        for kind, some in (
            ("note lost", told[section] - heard),
            ("note added", heard - told[section]),
        ):
            yield from (Trouble(kind, place, f"{section} {note}") for note in some.elements())


def _open_ends(before: set[str], score: bytes, place: str) -> Iterator[Trouble]:
    """Open ends of kinds the sketch does not have open, and unfilled voices."""
    for fault in spanner_faults(score):
        known = _kind(fault) in before
        kind = f"input too: {_kind(fault)}" if known else "open end"
        yield Trouble(kind, place, fault)
    yield from (Trouble("voice not full", place, fault) for fault in voice_faults(score))


def _kind(fault: str) -> str:
    """What is wrong, without where: ``slur never ends``."""
    said = fault.partition(": ")[2].partition(" since ")[0] or fault
    return " ".join(word for word in said.split() if not word.isdigit())
