"""Thousands of spoiled inputs of every class: ``python -m tests.fuzzing``."""

import argparse
import sys
from multiprocessing import Pool

from tests.fuzzing.classes import CLASSES
from tests.fuzzing.trying import outcomes

_AT_ONCE = 50


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.fuzzing", description=__doc__)
    parser.add_argument("classes", nargs="*", help=f"of {', '.join(CLASSES)}; all without")
    parser.add_argument("--number", type=int, default=1000, help="inputs of each class")
    parser.add_argument("--first", type=int, default=0, help="seed of the first")
    parser.add_argument("--jobs", type=int, default=2)
    given = parser.parse_args()
    bad = 0
    with Pool(given.jobs) as pool:
        for name in given.classes or CLASSES:
            stop = given.first + given.number
            work = [
                (name, first, min(_AT_ONCE, stop - first))
                for first in range(given.first, stop, _AT_ONCE)
            ]
            found = pool.starmap(outcomes, work)
            counted = sum((one for one, _ in found), start=type(found[0][0])())
            stumbled = [each for _, some in found for each in some]
            bad += len(stumbled)
            said = ", ".join(f"{count} {what}" for what, count in sorted(counted.items()))
            sys.stdout.write(f"{name}: {given.number} inputs, {said}\n")
            for each in stumbled[:3]:
                sys.stdout.write(f"  {each[:2000]}\n")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
