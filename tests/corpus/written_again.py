"""Every tenth bar of music21's corpus written again: ``python -m tests.corpus.written_again``.

Each of these bars is read, and all its notes are written anew in its place. No byte of any
other bar may change, music21 and partitura must read the same music as before, and a score the
schema accepts must stay one.
"""

import argparse
import sys
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from multiprocessing import Pool
from pathlib import Path
from typing import Any

from lxml import etree

from rewriter.editing.bar_writing import written_again
from rewriter.editing.edits import InBar, edited
from rewriter.musicxml.containers import is_zip, unzip_score
from rewriter.problems import Refused
from rewriter.scores.score import Score, read_score
from tests.corpus.trying import Trouble, pieces
from tests.outside.heard import heard_by_partitura
from tests.outside.reference import Heard, heard_by_reference, score_root
from tests.outside.schema import faults

EVERY = 10


def bars_of(score: Score) -> list[InBar]:
    """Every tenth bar of each part; of each part others."""
    return [
        InBar(part, bar)
        for part, one in enumerate(score.parts)
        for bar in range(part % EVERY, len(one.bars), EVERY)
    ]


def again(score: Score) -> bytes:
    """The score with every tenth bar written again, unzipped."""
    edits = [edit for where in bars_of(score) for edit in written_again(score, where)]
    made = edited(score, edits)
    return unzip_score(made) if is_zip(made) else made


def troubles_again(path: Path, *, by_music21: bool = True) -> Iterator[Trouble]:
    """What is wrong after every tenth bar of a piece was written again."""
    try:
        score = read_score(path.read_bytes())
    except Refused as refused:
        yield Trouble("refused", path.name, str(refused))
        return
    try:
        made = again(score)
    except Exception as crash:  # noqa: BLE001 - that is what is looked for
        yield Trouble("crash", path.name, repr(crash))
        return
    yield from other_bytes(path, score, made)
    was = score.source
    if heard_by_reference(was) != heard_by_reference(made):
        yield Trouble("other music", path.name, "reference")
    if not same_by_partitura(was, made):
        yield Trouble("other music", path.name, "partitura")
    if by_music21:
        for one in _others(read_by_music21(was), read_by_music21(made)):
            yield Trouble("other music", path.name, f"music21 {one}")
    known = Counter(fault.partition(": ")[2] for fault in faults(was))
    now = Counter(fault.partition(": ")[2] for fault in faults(made))
    for fault in now - known:
        yield Trouble("invalid", path.name, fault)


def other_bytes(path: Path, score: Score, made: bytes) -> Iterator[Trouble]:
    """Bytes that changed outside the bars written again."""
    new = read_score(made)
    ends = [0, 0]
    for where in sorted(bars_of(score), key=lambda one: score.place(*one) or (0, 0)):
        spans = score.place(*where), new.place(*where)
        if spans[0] is None or spans[1] is None:
            continue
        if score.text.data[ends[0] : spans[0].start] != new.text.data[ends[1] : spans[1].start]:
            yield Trouble("byte changed", path.name, f"before {where}")
        ends = [spans[0].stop, spans[1].stop]
    if score.text.data[ends[0] :] != new.text.data[ends[1] :]:
        yield Trouble("byte changed", path.name, "after the last")


def same_by_partitura(was: bytes, made: bytes) -> bool:
    before = _by_partitura(was)
    return before is None or before == _by_partitura(made)


def _by_partitura(data: bytes) -> list[list[Heard]] | None:
    try:
        return heard_by_partitura(data)
    except Exception:  # noqa: BLE001 - it stops at much that is allowed
        return None


def read_by_music21(data: bytes) -> Counter[str]:
    """All that music21 finds in a score and when, accidentals' look aside."""
    from music21 import converter

    data = etree.tostring(score_root(data))  # it knows no encoding but UTF-8
    score = converter.parseData(data, format="musicxml")
    found = Counter[str]()
    for part, stream in enumerate(score.parts):
        for one in stream.recurse():
            if not one.isStream:
                at = Fraction(one.getOffsetInHierarchy(stream)).limit_denominator(5000)
                found[f"{part} {at} {_told(one)}"] += 1
        for one in stream.spannerBundle:
            ends = [f"{each.measureNumber}:{each.offset}" for each in one.getSpannedElements()]
            found[f"{part} {type(one).__name__} {' '.join(ends)}"] += 1
    return found


def _told(one: Any) -> str:
    """What music21 knows of one thing."""
    told = [type(one).__name__, str(one.quarterLength)]
    pitches = getattr(one, "pitches", ())
    told += [pitch.nameWithOctave for pitch in pitches]
    for of in ("articulations", "expressions", "beams", "lyrics"):
        told += [type(each).__name__ for each in getattr(one, of, ())]
    tie = getattr(one, "tie", None)
    told += [tie.type] if tie else []
    told += [str(getattr(one, of)) for of in ("value", "content", "number") if hasattr(one, of)]
    return " ".join(told)


def _others(was: Counter[str], made: Counter[str]) -> Iterator[str]:
    for sign, some in (("lost", was - made), ("added", made - was)):
        yield from (f"{sign} {one}" for one in some)


def _one(task: tuple[Path, bool]) -> list[Trouble]:
    path, by_music21 = task
    try:
        return list(troubles_again(path, by_music21=by_music21))
    except Exception as fault:  # noqa: BLE001 - the other pieces are looked at all the same
        return [Trouble("cannot be tried", path.name, repr(fault))]


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.corpus.written_again")
    parser.description = __doc__
    parser.add_argument("--slice", type=int, default=1, help="every Nth piece")
    parser.add_argument("--first", type=int, default=0, help="begin with this piece, from 0")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--quick", action="store_true", help="do not ask music21")
    given = parser.parse_args()
    chosen = pieces()[given.first :: given.slice]
    found: list[Trouble] = []
    with Pool(given.jobs) as pool:
        for some in pool.imap_unordered(_one, [(path, not given.quick) for path in chosen]):
            found += some
            for one in some:
                sys.stdout.write(f"{one.kind}: {one.place}: {one.said[:200]}\n")
                sys.stdout.flush()
    kinds = Counter(one.kind for one in found)
    sys.stdout.write(f"{len(chosen)} pieces, {dict(kinds)}\n")
    return 1 if kinds.keys() - {"refused"} else 0


if __name__ == "__main__":
    sys.exit(main())
