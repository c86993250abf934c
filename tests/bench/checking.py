"""Finished scores checked and mended, against parsing them; folders on all cores."""

import os
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from lxml import etree

import rewriter
from rewriter.musicxml.containers import unzip_score
from tests.bench.movements import NAMES, quartet
from tests.bench.timing import Row, at_least, at_most, interleaved, run

ORCHESTRA = Path("/work/shared/data/orchestra")
MOVEMENTS = ("Beethoven_Op.67_2.mxl", "Beethoven_Op.92_1.mxl")
"""Full scores, where they are at hand."""
CHECK, ENFORCE = 10.0, 13.0
AGAINST_MUSIC21 = 10.0
FOLDER = 0.6
ALL_PROCESSES = 1.1
SCORES = 100

_COMMAND = "import sys; from rewriter.cli.main import run; sys.exit(run(sys.argv[1:]) == 2)"
_ONE_CORE = "import os; os.sched_setaffinity(0, {min(os.sched_getaffinity(0))}); "


def rows(rounds: int) -> Iterator[Row]:
    """Parses that checking and mending cost, and what a second core spares."""
    for name, data in _scores():
        parser = etree.XMLParser(huge_tree=True)
        spent = interleaved(
            {
                "parse": lambda data=data, parser=parser: etree.fromstring(data, parser),
                "check": lambda data=data: rewriter.check(data),
                "enforce": lambda data=data: rewriter.enforce(data),
            },
            rounds,
        )
        parse = spent["parse"].processor
        note = f"{len(data) // 1000} kB"
        yield at_most(f"check, {name}", spent["check"].processor / parse, "times", CHECK, note)
        ratio = spent["enforce"].processor / parse
        yield at_most(f"enforce, {name}", ratio, "times", ENFORCE, note)
    yield _against_music21()
    if hasattr(os, "sched_setaffinity") and len(os.sched_getaffinity(0)) > 1:
        yield from _folder(max(1, rounds // 3))


def _scores() -> Iterator[tuple[str, bytes]]:
    for name in NAMES[:3]:
        yield f"{name}, quartet", quartet(name).data
    for name in MOVEMENTS:
        if (ORCHESTRA / name).is_file():
            yield name, unzip_score((ORCHESTRA / name).read_bytes())


def _against_music21() -> Row:
    from music21 import converter

    movement = quartet(NAMES[2])
    spent = interleaved(
        {
            "music21": lambda: converter.parse(movement.data, format="musicxml"),
            "check": lambda: rewriter.check(movement.data),
        },
        1,
    )
    ratio = spent["music21"].processor / spent["check"].processor
    what = f"music21 only parses {movement.name}"
    return at_least(what, ratio, "times", AGAINST_MUSIC21, f"{movement.bars} bars")


def _folder(rounds: int) -> Iterator[Row]:
    """A hundred quartet movements, on all cores against one: by the clock, and by processors.

    The second does not count what else the machine does: work that only several processes
    have.
    """
    with tempfile.TemporaryDirectory() as place:
        cache, folder = Path(place) / "cache", Path(place) / "scores"
        folder.mkdir()
        for at in range(SCORES):
            name = NAMES[at % len(NAMES)]
            (folder / f"{at}.musicxml").write_bytes(quartet(name).data)
        asked = ["check", str(folder), "--quiet"]
        spent = interleaved(
            {
                "one": lambda: run(["-c", _ONE_CORE + _COMMAND, *asked], cache),
                "all": lambda: run(["-c", _COMMAND, *asked], cache),
            },
            rounds,
        )
    note = f"{len(os.sched_getaffinity(0))} cores, Python {sys.version_info.minor}"
    what = f"check, a folder of {SCORES} quartets"
    ratio = spent["all"].wall / spent["one"].wall
    yield at_most(what, ratio, "times", FOLDER, note)
    busy = spent["all"].processor / spent["one"].processor
    yield at_most(f"{what}, all processes", busy, "times", ALL_PROCESSES, "processor time")
