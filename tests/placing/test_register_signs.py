"""Words that name a string, against the note they are played on."""

import pytest

from tests.planned import by_layout, layout, said
from tests.shorthand import sketch


@pytest.mark.parametrize(
    ("ahead", "printed"),
    [("B3w", '"sul G" '), ("G5w", "")],
    ids=["on the G string", "out of its reach"],
)
def test_a_word_before_a_rest_is_for_the_first_note_of_the_next_bar(
    ahead: str, printed: str
) -> None:
    """The G string, 55, is played to a ninth above it, A4: B3 is on it and G5 is not."""
    made = by_layout(sketch(f'4/4 | A4h. "sul G" rq | {ahead} |'), layout("Vn I loco"))
    assert said(made.score)["Vn I"] == f"A4h. {printed}rq | {ahead}"
    found = [one.rule for one in made.report.findings]
    assert found == ([] if printed else ["not-true-here"])
