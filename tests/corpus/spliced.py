"""Signs, bars and parts put into music21's corpus: ``python -m tests.corpus.spliced``.

Of each piece, every tenth bar of each part gets a sign at a third of its length and an accent;
then other parts' bars are brought over these; bars are put into all parts and taken out; parts
change places, go, and come back. Each time every bar must sound as its own music does, no byte
may differ where nothing was asked, and a score the schema accepts must stay one.
"""

import argparse
import sys
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from multiprocessing import Pool
from pathlib import Path

from lxml import etree

from rewriter.editing.arranging import arranged
from rewriter.editing.bar_marking import bar_marked
from rewriter.editing.bar_reading import reached_before, written_bar
from rewriter.editing.bars import bars_put_in, bars_taken_out
from rewriter.editing.edits import Edit, InBar, bar_children, edited
from rewriter.editing.fitting import brought_over, fitted
from rewriter.editing.ids import with_own_ids
from rewriter.editing.music import Sign
from rewriter.editing.note_marks import with_notation
from rewriter.editing.part_list import Listed, moved, part_list, put_in, taken_out
from rewriter.musicxml.note_reading import serialised
from rewriter.problems import Refused
from rewriter.scores.score import Score, read_score
from tests.corpus.trying import Trouble, pieces
from tests.corpus.written_again import bars_of, other_bytes, same_by_partitura
from tests.outside.heard import heard_by_music21
from tests.outside.reference import Clock, Heard, score_root, sounding
from tests.outside.schema import faults

WORDS = "spliced in"
SIGN = f"<direction><direction-type><words>{WORDS}</words></direction-type></direction>"
Bars = list[list[list[Heard]]]


def heard_in_bars(data: bytes) -> Bars:
    """Part by part and bar by bar what sounds, ties not joined."""
    return [
        [list(_heard_in(clock, bar)) for bar in part.findall("measure")]
        for part in score_root(data).findall("part")
        for clock in [Clock()]
    ]


def _heard_in(clock: Clock, bar: etree._Element) -> Iterator[Heard]:
    for event in clock.events(bar):
        pitch = sounding(event) if event.element.tag == "note" else None
        if pitch is not None:
            yield Heard(event.onset, event.length, pitch)


def with_signs(score: Score) -> tuple[bytes, list[tuple[int, int, Fraction]]]:
    """The score with signs, and where they are: part, bar, quarters from its start."""
    edits: list[Edit] = []
    placed = []
    for where in bars_of(score):
        length = _length(score, where)
        own = bar_children(score, where)
        first = next((n for n, child in enumerate(own) if child.startswith(b"<note")), None)
        children = {} if first is None else {first: with_notation(own[first], b"<accent/>")}
        edits += bar_marked(score, where, [Sign(length / 3, SIGN.encode())], children)
        placed.append((*where, length / 3))
    return edited(score, edits), sorted(placed)


def _length(score: Score, where: InBar) -> Fraction:
    return max(reached_before(written_bar(score, where)))


def signs_in(data: bytes) -> list[tuple[int, int, Fraction]]:
    found = []
    for part, element in enumerate(score_root(data).findall("part")):
        clock = Clock()
        for number, bar in enumerate(element.findall("measure")):
            found += [
                (part, number, event.onset)
                for event in clock.events(bar)
                if event.element.findtext("direction-type/words") == WORDS
            ]
    return sorted(found)


def with_bars_brought(score: Score, heard: Bars) -> tuple[bytes, Bars]:
    """The score with other bars in places of its own, and what should sound in each."""
    edits: list[Edit] = []
    wanted = [list(part) for part in heard]
    for where in bars_of(score):
        part = (where.part + 1) % len(score.parts)
        there = InBar(part, (where.bar + 5) % len(score.parts[part].bars))
        edits += brought_over(score, where, score, there)
        wanted[where.part][where.bar] = heard[there.part][there.bar]
    return edited(score, edits), wanted


def with_more_bars(score: Score, heard: Bars) -> tuple[bytes, Bars, int]:
    """The score with two bars more in all parts, what should sound, and where they are."""
    shortest = min(len(part.bars) for part in score.parts)
    before, first = shortest // 2, shortest // 4
    new, edits = {}, []
    for part in range(len(score.parts)):
        bars, after = fitted(score, InBar(part, before), score, InBar(part, first), count=2)
        new[part] = bars
        edits += after
    wanted = [part[:before] + part[first : first + 2] + part[before:] for part in heard]
    return edited(score, [*bars_put_in(score, before, new), *edits]), wanted, before


