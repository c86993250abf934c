"""Real quartet movements out of music21's corpus, whole and as the first violin alone."""

import re
import zipfile
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import NamedTuple

from lxml import etree

LAYOUT = "Vn I / Vn II + Vla / Vc"

NAMES = (
    "beethoven/opus18no1/movement1",
    "beethoven/opus59no1/movement1",
    "haydn/opus74no1/movement1",
    "haydn/opus74no1/movement2",
    "mozart/k155/movement1",
    "mozart/k458/movement1",
    "schumann_robert/opus41no1/movement1",
    "schumann_robert/opus41no1/movement4",
)

_FIRST_SCORE = re.compile(rb'full-path="([^"]+)"')


class Movement(NamedTuple):
    """A movement as a sketch: the bytes of the file, and which of its parts is the tune."""

    name: str
    data: bytes
    tune: str
    bars: int


def corpus() -> Path:
    """Where the corpus is; music21 itself stays unloaded, as it would slow the collector."""
    spec = find_spec("music21")
    assert spec is not None
    assert spec.submodule_search_locations is not None
    return Path(spec.submodule_search_locations[0]) / "corpus"


@cache
def quartet(name: str) -> Movement:
    """The whole quartet; its tune has to be named."""
    with zipfile.ZipFile(corpus() / f"{name}.mxl") as packed:
        found = _FIRST_SCORE.search(packed.read("META-INF/container.xml"))
        assert found
        data = packed.read(found[1].decode())
    first = etree.fromstring(data).find("part")
    assert first is not None
    return Movement(name, data, str(first.get("id")), len(first.findall("measure")))


@cache
def first_violin(name: str) -> Movement:
    """The first violin by itself, otherwise as the file has it."""
    whole = quartet(name)
    root = etree.fromstring(whole.data)
    entries = root.find("part-list")
    assert entries is not None
    for part in root.findall("part")[1:]:
        root.remove(part)
    for entry in list(entries):
        if entry.get("id") != whole.tune:
            entries.remove(entry)
    data = etree.tostring(root, encoding="UTF-8", xml_declaration=True)
    return Movement(name, data, "", whole.bars)


def repeated(bars: int) -> bytes:
    """A sketch of so many bars: a movement's first violin over and over, repeats left out."""
    root = etree.fromstring(first_violin("haydn/opus74no1/movement1").data)
    part = root.find("part")
    assert part is not None
    for tag in ("barline", "print"):
        for element in list(part.iter(tag)):
            measure = element.getparent()
            assert measure is not None
            measure.remove(element)
    measures = [etree.tostring(measure) for measure in part.findall("measure")]
    for measure in list(part):
        part.remove(measure)
    before, after = etree.tostring(root).split(b"</part>")
    again = measures[1:]  # the first has clef, key and metre
    numbered = [measures[0], *(again[at % len(again)] for at in range(bars - 1))]
    inside = [
        re.sub(rb'number="[^"]*"', b'number="%d"' % (at + 1), measure, count=1)
        for at, measure in enumerate(numbered)
    ]
    return b"".join((before, *inside, b"</part>", after))
