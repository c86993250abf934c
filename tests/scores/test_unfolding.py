"""The order in which bars are played, worked out by hand and against music21's expander."""

import pytest

from rewriter.scores.score import read_score
from rewriter.scores.unfolding import order_of, playing_order
from tests.corpus.trying import pieces
from tests.plain_xml import bar_of, direction, note, score

SIGNS = {
    "|:": '<barline location="left"><repeat direction="forward"/></barline>',
    ":|": '<barline location="right"><repeat direction="backward"/></barline>',
    ":|3": '<barline location="right"><repeat direction="backward" times="3"/></barline>',
    ":|9": '<barline location="right"><repeat direction="backward" times="999999"/></barline>',
    "[1": '<barline location="left"><ending number="1" type="start"/></barline>',
    "[2": '<barline location="left"><ending number="2" type="start"/></barline>',
    "[3": '<barline location="left"><ending number="3" type="start"/></barline>',
    "[1,2": '<barline location="left"><ending number="1, 2" type="start"/></barline>',
    "]": '<barline location="right"><ending number="1" type="stop"/></barline>',
    "]:|": '<barline location="right"><ending number="1" type="stop"/>'
    '<repeat direction="backward"/></barline>',
    "segno": '<sound segno="s"/>',
    "coda": '<sound coda="c"/>',
    "to-coda": '<sound tocoda="c"/>',
    "dc": '<sound dacapo="yes"/>',
    "ds": '<sound dalsegno="s"/>',
    "fine": '<sound fine="yes"/>',
    "(D.C. al Fine)": direction("<words>D.C. al Fine</words>"),
    "(Fine)": direction("<words>Fine</words>"),
    "(segno)": direction("<segno/>"),
    "(coda)": direction("<coda/>"),
    "(To Coda)": direction("<words>To Coda</words>", "<coda/>"),
    "(D.S. al Coda)": direction("<words>D.S. al Coda</words>"),
    "(a fine tune)": direction("<words>a fine tune</words>"),
}
LEFT = ("|:", "[", "segno", "coda", "(segno)", "(coda)")


def written(text: str) -> bytes:
    """Bars between ``/``, each some signs by the names above."""
    bars = []
    for bar in text.split("/"):
        names = [name.replace("_", " ") for name in bar.split()]
        left = "".join(SIGNS[name] for name in names if name.startswith(LEFT))
        right = "".join(SIGNS[name] for name in names if not name.startswith(LEFT))
        bars.append(bar_of(left, note("A4", 8), right))
    return score(bars)


@pytest.mark.parametrize(
    ("text", "order"),
    [
        (" / ", "1 2"),
        (" / :| / ", "1 2 1 2 3"),
        (" / |: / :| / ", "1 2 3 2 3 4"),
        (" / :| / :| / ", "1 2 1 2 3 3 4"),
        (" / :|3 / ", "1 2 1 2 1 2 3"),
        (" / [1 ]:| / [2 ] / ", "1 2 1 3 4"),
        (" / [1 / ]:| / [2 ] / :| ", "1 2 3 1 4 5 5"),
        (" / [1,2 ]:| / [3 ] / ", "1 2 1 2 1 3 4"),
        (" / [1 ]:| / [2 ]:| / [3 ] / ", "1 2 1 3 1 4 5"),
        (" / [1 ]:| / ", "1 2 1 3"),
        (" / [1 ] / [2 ] / ", "1 2 3 4"),
        (" / fine / dc", "1 2 3 1 2"),
        (" / segno / / ds", "1 2 3 4 2 3 4"),
        (" / segno to-coda / ds / coda / ", "1 2 3 2 4 5"),
        ("|: / :| fine / dc", "1 2 1 2 3 1 2"),
        (" / [1 ]:| / [2 ] fine / dc", "1 2 1 3 4 1 3"),
        (" / (Fine) / (D.C._al_Fine)", "1 2 3 1 2"),
        (" / (segno) / (To_Coda) / (D.S._al_Coda) / (coda)", "1 2 3 4 2 3 5"),
        (" / (segno) / (coda) / (D.S._al_Coda) / (coda)", "1 2 3 4 2 3 5"),
        (" / (a_fine_tune) / dc", "1 2 3 1 2 3"),
        (" / ds / ", "1 2 3"),
        ("dc / dc / dc", "1 1 2 1 2 3 1 2 3"),
        ("segno coda to-coda ds", "1 1 1"),
    ],
)
def test_by_hand(text: str, order: str) -> None:
    data = read_score(written(text))
    assert [bar + 1 for bar in playing_order(data)] == [int(bar) for bar in order.split()]


def test_no_file_makes_it_endless() -> None:
    bars = "/".join(["|: segno coda to-coda ds dc :|9"] * 50)
    assert len(playing_order(read_score(written(bars)))) < 50 * 32 + 9 * 50


def test_signs_of_a_lower_part_count_where_the_upper_has_none() -> None:
    plain = [bar_of(note("A4", 8)), bar_of(note("A4", 8))]
    repeated = [plain[0], bar_of(note("A4", 8), SIGNS[":|"])]
    found = read_score(score({"Flute": plain, "Oboe": repeated}))
    assert playing_order(found) == [0, 1, 0, 1]
    assert order_of(found.parts[0]) == [0, 1]


# Chorales whose first lines are sung twice, some from an upbeat, some with two endings.
REPEATED = (
    "bach/bwv11.6.mxl", "bach/bwv227.7.mxl", "bach/bwv244.15.mxl", "bach/bwv248.59-6.mxl",
    "bach/bwv153.5.mxl",
)  # fmt: skip


def by_music21(data: bytes, part: int) -> list[int]:
    """Indexes of the bars in the order music21 expands them."""
    from music21 import converter, repeat, stream

    bars = converter.parseData(data, format="musicxml").parts[part]
    for index, measure in enumerate(bars.getElementsByClass(stream.Measure)):
        measure.groups = [f"bar {index}"]
    expanded = repeat.Expander(bars).process()
    return [int(one.groups[0].split()[1]) for one in expanded.getElementsByClass("Measure")]


@pytest.mark.parametrize("text", [
    " / :| / ", " / |: / :| / ", " / [1 ]:| / [2 ] / ", " / :|3 / ",
    "|: / [1 / ]:| / [2 ] / |: / :|",
])  # fmt: skip
def test_by_music21(text: str) -> None:
    data = written(text)
    assert playing_order(read_score(data)) == by_music21(data, 0)


# A second sign back with none forward leads to the first for us, to the start for music21.
@pytest.mark.parametrize("name", REPEATED)
def test_repeated_pieces_by_music21(name: str) -> None:
    data = next(path for path in pieces() if path.as_posix().endswith(name)).read_bytes()
    read = read_score(data)
    order = playing_order(read)
    assert len(order) > len(read.parts[0].bars)
    assert order == by_music21(read.source, 0)
