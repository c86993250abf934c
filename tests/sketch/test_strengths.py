"""How strong a tune is over time: dynamics in force, hairpins from their middle."""

import pytest

from rewriter.scores.score import read_score
from rewriter.sketch.frame_reading import UNISON
from rewriter.sketch.in_every_key import Readings, Request
from rewriter.sketch.requests import Keep
from tests.shorthand import sketch


def strengths(music):
    """From which quarter on the tune is how strong."""
    readings = Readings(read_score(sketch(music)), Request("", Keep(), whole=False))
    tune = readings.tune(UNISON, "top")
    divisions = tune.frame.divisions
    return [(each.time / divisions, each.strength) for each in tune.tune.strengths]


@pytest.mark.parametrize(
    ("music", "expected"),
    [
        ("4/4 | C5w | D5w |", []),
        ("4/4 | p C5w | D5w |", [(0, "soft")]),
        ("4/4 | C5w | ff D5w |", [(4, "full")]),
        # Each level of each strength; what is told again changes nothing.
        (
            "4/4 | pp C5q p C5q mp C5q mf C5q | f C5q fff C5q mf C5h |",
            [(0, "soft"), (2, "plain"), (4, "full"), (6, "plain")],
        ),
        # Accents are not in force; fp is soft behind its accent.
        ("4/4 | p C5q sfz C5q sf C5h | fp D5w |", [(0, "soft")]),
        # A hairpin counts as what it leads to from its middle on.
        ("4/4 | p < C5w | C5w | C5w | ! f C5w |", [(0, "soft"), (6, "full")]),
        ("4/4 | f > C5w | C5w | ! p C5w |", [(0, "full"), (4, "soft")]),
        ("4/4 | < C5w | ! ff C5w |", [(2, "full")]),
        # To the mark within a bar behind its end too, but not to one farther away.
        ("4/4 | p < C5w | ! C5h f C5h |", [(0, "soft"), (2, "full")]),
        ("4/4 | p < C5w | ! C5w | C5q f C5h. |", [(0, "soft"), (9, "full")]),
        # A swell leads nowhere that is said; nor does a hairpin to the wrong side.
        ("4/4 | p < C5h ! > C5h ! | f C5w |", [(0, "soft"), (4, "full")]),
        ("4/4 | f < C5w | ! p C5w |", [(0, "full"), (4, "soft")]),
    ],
)
def test_dynamics_hold_by_time(music, expected):
    assert strengths(music) == expected


def test_dynamics_among_the_notations_of_a_note_count_too():
    data = sketch("4/4 | C5w | D5w |")
    signs = b"</type><notations><dynamics><ff/></dynamics></notations>"
    said = signs.join(data.rsplit(b"</type>", 1))
    readings = Readings(read_score(said), Request("", Keep(), whole=False))
    (only,) = readings.tune(UNISON, "top").tune.strengths
    assert only.strength == "full"


def test_words_of_a_dynamic_that_has_no_sign_of_its_own_are_read():
    data = sketch("4/4 | p C5w | D5w |")
    said = data.replace(b"<p/>", "<other-dynamics>più f</other-dynamics>".encode())
    readings = Readings(read_score(said), Request("", Keep(), whole=False))
    (only,) = readings.tune(UNISON, "top").tune.strengths
    assert only.strength == "full"
