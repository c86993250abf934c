"""Expanding made-up sketches, and what they should then sound like, by our reference reader."""

from functools import lru_cache
from typing import Any

from hypothesis import reject

import rewriter
from rewriter.problems import Refused
from tests.outside.reference import Heard, heard_in_xml
from tests.property.strategies import Sketch

SECTIONS = ("Vn I", "Vn II", "Vla", "Vc", "Db")
LAYOUTS = (
    "Vn I / Vn II + Vla / Vc",
    "Vn I",
    "Vn I 8va / Vn II + Vla // Vc + Db",
    "Vla loco + half Vc loco",
    "Vn I / Vn II / Vla / Vc / Db",
    "Vc / Db",
)
# Low to high by sound: the ranges the symphonic ensemble ships with, typed from its sources
# (Johnstone 1917, Prout 1899, Widor 1906, Rimsky-Korsakov 1922), not read from its file.
RANGES = {
    "Vn I": (55, 100),
    "Vn II": (55, 100),
    "Vla": (48, 88),
    "Vc": (36, 81),
    "Db": (28, 55),
}


def expand(sketch: Sketch, layout: str, **options: Any) -> rewriter.Expansion:
    """The sketch through a stack.

    Sketches without a note in the tune do not count, nor those that would need octaves
    MusicXML does not have.
    """
    if not tune_of(sketch):
        reject()
    try:
        return rewriter.expand(sketch.data, layout, tune=sketch.tune, **options)
    except Refused as refused:
        if any(said in str(refused) for said in BEYOND_ALL_OCTAVES):
            reject()
        raise


BEYOND_ALL_OCTAVES = ("past C0 or B9", "beyond the octaves MusicXML can write")


@lru_cache(maxsize=4)
def tune_of(sketch: Sketch) -> list[Heard]:
    """The tune as it sounds: first voice of the upper staff, top notes of chords."""
    staff = "1" if "two staves" in sketch.features else None
    return heard_in_xml(sketch.data, "P1", staff=staff, voice="1", chords="top")


def moved(notes: list[Heard], octaves: int) -> list[Heard]:
    """The same notes so many octaves higher."""
    return [note._replace(midi=note.midi + 12 * octaves) for note in notes]


def told(expansion: rewriter.Expansion, tune: list[Heard]) -> list[list[Heard]]:
    """What each part should sound like by the lines the report names; nothing if it rests."""
    parts: dict[str, list[Heard]] = {section: [] for section in SECTIONS}
    for line in expansion.report.lines:
        parts[line.section] = moved(tune, line.octave)
    return list(parts.values())
