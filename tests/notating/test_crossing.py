"""A second part for a section: there where its lines cross, and not there where they do not."""

import re

import pytest

from tests.outside.schema import faults
from tests.outside.spans import voice_faults
from tests.planned import by_layout, layout, said
from tests.shorthand import sketch

TUNE = "4/4 | C4h D4 | E4w |"


def with_bass(bass: str, music: str = TUNE) -> bytes:
    data = sketch(music, others={"Bass": bass})
    text = layout("half Vc loco", "[[with]]", 'from = "Bass"', 'to = "half Vc loco"')
    return by_layout(data, text, tune="Flute").score


@pytest.mark.parametrize(
    ("bass", "expected"),
    [
        ("4/4 | C3h D3 | E3w |", '"div." C4+C3h D4+D3h | E4+E3w'),
        ("4/4 | C3w | E3w |", '"div." C4h D4h & C3w | E4w & E3w'),
        ("4/4 | C4h D4 | E4w |", '"div." C4+C4h D4+D4h | E4+E4w'),  # they meet
        ("4/4 | C3w | R |", '"div." C4h D4h & C3w | E4w & R'),
    ],
)
def test_lines_that_do_not_cross_share_a_staff(bass: str, expected: str) -> None:
    parts = said(with_bass(bass))
    assert "Vc 2" not in parts
    assert parts["Vc"] == expected


def test_lines_that_cross_have_a_staff_each() -> None:
    parts = said(with_bass("4/4 | C3h F4 | E3w |"))
    assert parts["Vc"] == '"div." C4h D4h | E4w'
    assert parts["Vc 2"] == "C3h F4h | E3w"


def test_crossing_in_passing_counts_only_while_both_sound() -> None:
    """The bass leaps up while the tune rests."""
    parts = said(with_bass("4/4 | C3h F4 | E3w |", "4/4 | C4h rh | E4w |"))
    assert "Vc 2" not in parts


def test_two_staves_stand_together_in_the_bracket() -> None:
    score = with_bass("4/4 | C3h F4 | E3w |")
    assert faults(score) == []
    assert voice_faults(score) == []
    found = re.findall(r'<score-part id="(\w+)"|<part-group [^>]*type="(\w+)"', score.decode())
    order = [part or kind for part, kind in found]
    assert order == ["start", "P1", "P2", "P3", "P4", "P4b", "P5", "stop"]


def test_the_upper_line_by_sound_is_the_first() -> None:
    """The second half of the section carries the higher voice."""
    data = sketch("4/4 | C3h D3 | E3w |", others={"High": "4/4 | C4h D4 | E4w |"})
    text = layout("half Vc loco", "[[with]]", 'from = "High"', 'to = "half Vc loco"')
    parts = said(by_layout(data, text, tune="Flute").score)
    assert parts["Vc"] == '"div." C4+C3h D4+D3h | E4+E3w'


def test_the_lower_staff_has_the_clefs_of_its_own_line() -> None:
    """A tune high above the stave for all but the last bar, where the bass crosses it."""
    music = "4/4 | C5h D5 | D5h E5 | E5h F5 | D3w |"
    data = sketch(music, others={"Bass": "4/4 | C3w | D3w | C3w | G3w |"})
    text = layout("half Vc loco", "[[with]]", 'from = "Bass"', 'to = "half Vc loco"')
    score = by_layout(data, text, tune="Flute").score.decode()
    lower = score.partition('<part id="P4b">')[2]
    assert re.findall(r"<sign>(\w)", lower.partition("</part>")[0]) == ["F"]
