"""Cue notes of real scores: readable, nearly in place, and not in the way of what is played.

Leger lines are counted as tests/corpus/clefs.py counts them.
"""

import re
from fractions import Fraction
from pathlib import Path

import pytest
from lxml import etree

import rewriter
from rewriter.verbs.parts import parts
from tests.corpus.clefs import lines_needed
from tests.corpus.trying import pieces
from tests.outside.heard import heard_by_music21, heard_by_partitura, heard_by_verovio
from tests.outside.reference import bar_lengths, heard_by_reference
from tests.outside.schema import faults
from tests.outside.spans import spanner_faults

SCORE_FOLDER = Path(__file__).resolve().parents[2] / "scores"
SCORES = (
    "beethoven/opus59no1/movement4.mxl",
    "haydn/opus74no1/movement2.mxl",
    "mozart/k156/movement2.mxl",
    "schumann_robert/opus41no1/movement1.mxl",
)


def _cue_lines(part: etree._Element) -> list[int]:
    """Leger lines of each cue note in the clef it stands in."""
    clef, found = ("G", 2), []
    for child in part.iter("clef", "note"):
        if child.tag == "clef":
            clef = (child.findtext("sign", ""), int(child.findtext("line", "2")))
        elif child.find("cue") is not None and child.find("pitch") is not None:
            step = "CDEFGAB".index(child.findtext("pitch/step", ""))
            found.append(lines_needed(step + 7 * int(child.findtext("pitch/octave", "")), clef))
    return found


def _overlaps(measure: etree._Element) -> bool:
    """True where cue notes reach into what the player plays, in divisions."""
    now, cue_end, own_start = Fraction(0), Fraction(0), None
    for child in measure.iter("note", "backup", "forward"):
        length = Fraction(child.findtext("duration", "0"))
        if child.find("chord") is not None:
            continue
        if child.find("cue") is not None:
            cue_end = max(cue_end, now + length)
        elif child.find("pitch") is not None:
            own_start = now if own_start is None else min(now, own_start)
        now += -length if child.tag == "backup" else length
    return own_start is not None and cue_end > own_start


@pytest.mark.parametrize("name", SCORES)
def test_cues_are_readable_and_end_where_the_player_begins(name: str) -> None:
    path = next(path for path in pieces() if path.as_posix().endswith(name))
    made = parts(path, cue_notes=1)
    assert sum(part.cue_notes for part in made)
    for part, plain in zip(made, parts(path), strict=True):
        assert faults(part.data) == faults(plain.data)
        assert spanner_faults(part.data) == spanner_faults(plain.data)
        assert heard_by_reference(part.data) == heard_by_reference(plain.data)
        assert bar_lengths(part.data) == bar_lengths(plain.data)
        root = etree.fromstring(part.data)
        assert max(_cue_lines(root), default=0) <= 2
        assert not any(_overlaps(measure) for measure in root.iter("measure"))


def _unfolded(data: bytes) -> bytes:
    """Without multi-bar rests, whose bars verovio reads as one."""
    return re.sub(rb"<attributes><measure-style>.*?</attributes>", b"", data)


@pytest.mark.parametrize("plan", ["harbour-arc", "ferry-handover"])
def test_three_readers_hear_no_cue(plan: str) -> None:
    name = "harbour-thaws" if plan == "harbour-arc" else "last-ferry"
    score = rewriter.expand(SCORE_FOLDER / f"{name}.musicxml", plan=plan).score
    cued = [
        pair
        for pair in zip(parts(score, cue_notes=1), parts(score), strict=True)
        if pair[0].cue_notes
    ]
    assert len(cued) == 3
    for read in (heard_by_music21, heard_by_partitura, heard_by_verovio):
        for part, plain in cued:
            assert read(_unfolded(part.data)) == read(_unfolded(plain.data)), part.name