def troubles_spliced(path: Path, *, by_others: bool = True) -> Iterator[Trouble]:
    """What is wrong after a piece was spliced in all these ways.

    Args:
        path: of the piece.
        by_others: ask music21 and partitura too, where only signs have been added.
    """
    try:
        score = read_score(path.read_bytes())
    except Refused as refused:
        yield Trouble("refused", path.name, str(refused))
        return
    try:
        yield from _troubles(path, score)
        if by_others:
            yield from _heard_by_others(path, score)
    except Exception as crash:  # noqa: BLE001 - that is what is looked for
        yield Trouble("crash", path.name, repr(crash))


def _troubles(path: Path, score: Score) -> Iterator[Trouble]:
    was = etree.tostring(score_root(score.source))
    heard = heard_in_bars(was)
    made, placed = with_signs(score)
    yield from other_bytes(path, score, made)
    yield from _compared(path, "signs", score, made, heard)
    if signs_in(made) != placed:
        yield Trouble("signs elsewhere", path.name, "")
    made, wanted = with_bars_brought(score, heard)
    yield from _compared(path, "bars over others", score, made, wanted)
    if min(len(part.bars) for part in score.parts) > 1:
        made, wanted, before = with_more_bars(score, heard)
        yield from _compared(path, "more bars", score, made, wanted)
        again = read_score(made)
        less = edited(again, bars_taken_out(again, before, 2))
        yield from _compared(path, "bars taken out", score, less, heard)
    yield from _parts(path, score, heard)


def _heard_by_others(path: Path, score: Score) -> Iterator[Trouble]:
    was, made = (
        etree.tostring(score_root(data)) for data in (score.source, with_signs(score)[0])
    )
    if not same_by_partitura(was, made):
        yield Trouble("other music", path.name, "partitura")
    if heard_by_music21(was) != heard_by_music21(made):
        yield Trouble("other music", path.name, "music21")


def _parts(path: Path, score: Score, heard: Bars) -> Iterator[Trouble]:
    listed = part_list(score)
    last = score.parts[-1]
    made = edited(score, arranged(score, moved(listed, last.id, listed[0])))
    yield from _compared(path, "parts moved", score, made, [heard[-1], *heard[:-1]])
    entry, bars = with_own_ids(score, serialised(last.entry), last.bars)
    new = Listed(entry)
    more = edited(score, arranged(score, put_in(listed, new, None), {new.part: bars}))
    yield from _compared(path, "a part more", score, more, [*heard, heard[-1]])
    grown = read_score(more)
    less = edited(grown, arranged(grown, taken_out(part_list(grown), new.part)))
    if read_score(less).source != score.source:
        yield Trouble("byte changed", path.name, "a part more and less")


def _compared(
    path: Path, what: str, score: Score, made: bytes, wanted: Bars
) -> Iterator[Trouble]:
    made = read_score(made).source
    heard = heard_in_bars(made)
    for number, (part, other) in enumerate(zip(heard, wanted, strict=True)):
        differing = [bar for bar, (a, b) in enumerate(zip(part, other, strict=True)) if a != b]
        if differing:
            yield Trouble("other music", path.name, f"{what}: part {number}, {differing[:5]}")
    known = Counter(fault.partition(": ")[2] for fault in faults(score.source))
    now = Counter(fault.partition(": ")[2] for fault in faults(made))
    for fault in now - known:
        if fault not in known:  # what bars of the piece have wrong, they have wrong twice
            yield Trouble("invalid", path.name, f"{what}: {fault}")


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.corpus.spliced")
    parser.description = __doc__
    parser.add_argument("--slice", type=int, default=1, help="every Nth piece")
    parser.add_argument("--first", type=int, default=0, help="begin with this piece, from 0")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("files", nargs="*", type=Path, help="other files instead")
    given = parser.parse_args()
    chosen = given.files or pieces()[given.first :: given.slice]
    found: list[Trouble] = []
    with Pool(given.jobs) as pool:
        for some in pool.imap_unordered(_all, chosen):
            found += some
            for one in some:
                sys.stdout.write(f"{one.kind}: {one.place}: {one.said[:200]}\n")
                sys.stdout.flush()
    kinds = Counter(one.kind for one in found)
    sys.stdout.write(f"{len(chosen)} pieces, {dict(kinds)}\n")
    return 1 if kinds.keys() - {"refused"} else 0


def _all(path: Path) -> list[Trouble]:
    return list(troubles_spliced(path, by_others=False))


if __name__ == "__main__":
    sys.exit(main())
