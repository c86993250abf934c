"""Every MusicXML piece of music21's corpus mended by every rule: ``python -m tests.enforcing``.

Each is mended as it is, and again as if strings played it, by the house that asks most. No byte
may differ outside the bars that are said to have changed, a second time nothing may be left to
mend, nothing may be found that was not there before, and a score the schema accepts must stay
one. ``--pairs`` mends by each two rules alone, ``--dresses`` in other line ends, encodings,
zips, with comments. Orchestral movements follow, where they are at hand.
"""

import argparse
import sys
from collections import Counter
from functools import partial
from multiprocessing import Pool
from pathlib import Path

from tests.corpus.trying import Trouble, pieces
from tests.enforcing.enforcing import asked_of, troubles_of
from tests.rates.measuring import ORCHESTRA

HARMLESS = {"refused", "mended"}


def _one(path: Path, *, pairs: bool, dresses: bool) -> list[Trouble]:
    return [
        one
        for asked in asked_of(path)
        for one in troubles_of(asked, pairs=pairs, dresses=dresses)
    ]


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.enforcing", description=__doc__)
    parser.add_argument("--slice", type=int, default=1, help="every Nth piece")
    parser.add_argument("--first", type=int, default=0, help="begin with this piece, from 0")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--pairs", action="store_true", help="by each two rules alone")
    parser.add_argument("--dresses", action="store_true", help="in other dress")
    given = parser.parse_args()
    chosen = [*pieces(), *sorted(ORCHESTRA.glob("*.mxl"))][given.first :: given.slice]
    kinds, mended = Counter[str](), 0
    with Pool(given.jobs) as pool:
        way = partial(_one, pairs=given.pairs, dresses=given.dresses)
        for some in pool.imap_unordered(way, chosen):
            kinds.update(one.kind for one in some)
            mended += sum(int(one.said) for one in some if one.kind == "mended")
            for one in some:
                if one.kind not in HARMLESS:
                    sys.stdout.write(f"{one.kind}: {one.place}: {one.said[:700]}\n")
                    sys.stdout.flush()
    del kinds["mended"]
    sys.stdout.write(f"{len(chosen)} pieces, {mended} findings mended, {dict(kinds)}\n")
    return 1 if kinds.keys() - HARMLESS else 0


if __name__ == "__main__":
    sys.exit(main())
