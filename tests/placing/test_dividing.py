"""Who of a section has which of its lines, where several stacks name it."""

import pytest

from tests.planned import by_layout, layout
from tests.shorthand import sketch

SKETCH = sketch(("4/4 | C4h D4h |", "4/4 | C3w |"), tune="Piano")


# Of the ten cellos of the symphonic strings:
@pytest.mark.parametrize(
    ("tune", "bass", "shares"),
    [
        ("Vc loco", "Vc loco", [("", 5.0), ("", 5.0)]),
        ("Vc loco", "desk 1 Vc loco", [("others", 8.0), ("desk 1", 2.0)]),
        ("half Vc loco", "Vc loco", [("half", 5.0), ("others", 5.0)]),
    ],
)
def test_who_plays_what(tune: str, bass: str, shares: list[tuple[str, float]]) -> None:
    wanted = layout(tune, "[[with]]", 'from = "staff 2"', f'to = "{bass}"')
    lines = by_layout(SKETCH, wanted).report.lines
    assert [(line.share, line.players) for line in lines] == shares
