"""Doublings of tunes against experts' marks and what a program of others made of them.

*OpenScore Orchestra* (scores CC0 1.0) with the *Hauptstimme* annotations (CC BY-SA): wherever
experts mark the main tune in a string section, the strings that their program says move with
it in unison or octaves, up to the next mark. It compares whole stretches, repeats unfolded.
"""

import csv
from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

from rewriter.hearing.doublings import Doubling, doublings_of
from rewriter.hearing.lines import Heard, HeardNote
from rewriter.scores.reading import Reading
from rewriter.scores.score import read_score
from rewriter.scores.unfolding import playing_order

ORCHESTRA = Path(__file__).parents[3] / "shared" / "data" / "orchestra"
COLUMNS = {"Vln 1": "Violin 1", "Vln 2": "Violin 2", "Vla": "Viola", "Vc": "Violoncello",
           "Vc 1": "Violoncello 1", "Cb": "Contrabass"}  # fmt: skip
"""A string part as the marks call it, and as scores and their program do."""
STRINGS = frozenset((*COLUMNS.values(), "Violoncello 2"))


class Row(NamedTuple):
    """A stretch from one mark to the next.

    Attributes:
        start: quarters, as written.
        stop: likewise.
        marked: the part experts have marked.
        main: the part their program takes for the main one.
        doubling: parts it finds in unison or octaves with that.
    """

    start: float
    stop: float
    marked: str
    main: str
    doubling: frozenset[str]


class Compared(NamedTuple):
    """One string part against the main one in a stretch.

    Attributes:
        row: the stretch.
        part: which.
        theirs: True where their program finds it doubling.
        share: of the main part's notes, how many are in a doubling of both here.
        kind: why the two differ; empty where they do not.
    """

    row: Row
    part: str
    theirs: bool
    share: float
    kind: str


def movements() -> list[Path]:
    """Those that have relations of parts."""
    return sorted(
        path for path in ORCHESTRA.glob("*.mxl")
        if path.with_name(f"{path.stem}_part_relations.csv").exists()
    )  # fmt: skip


def compared(path: Path) -> Iterator[Compared]:
    """Every string part in every stretch whose main tune is marked in a string section."""
    heard = Heard(Reading(read_score(path)))
    found = doublings_of(heard)
    names = [part.name for part in heard.reading.score.parts]
    for row in sorted(set(rows(path, heard))):
        if row.marked != row.main or row.main not in names:
            continue
        main = names.index(row.main)
        for part, name in enumerate(names):
            if name in STRINGS and name != row.main:
                yield _compared(row, name, _Pair(heard, found, main, part))


class _Pair(NamedTuple):
    """The main part and another one."""

    heard: Heard
    doublings: Sequence[Doubling]
    main: int
    other: int

    def notes(self, part: int, row: Row) -> list[list[HeardNote]]:
        """What each line of a part begins in a stretch, that with most notes first."""
        start, stop = (round(at * self.heard.reading.divisions) for at in (row.start, row.stop))
        found = []
        for line in self.heard.lines:
            if line.place.part == part:
                first, last = (
                    bisect_left(line.notes, at, key=lambda note: note.time)
                    for at in (start, stop)
                )
                found.append(line.notes[first:last])
        return sorted(found, key=len, reverse=True)

    def doubled(self, tune: Sequence[HeardNote]) -> int:
        """How many notes of the tune are in a doubling of the two."""
        times = {
            upper.time
            for one in self.doublings
            if {one.upper.part, one.lower.part} == {self.main, self.other}
            for upper, _ in one.agreeing
        }
        return sum(note.time in times for note in tune)


def _compared(row: Row, name: str, pair: _Pair) -> Compared:
    theirs = name in row.doubling
    tune = max(pair.notes(pair.main, row), key=len, default=[])
    share = pair.doubled(tune) / len(tune) if tune else 0
    kind = ""
    if theirs != (share >= 0.5):
        kind = _why_not(tune, pair, row) if theirs else _why(tune, pair, row, share)
    return Compared(row, name, theirs, share, kind)


