"""What is heard in real scores: ``python -m tests.hearing``.

Doublings and statements in quartets, and doublings of tunes in orchestral movements against
what a program of others finds.
"""

import sys

from tests.hearing.experts import compared, counted, movements
from tests.hearing.quartets import counts, together
from tests.rates.measuring import quartets


def main() -> None:
    paths = quartets()
    figures = together([counts(path) for path in paths])
    sys.stdout.write(f"{len(paths)} quartet movements: {figures.text()}\n")
    found = []
    for path in movements():
        here = list(compared(path))
        found += here
        sys.stdout.write(f"{path.stem}: {_row(counted(here))}\n")
    sys.stdout.write(f"all movements: {_row(counted(found))}\n")


def _row(counts: dict[str, int]) -> str:
    return ", ".join(f"{counts[what]} {what}" for what in sorted(counts))


if __name__ == "__main__":
    main()
