"""Real quartet movements out of music21's corpus, whole and as the first violin alone."""

import re
import zipfile
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import NamedTuple

from lxml import etree

from tests.shorthand import sketch

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
    return _over_and_over(root, bars)


FULL_OF_SIGNS = """4/4 key=2 tempo=96 f (D5q^accent E5e F#5e) G5q^trill A5q
| < "dolce" [F#5 A5]h ! p (B5q C#6q | D6h~ | D6q) E6e^fermata re rh
| key=-1 mf "pizz." C7e D7e E7e F7e G7e A7e G7e F7e
| "arco" > 3{C4e D4e E4e} `F4e G4q rq ! pp rq | "sul G" A3q^harmonic B3q C4q D4q
| key=2 mark=B "poco rit." (C6q^3 B5q A5q G5q | F5h) cue:G5h | pp < R
| "a tempo" ! "sul D" D4h [D4 F#4 A4]h | "Tranquillo" Bb5w |"""
"""Some bars in the shorthand of the tests, with a sign of nearly every kind."""


def full_of_signs(bars: int) -> bytes:
    """A sketch of so many bars that says something in every one of them."""
    return _over_and_over(etree.fromstring(sketch(FULL_OF_SIGNS)), bars)


def _over_and_over(root: etree._Element, bars: int) -> bytes:
    """A score of one part with its bars repeated to so many, numbered anew."""
    part = root.find("part")
    assert part is not None
    measures = [etree.tostring(measure) for measure in part.findall("measure")]
    for measure in list(part):
        part.remove(measure)
    part.text = "\n"  # or it has no end tag
    before, after = etree.tostring(root).split(b"</part>")
    again = measures[1:]  # the first has clef, key and metre
    numbered = [measures[0], *(again[at % len(again)] for at in range(bars - 1))]
    inside = [
        re.sub(rb'number="[^"]*"', b'number="%d"' % (at + 1), measure, count=1)
        for at, measure in enumerate(numbered)
    ]
    return b"".join((before, *inside, b"</part>", after))
