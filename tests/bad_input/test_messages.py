"""What a message repeats of somebody's text fits a row, and what is said of it remains."""

import pytest

from rewriter.problems import Refused
from rewriter.texts import LONGEST_LIST, LONGEST_TEXT, one_row

ENDLESS = "9" * 5000


@pytest.mark.parametrize("sign", ["9", "x", "\x1b", "\u202e", "\U000f0000", "\n"])
def test_what_is_said_of_a_long_quotation_remains(sign: str) -> None:
    said = one_row(f'no part is called "{sign * 2**20}" in "a b"')
    assert said.startswith('no part is called "')
    assert said.endswith('..." in "a b"')
    assert said.isprintable()
    assert len(said) < LONGEST_TEXT


def test_short_quotations_stay_as_they_are() -> None:
    for said in (
        '"" is no number',
        f'"{"x" * 80}" is none',
        'an odd " sign',
        "bar 12, beat 2.5",
    ):
        assert one_row(said) == said


def test_numbers_without_end_are_cut_even_unquoted() -> None:
    assert one_row(f"a metre of {ENDLESS}/4") == f"a metre of {'9' * 40}.../4"


def test_a_path_is_told_whole() -> None:
    path = f"/{'long/' * 100}cue.musicxml"
    assert str(Refused("the file is empty", file=path)) == f"{path}: the file is empty"


def test_a_remedy_may_list_what_there_is_but_not_for_ever() -> None:
    names = ", ".join(f"layout {number}" for number in range(2000))
    said = str(Refused("no such layout", f"there are {names}"))
    assert LONGEST_TEXT < len(said) < LONGEST_LIST + 100
