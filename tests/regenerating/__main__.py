"""Two hundred first violin parts, edited and made anew: ``python -m tests.regenerating``.

Every kind of change of the sketch, twenty edits each: nothing may be lost, nothing may go to a
wrong bar. How many edits are carried, in conflict and in doubt is counted by kind of change.
"""

import argparse
import sys
from collections import Counter, defaultdict
from multiprocessing import Pool

from tests.regenerating.truth import LISTS
from tests.regenerating.trying import CHANGES, Change, first_violins, outcome

_SHOWN = 40


def _one(change: Change) -> tuple[str, int, dict[str, int] | None, list[str]]:
    try:
        made = outcome(change)
    except Exception as fault:  # noqa: BLE001 - that is what is looked for
        return change.kind, change.seed, {}, [f"crash: {fault!r}"]
    return change.kind, change.seed, made and made.counts, made.troubles if made else []


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.regenerating", description=__doc__)
    parser.add_argument("--slice", type=int, default=1, help="every Nth part")
    parser.add_argument("--first", type=int, default=0, help="begin with this part, from 0")
    parser.add_argument("--most", type=int, default=200, help="so many parts")
    parser.add_argument("--each", type=int, default=len(CHANGES), help="kinds of change each")
    parser.add_argument("--jobs", type=int, default=2)
    given = parser.parse_args()
    kinds = list(CHANGES)
    parts = list(enumerate(first_violins(given.most)))[given.first :: given.slice]
    changes = [
        Change(data, kinds[(place * given.each + step) % len(kinds)], place * 100 + step)
        for place, data in parts
        for step in range(given.each)
    ]
    counts: dict[str, Counter[str]] = defaultdict(Counter)
    bad = 0
    with Pool(given.jobs) as pool:
        for kind, seed, found, troubles in pool.imap_unordered(_one, changes):
            counts[kind].update(tries=found is not None, **(found or {}))
            counts[kind]["troubles"] += len(troubles)
            bad += bool(troubles)
            for said in troubles[:2] if bad < _SHOWN else ():
                sys.stdout.write(f"{kind}, seed {seed}: {said[:300]}\n")
    sys.stdout.write(table(counts))
    sys.stdout.write(f"{len(parts)} parts, {len(changes)} changes, {bad} with troubles\n")
    return 1 if bad else 0


def table(counts: dict[str, Counter[str]]) -> str:
    """Counts by kind of change."""
    columns = ("tries", "found", *LISTS, "troubles")
    rows = [f"{'':18}" + "".join(f"{name:>11}" for name in columns)]
    total: Counter[str] = Counter()
    for kind, found in counts.items():
        total += found
        rows.append(f"{kind:18}" + "".join(f"{found[name]:>11}" for name in columns))
    rows.append(f"{'all':18}" + "".join(f"{total[name]:>11}" for name in columns))
    return "\n".join(rows) + "\n"


if __name__ == "__main__":
    sys.exit(main())
