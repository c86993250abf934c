"""The ledger over music21's corpus: ``python -m tests.ledger``.

Each part of each piece is a tune, through a layout and through made-up plans. Whatever the tune
says that is neither carried, dropped by name nor reported is printed, and whatever stands in
the score that neither the sketch nor the layout accounts for.
"""

import argparse
import re
import sys
from collections import Counter
from collections.abc import Iterator
from functools import partial
from multiprocessing import Pool
from pathlib import Path

from tests.corpus.trying import LAYOUTS, Piece, Trouble, lines_of, pieces
from tests.ledger.trying import layout_troubles, plan_troubles


def tried(path: Path, plans: int) -> tuple[int, list[Trouble]]:
    """How many expansions of a piece were looked at, and what was found."""
    piece = Piece.read(path)
    found, count = list[Trouble](), 0
    for place, line in enumerate(lines_of(piece.data)):
        ways = [layout_troubles(piece, line, LAYOUTS[place % len(LAYOUTS)])]
        ways += [plan_troubles(piece, line, seed) for seed in range(plans)]
        for way in ways:
            count += 1
            found += _looked_at(way, f"{path.name} {line.tune}")
    return count, found


def _looked_at(way: Iterator[Trouble], place: str) -> list[Trouble]:
    try:
        return list(way)
    except Exception as fault:  # noqa: BLE001 - that is what is looked for
        return [Trouble("crash", place, repr(fault))]


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.ledger", description=__doc__)
    parser.add_argument("--plans", type=int, default=1, help="made-up plans for each part")
    parser.add_argument("--slice", type=int, default=1, help="every Nth piece")
    parser.add_argument("--first", type=int, default=0, help="begin with this piece, from 0")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--shown", type=int, default=5, help="troubles of each kind to print")
    given = parser.parse_args()
    chosen = pieces()[given.first :: given.slice]
    count, shown, kinds = 0, Counter[str](), Counter[str]()
    with Pool(given.jobs) as pool:
        for more, found in pool.imap_unordered(partial(tried, plans=given.plans), chosen):
            count += more
            for one in found:
                said = one.place.rpartition(": ")[2] if one.kind.startswith("sign") else ""
                kind = re.sub(r"\d+", "*", f"{one.kind}: {said}" if said else one.kind)
                kinds[kind] += 1
                shown[kind] += 1
                if shown[kind] <= given.shown:
                    sys.stdout.write(f"{one.kind}: {one.place} {one.said}\n")
                    sys.stdout.flush()
    sys.stdout.write(f"\n{len(chosen)} pieces, {count} expansions\n")
    sys.stdout.writelines(f"{number:8}  {kind}\n" for kind, number in kinds.most_common())
    return 1 if kinds else 0


if __name__ == "__main__":
    sys.exit(main())
