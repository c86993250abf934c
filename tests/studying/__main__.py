"""Tunes of music21's corpus studied: ``python -m tests.studying``.

Compass, tessitura and intervals of 200 parts against what music21 says of them; with ``--rank``
the ranking of 20 tunes against expansions at every octave. Other numbers with ``--parts``.
"""

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import rewriter
from tests.corpus.trying import lines_of, pieces
from tests.studying.as_music21 import parts_of
from tests.studying.brute_force import best_by_expanding, plain_layouts

EVERY = 9
"""Of the corpus, in its order, every so manieth piece: all kinds of music in one run."""


PARTS, TUNES = 200, 20


def main() -> int:
    """Compare, and list where the two differ."""
    parser = argparse.ArgumentParser(prog="python -m tests.studying", description=__doc__)
    parser.add_argument("--parts", type=int)
    parser.add_argument("--rank", action="store_true")
    wanted = parser.parse_args()
    most = wanted.parts or (TUNES if wanted.rank else PARTS)
    compared, differing = 0, 0
    for name, fault in _rankings() if wanted.rank else _opinions():
        compared += 1
        differing += bool(fault)
        if fault:
            sys.stdout.write(f"{name}: {fault}\n")
        if compared >= most:
            break
    sys.stdout.write(f"{compared} parts, {differing} of them differ\n")
    return bool(differing)


def _opinions() -> Iterator[tuple[str, str]]:
    """Each part, and what both say where they differ."""
    for path in pieces()[::EVERY]:
        for both in parts_of(path):
            differ = both.ours != both.theirs
            yield both.name, f"{both.ours} is to music21 {both.theirs}" if differ else ""


def _rankings() -> Iterator[tuple[str, str]]:
    """A part of each piece, and where its ranking is not that of expanding at every octave."""
    layouts = plain_layouts()
    for path in pieces()[:: 3 * EVERY]:
        data = path.read_bytes()
        line = next(lines_of(data), None)
        if line is None or b"<grace" in data:  # which the tests' reader of scores leaves out
            continue
        with TemporaryDirectory() as folder:
            best = best_by_expanding(data, line.tune, layouts, Path(folder))
        ranked = rewriter.rank(data, tune=line.tune, layouts=layouts)
        faults = []
        for group in ranked.groups:
            ours = [(one.layout, one.octave) for one in group.layouts if not one.by]
            theirs = [(one.layout, one.octave) for one in best if one.layout in dict(ours)]
            faults += [f"{a} is {b}" for a, b in zip(ours, theirs, strict=True) if a != b]
        yield f"{path.name} {line.tune}", "; ".join(faults)


if __name__ == "__main__":
    sys.exit(main())
