"""What is carried into another key is where music21 puts the same notes."""

from typing import NamedTuple

import pytest

import rewriter
from tests.regenerating.edits import worked_on
from tests.regenerating.test_edits import TUNE

LAYOUT = "Vn I 8va / Vn II + Vla / Vc"
HANDS = ["move a note", "change a step", "add to a chord", "sound a rest", "shorten a note"]


class Heard(NamedTuple):
    """A note as music21 reads it."""

    part: str
    bar: int
    beat: float
    length: float
    name: str


def heard(data: bytes) -> list[Heard]:
    from music21 import converter

    score = converter.parseData(data, format="musicxml")
    return sorted(
        Heard(
            part.partName,
            bar.number,
            float(note.offset),
            float(note.quarterLength),
            pitch.nameWithOctave,
        )
        for part in score.parts
        for bar in part.getElementsByClass("Measure")
        for note in bar.recurse().notes
        for pitch in note.pitches
    )


def moved(data: bytes, by: str) -> list[Heard]:
    """The same as music21 transposes it."""
    from music21 import pitch

    return sorted(
        one._replace(name=pitch.Pitch(one.name).transpose(by).nameWithOctave)
        for one in heard(data)
    )


@pytest.mark.parametrize(("by", "name"), [("up M2", "M2"), ("down m3", "m-3"), ("up P4", "P4")])
@pytest.mark.parametrize("seed", range(3))
def test_notes_of_a_hand_in_another_key(by: str, name: str, seed: int) -> None:
    """Source: music21's transposition of the edited score, note by note."""
    base = rewriter.expand(TUNE, LAYOUT).score
    hand = worked_on(base, HANDS * 2, seed)
    made = rewriter.regenerate(hand, TUNE, LAYOUT, base=base, by=by, marks=False)
    assert {one.kind for one in made.report.conflicts} == set()
    assert any(one.kind == "notes" for one in made.report.carried)
    assert heard(made.score) == moved(hand, name)
