"""Every MusicXML piece of music21's corpus as a sketch: ``python -m tests.corpus``.

Each part of each piece is a tune, through each layout, or with ``--plans`` through made-up
plans. What comes out is held against the
MusicXML 4.0 schema and read again by our reference reader; the counts are printed as a table.
With ``--reader`` nothing is expanded: the reader of any score is held against music21's.
"""

import argparse
import sys
from collections import Counter
from functools import partial
from multiprocessing import Pool
from pathlib import Path

from tests.corpus.planned import plan_troubles
from tests.corpus.read_by_others import reader_troubles
from tests.corpus.trying import LAYOUTS, Piece, Trouble, lines_of, pieces, troubles

NEVER = (
    "crash", "invalid", "note lost", "note added", "open end", "bar of wrong length",
    "voice not full",
)  # fmt: skip


def tried(
    path: Path, layouts: tuple[str, ...], plans: int = 0
) -> tuple[Counter[str], list[Trouble]]:
    """Counts and troubles of one piece, by layouts or by so many plans."""
    counts, found = Counter[str](pieces=1), list[Trouble]()
    piece = Piece.read(path)
    for line in lines_of(piece.data):
        counts["parts"] += 1
        ways = [partial(troubles, piece, line, layout) for layout in layouts]
        if plans:
            ways = [partial(plan_troubles, piece, line, seed) for seed in range(plans)]
        for way in ways:
            counts["expansions"] += 1
            here = list(way())
            found += here
            counts.update(f"expansions: {kind}" for kind in {one.kind for one in here})
    counts.update(one.kind for one in found)
    return counts, found


def _one(task: tuple[Path, tuple[str, ...], int]) -> tuple[Counter[str], list[Trouble]]:
    try:
        return tried(*task)
    except Exception as fault:
        raise RuntimeError(f"{task[0]} cannot be tried: {fault!r}") from fault


def _read(path: Path) -> list[Trouble]:
    try:
        return list(reader_troubles(path))
    except Exception as fault:  # noqa: BLE001 - that is what is looked for
        return [Trouble("crash", path.name, repr(fault))]


def hold_reader(chosen: list[Path], jobs: int) -> int:
    """Print what only one of the readers finds, and the counts."""
    kinds, of_pieces = Counter[str](), Counter[str]()
    with Pool(jobs) as pool:
        for found in pool.imap_unordered(_read, chosen):
            kinds.update(one.kind for one in found)
            of_pieces.update({one.kind for one in found} or {"the same"})
            for one in found[:3]:
                sys.stdout.write(f"{one.kind}: {one.place}: {one.said[:200]}\n")
                sys.stdout.flush()
    sys.stdout.write(f"pieces {dict(of_pieces)}, notes {dict(kinds)}\n")
    return 1 if kinds["crash"] else 0


def table(counts: Counter[str], found: list[Trouble], shown: int) -> str:
    """The counts, the refusals by reason, and the first troubles of each kind."""
    lines = [f"{counts[name]:8}  {name}" for name in ("pieces", "parts", "expansions")]
    lines += [
        f"{counts[kind]:8}  {kind}, in {counts[f'expansions: {kind}']} expansions"
        for kind in (*NEVER, "refused", *sorted(name for name in counts if "input too" in name))
        if not kind.startswith("expansions")
    ]
    reasons = Counter(one.said for one in found if one.kind == "refused")
    lines += [f"          {count:6}  {reason}" for reason, count in reasons.most_common()]
    for kind in NEVER:
        first = [one for one in found if one.kind == kind][:shown]
        lines += [f"{kind}: {one.place}: {one.said[:200]}" for one in first]
    return "\n".join(lines) + "\n"


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.corpus", description=__doc__)
    parser.add_argument("--layouts", nargs="+", default=LAYOUTS, help="names, files or stacks")
    parser.add_argument("--plans", type=int, default=0, help="made-up plans for each part")
    parser.add_argument("--reader", action="store_true", help="hold the reader to music21")
    parser.add_argument("--slice", type=int, default=1, help="every Nth piece")
    parser.add_argument("--first", type=int, default=0, help="begin with this piece, from 0")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--shown", type=int, default=5, help="troubles of each kind to print")
    given = parser.parse_args()
    chosen = pieces()[given.first :: given.slice]
    if given.reader:
        return hold_reader(chosen, given.jobs)
    counts, found = Counter[str](), list[Trouble]()
    with Pool(given.jobs) as pool:
        tasks = [(path, tuple(given.layouts), given.plans) for path in chosen]
        for done, (more, troubles_here) in enumerate(pool.imap(_one, tasks), start=1):
            counts.update(more)
            found += troubles_here
            if sys.stderr.isatty():
                sys.stderr.write(f"\r{done} of {len(chosen)} pieces")
    sys.stdout.write(table(counts, found, given.shown))
    return 1 if any(counts[kind] for kind in NEVER) else 0


if __name__ == "__main__":
    sys.exit(main())