def _why_not(tune: Sequence[HeardNote], pair: _Pair, row: Row) -> str:
    """Why no doubling is found here where their program finds one."""
    others = [note for notes in pair.notes(pair.other, row) for note in notes]
    distances = _distances(tune, others)
    repeated = sum(one.sounding == other.sounding for one, other in pairwise(tune))
    if len(tune) < 6 or len({note.sounding % 12 for note in tune}) < 3:
        return "too few notes or pitches"
    if 3 * repeated > 2 * (len(tune) - 1):
        return "mostly repeated notes"
    if 8 * sum(distances.values()) < 7 * len(tune):
        return "other onsets or pitches"
    return "the distance changes"


def _why(tune: Sequence[HeardNote], pair: _Pair, row: Row, share: float) -> str:
    """Why their program finds none where a doubling is found here."""
    if share < 7 / 8:
        return "a part of the stretch"
    others = [note for notes in pair.notes(pair.other, row)[:1] for note in notes]
    if len(others) != len(tune):
        return "the other has more notes"
    return "the whole stretch"


def _distances(tune: Sequence[HeardNote], others: Sequence[HeardNote]) -> Counter[float]:
    """Semitones from notes of a tune to notes of its pitch class that begin with them."""
    found: Counter[float] = Counter()
    for note in tune:
        for other in others:
            if other.time == note.time and (other.sounding - note.sounding) % 12 == 0:
                found[other.sounding - note.sounding] += 1
                break
    return found


def rows(path: Path, heard: Heard) -> Iterator[Row]:
    """The stretches whose place in the score is sure, at written times.

    Their program unfolds repeats, in some movements by its own lights. Where it has as many
    stretches as marks are met in playing order, they are the same one by one; else those count
    that begin at a mark.
    """
    divisions = heard.reading.divisions
    starts = [start / divisions for start in heard.bars.starts]
    marks = _read(path, "annotations")
    relations = _read(path, "part_relations")
    met = [*_in_playing_order(marks, starts, playing_order(heard.reading.score))]
    if len(met) == len(relations):
        pairs = list(zip(met, relations, strict=True))
    else:
        at = {round(played, 2): (played, mark, stop) for played, mark, stop in met}
        pairs = [
            (at[round(float(row["qstamp_start"]), 2)], row)
            for row in relations
            if round(float(row["qstamp_start"]), 2) in at
        ]
    for (_, mark, stop), relation in pairs:
        main = next((part for part, said in relation.items() if said == "Main Part"), "")
        doubling = frozenset(
            part for part, said in relation.items()
            if said and {"U(Main)", "P8(Main)"} & set(said.split("&"))
        )  # fmt: skip
        start = float(mark["qstamp"])
        marked = COLUMNS.get(mark["part"], mark["part"])
        yield Row(start, stop, marked, main, doubling)


def _in_playing_order(
    marks: Sequence[dict[str, str]], starts: Sequence[float], order: Sequence[int]
) -> Iterator[tuple[float, dict[str, str], float]]:
    """(quarters played before it, mark, where the next one stands as written)."""
    times = [float(mark["qstamp"]) for mark in marks]
    played = 0.0
    for bar in order:
        for at, time in enumerate(times):
            if starts[bar] <= time + 1e-6 < starts[bar + 1]:
                stop = times[at + 1] if at + 1 < len(times) else starts[-1]
                yield played + time - starts[bar], marks[at], stop
        played += starts[bar + 1] - starts[bar]


def _read(path: Path, what: str) -> list[dict[str, str]]:
    with path.with_name(f"{path.stem}_{what}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def counted(found: Sequence[Compared]) -> Counter[str]:
    """How often both agree, and why they do not."""
    return Counter(
        f"{'theirs' if one.theirs else 'ours'}: {one.kind}" if one.kind
        else "both" if one.theirs else "neither"
        for one in found
    )  # fmt: skip
