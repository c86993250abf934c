"""music21's corpus against itself, saved again: ``python -m tests.comparing``."""

import argparse
import sys
from multiprocessing import Pool
from pathlib import Path

from tests.comparing.comparing import troubles
from tests.corpus.trying import pieces


def _one(path: Path) -> tuple[Path, list[str]]:
    try:
        return path, troubles(path.read_bytes(), seed=len(path.name))
    except Exception as fault:
        raise RuntimeError(f"{path} cannot be compared: {fault!r}") from fault


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.comparing", description=__doc__)
    parser.add_argument("--slice", type=int, default=1, help="every Nth piece")
    parser.add_argument("--first", type=int, default=0, help="begin with this piece, from 0")
    parser.add_argument("--jobs", type=int, default=2)
    given = parser.parse_args()
    count = bad = 0
    with Pool(given.jobs) as pool:
        for path, found in pool.imap(_one, pieces()[given.first :: given.slice]):
            count += 1
            bad += bool(found)
            if found:
                sys.stdout.write(f"{path}: {len(found)}: {'; '.join(found[:3])}\n")
    sys.stdout.write(f"{count} pieces compared, {bad} with differences\n")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
