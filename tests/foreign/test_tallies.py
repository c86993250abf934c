"""What of a file is not read is counted, kind by kind, and told."""

import pytest

from rewriter.foreign.opening import open_sketch
from rewriter.foreign.tallies import tally_of_abc, tally_of_humdrum
from tests.foreign.test_read_as_music21 import as_mei
from tests.shorthand import sketch


@pytest.mark.parametrize(
    ("music", "counts"),
    [
        ("!f!G !>(!A !>)!B !ppp!c", {"dynamics": 2, "hairpins": 1}),
        ("(GA) (3GAB ((GA)B)", {"slurs": 3}),
        (".G ~A HB Tc LG", {"articulations": 2, "fermatas": 1, "ornaments": 2}),
        ("uvd uG", {"bowings": 3}),
        ('"Am"G "^dolce"A "_(so)"B', {"words": 2}),
        ("G A % a (comment) !f!", {}),
        ("w: la la-la * so~so _ |\nV:1 name=\"(T)\"\nK:G", {"lyrics": 4}),
        ("!segno!G !odd!A [M:3/4]B {GA}c", {"other signs": 2}),
        ("HABc | [Ace]", {"fermatas": 1}),
    ],
)  # fmt: skip
def test_signs_of_abc(music: str, counts: dict[str, int]) -> None:
    """Source: the ABC standard 2.1."""
    assert {kind: n for kind, n in tally_of_abc(music).items() if n} == counts


def test_signs_of_humdrum_follow_columns_that_split_and_join() -> None:
    """Source: Humdrum User Guide, chapter 5, spine paths."""
    rows = [
        "**kern\t**dynam\t**text",
        "(4c'\tf\tla",
        "*^\t*\t*",
        "4e;\t4c)\t<\t-",
        "!LO:(\t!\t!\t!(",
        "=2\t=2\t=2\t=2",
        "4e 4g\t.\t[\tlo",
        "*v\t*v\t*\t*",
        "8gT\tp\t.",
        "4r\t.\t.",
        "*-\t*-\t*-",
    ]
    assert tally_of_humdrum("\n".join(rows)) == {
        "notes": 6, "slurs": 1, "articulations": 1, "fermatas": 1, "ornaments": 1,
        "dynamics": 2, "hairpins": 1, "lyrics": 2,
    }  # fmt: skip


FULL = sketch(
    '4/4 | tempo=96 "dolce" p C5q_la < (D5q^staccato E5q) ! f F5q^fermata | G5h^trill A5h |'
)


def test_what_is_not_read_is_told() -> None:
    """Source: verovio writes the MEI; music21 reads slurs and lyrics of it."""
    said = open_sketch(as_mei(FULL)).remarks[1:]
    assert len(said) == 1
    for kind in ("dynamics 2", "fermatas 1", "hairpins 1", "ornaments 1", "words 1"):
        assert kind in said[0]
    for kind in ("slurs", "notes", "articulations", "lyrics"):
        assert kind not in said[0]


def test_nothing_is_told_where_everything_is_read() -> None:
    assert len(open_sketch(as_mei(sketch("4/4 | C5q (D5q E5q) F5q | G5w |"))).remarks) == 1
