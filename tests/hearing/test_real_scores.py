"""Doublings in real scores, against experts' marks and a program of others.

*OpenScore Orchestra* (scores CC0 1.0) with the *Hauptstimme* annotations (CC BY-SA), nine
movements by Beethoven and Bruckner (``python -m tests.hearing``). Asked of each other string
section in each stretch whose main tune is marked in one: both find a doubling 115 times,
neither 1,690 times. Where they differ, by cause:

Theirs alone, 45: 30 have fewer than six notes or three pitch classes between two marks (16 of
the two dozen that were read are a single pitch, four the four notes of an upbeat) and are no
whole phrase; in 13 the notes begin at other times or differ, a chord under a tune, or long
notes under repeated ones; 2 change their distance in the middle. Their program compares
whatever lies between two marks, however little, and any octave at each note.

Found here alone, 54: 25 double for a part of the stretch, which theirs compares whole; 3 are
chords under a tune of repeated notes; 26 are the tune note for note from beginning to end, of
which eight were read in the score: all were real, and theirs passes them over.
"""

import pytest

from tests.hearing.experts import ORCHESTRA, compared, counted
from tests.hearing.quartets import Counts, counts
from tests.rates.measuring import quartets


@pytest.mark.parametrize(
    ("movement", "found"),
    [
        (
            "Beethoven_Op.67_2",
            {
                "both": 21,
                "neither": 169,
                "ours: a part of the stretch": 6,
                "ours: the whole stretch": 3,
                "theirs: the distance changes": 1,
            },
        ),
        ("Bruckner_WAB.105_2", {"both": 9, "neither": 115}),
    ],
)
def test_tunes_marked_by_experts(movement: str, found: dict[str, int]) -> None:
    path = ORCHESTRA / f"{movement}.mxl"
    if not path.exists():
        pytest.skip("the annotated orchestral movements are not on this machine")
    assert counted(list(compared(path))) == found


def test_a_quartet() -> None:
    """All 51 movements have 6.9 doublings and 2.4 later statements in 100 bars."""
    found = counts(next(path for path in quartets() if path.stem == "movement1"))
    assert found == Counts(bars=313, doublings=64, short=0, returns=8)
