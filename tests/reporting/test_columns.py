import pytest

from rewriter.reporting.columns import align, shorten_bars, wrap_hanging


@pytest.mark.parametrize(
    ("bars", "said"),
    [
        ([], ""),
        (["X1"], "bar X1"),
        (["1", "2", "3"], "bars 1, 2 and 3"),
        (["1", "2", "3", "4"], "bars 1, 2, 3 and 4"),
        (["1", "2", "3", "4", "5"], "bars 1, 2, 3, 4 and 5"),
        (["101", "102", "103", "104", "105"], "bars 101, 102, 103 and 2 more"),
    ],
)
def test_a_list_of_bars_is_shortened_only_where_that_saves_something(
    bars: list[str], said: str
) -> None:
    assert shorten_bars(bars) == said


def test_columns_are_as_wide_as_their_widest_cell_and_leave_no_blanks_at_the_end() -> None:
    rows = [["Line", "Players", ""], ["Vn II", "4", "x"], ["Vc", "16", ""]]
    assert align(rows, right=frozenset({1})) == [
        "Line   Players",
        "Vn II        4  x",
        "Vc          16",
    ]


def test_a_long_file_name_is_never_cut() -> None:
    name = "/home/kjell/scores/" + "ferry-at-dusk-" * 8 + "strings.musicxml"
    lines = wrap_hanging(f"see {name} now", first="  ", rest="    ", width=40)
    assert lines == ["  see", f"    {name}", "    now"]
