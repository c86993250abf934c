"""Which bar is which, said in words."""

import pytest

from rewriter.merging.bar_map import parse_bars
from rewriter.problems import Refused

WAS = ["0", "1", "2", "3", "4", "4a"]
NOW = ["0", "1", "2", "3", "4", "5", "6"]


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("1=2", {1: 2}),
        ("0-2=0-2, 3-4a = 4-6", {0: 0, 1: 1, 2: 2, 3: 4, 4: 5, 5: 6}),
        ("4a=0", {5: 0}),
    ],
)
def test_read(text: str, wanted: dict[int, int]) -> None:
    assert parse_bars(text, WAS, NOW) == wanted


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", 'bars: "" does not say which bars are which; write it like "1-8=1-8, 9-40=13-44"'),
        ("1-2", 'bars: "1-2" does not say which bars are which; '
                'write it like "1-8=1-8, 9-40=13-44"'),
        ("1-3=1-2", 'bars: "1-3=1-2" sets 3 against 2 bars; '
                    'write it like "1-8=1-8, 9-40=13-44"'),
        ("1=9", 'bars: the new score has no bar "9"; name printed numbers'),
        ("9-10=1-2", 'bars: the score as it was has no bar "9"; name printed numbers'),
        ("3-1=1-3", 'bars: "3-1" ends before it begins; write it like "1-8=1-8, 9-40=13-44"'),
        ("1=1, 1=2", 'bars: "1=2" names a bar again; name each once'),
        ("1=1, 2=1", 'bars: "2=1" names a bar again; name each once'),
    ],
)  # fmt: skip
def test_refused(text: str, said: str) -> None:
    with pytest.raises(Refused) as refused:
        parse_bars(text, WAS, NOW)
    assert str(refused.value) == said
