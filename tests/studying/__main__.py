"""Tunes of music21's corpus studied: ``python -m tests.studying``.

Compass, tessitura and intervals of 200 parts against what music21 says of them; other numbers
with ``--parts``.
"""

import argparse
import sys

from tests.corpus.trying import pieces
from tests.studying.as_music21 import parts_of

EVERY = 9
"""Of the corpus, in its order, every so manieth piece: all kinds of music in one run."""


def main() -> int:
    """Compare, and list where the two differ."""
    parser = argparse.ArgumentParser(prog="python -m tests.studying", description=__doc__)
    parser.add_argument("--parts", type=int, default=200)
    wanted = parser.parse_args()
    compared, differing = 0, []
    for path in pieces()[::EVERY]:
        for both in parts_of(path):
            compared += 1
            if both.ours != both.theirs:
                differing.append(f"{both.name}: {both.ours} is to music21 {both.theirs}\n")
        if compared >= wanted.parts:
            break
    sys.stdout.write("".join(differing))
    sys.stdout.write(f"{compared} parts, {len(differing)} of them differ\n")
    return bool(differing)


if __name__ == "__main__":
    sys.exit(main())
