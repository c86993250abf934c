"""Measures the tool against what it stands on: ``python -m tests.bench``.

Everything runs in one go and only ratios and differences are told, so that a slow machine
tells the same as a fast one; rounds are interleaved and medians compared.
"""

import argparse
import json
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

from tests.bench import (
    against_floor,
    against_layout,
    against_music21,
    against_parses,
    checking,
    growth,
    regenerating,
    start_up,
    studying,
)
from tests.bench.timing import Row


class Group(NamedTuple):
    """Some rows under one heading, and how many rounds they take, short and long."""

    heading: str
    rows: Callable[[int], Iterator[Row]]
    quick: int
    thorough: int


GROUPS = {
    "floor": Group(
        "library call, in floors (lxml parses the input, serialises the output)",
        against_floor.rows, 5, 21,
    ),
    "plan": Group(
        "a plan, against one layout; parts, in floors", against_layout.rows, 5, 11
    ),
    "differences": Group(
        "two scores compared, against lxml parsing both", against_parses.rows, 3, 11
    ),
    "check": Group(
        "a finished score checked and mended, against lxml parsing it", checking.rows, 3, 11
    ),
    "regenerate": Group(
        "a score made anew with a hundred edits, in floors", regenerating.rows, 3, 7
    ),
    "study": Group(
        "a tune surveyed, against lxml parsing it; layouts ranked, in seconds",
        studying.rows, 3, 11,
    ),
    "start": Group(
        "command, against python -c 'import lxml.etree, click'", start_up.rows, 5, 21
    ),
    "growth": Group("growth of one call in a process of its own", growth.rows, 1, 5),
    "music21": Group(
        "library call, against a script for music21", against_music21.rows, 1, 3
    ),
}  # fmt: skip
"""In the order they run: music21 last, since it stays loaded."""


def line(row: Row) -> str:
    """A row as text."""
    verdict = {None: "", True: "met", False: "MISSED"}[row.met]
    value = f"{row.value:.2f} {row.unit}".rstrip()
    return f"  {row.what:55} {value:>14}  {row.aim:28} {verdict:6} {row.note}".rstrip()


def main() -> int:
    """Measure, print, and write the JSON where asked to."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("groups", nargs="*", help=f"of {', '.join(GROUPS)}; all by default")
    parser.add_argument("--quick", action="store_true", help="few rounds")
    parser.add_argument("--json", metavar="FILE", type=Path, help="write the rows too")
    wanted = parser.parse_args()
    if unknown := [name for name in wanted.groups if name not in GROUPS]:
        parser.error(f"no group is called {unknown[0]}; there are {', '.join(GROUPS)}")
    found: dict[str, list[dict[str, object]]] = {}
    for name, group in GROUPS.items():
        if wanted.groups and name not in wanted.groups:
            continue
        sys.stdout.write(f"{group.heading}\n")
        found[name] = []
        for row in group.rows(group.quick if wanted.quick else group.thorough):
            sys.stdout.write(f"{line(row)}\n")
            sys.stdout.flush()
            found[name].append(row._asdict())
    if wanted.json:
        wanted.json.write_text(json.dumps(found, indent=2) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
