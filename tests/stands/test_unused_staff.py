"""The second staff of a part hidden where its section is not divided.

Checked against the standard (W3C MusicXML 4.0, ``<staff-details>``, ``<print>``): hidden and
shown where a system begins, ``<staves>`` said once, music for every reader as in the score.
"""

import re
from itertools import groupby

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from rewriter.stands.extraction import Part
from rewriter.verbs.parts import parts
from tests.outside.heard import heard_by_music21, heard_by_partitura, heard_by_verovio
from tests.outside.reference import heard_by_reference, score_root
from tests.outside.schema import assert_valid
from tests.planned import by_plan, layout
from tests.shorthand import sketch

HALVES = layout("Vn I loco / half Vc", "[[with]]", 'from = "Bass"', 'to = "half Vc loco"')
FEWEST = 4
"""Bars a system has at least."""


def cellos(divided: str, *, rests: str = "") -> tuple[bytes, Part]:
    """A score and its cello part; divided in bars with an ``x``, its tune resting at ``r``."""
    count = len(divided)
    tune = ["R" if bar in rests_at(rests) else "C5h D5h" for bar in range(count)]
    data = sketch(
        "4/4 | " + " | ".join(tune) + " |",
        tune="Melody",
        others={"Bass": "4/4 | " + " | ".join(["C3w"] * count) + " |"},
    )
    passages, first = [], 1
    for sign, group in groupby(divided):
        last = first + len(list(group)) - 1
        how = 'layout = "halves.toml"' if sign == "x" else 'stack = "Vn I loco / Vc"'
        passages.append(f'bars = "{first}-{last}"\n{how}')
        first = last + 1
    score = by_plan(data, *passages, halves=HALVES).score
    return score, next(part for part in parts(score) if part.name == "Violoncellos")


def rests_at(text: str) -> set[int]:
    return {bar for bar, sign in enumerate(text) if sign == "r"}


def shown(part: Part) -> str:
    """For each bar ``2`` or ``1`` staff shown; ``/`` before a bar that must begin a system."""
    text, two = "", True
    for measure in score_root(part.data).iter("measure"):
        if measure.find("print[@new-system='yes']") is not None:
            text += "/"
        for details in measure.iter("staff-details"):
            assert details.get("number") == "2"
            two = details.get("print-object") == "yes"
        text += "2" if two else "1"
    return text


@pytest.mark.parametrize(
    ("divided", "expected"),
    [
        ("xxxx", "2222"),
        (".....xxxxx", "11111/22222"),
        ("xxxxx.....", "22222/11111"),
        (".....x.....", "11111/222222"),
        ("..xxxx", "222222"),
        ("xxxx..xxxx", "2222222222"),
        (".....x........", "11111/2222/11111"),
        ("xx......xx", "2222/1111/22"),
    ],
)
def test_where_it_is_hidden(divided: str, expected: str) -> None:
    assert shown(cellos(divided)[1]) == expected


def test_a_section_on_one_staff_has_nothing_to_hide() -> None:
    part = cellos("......")[1]
    assert b"staff" not in part.data


@given(st.text(alphabet=".x", min_size=1, max_size=16))
def test_notes_are_seen_and_systems_are_long_enough(divided: str) -> None:
    score, part = cellos(divided)
    assert_valid(part.data)
    if "x" not in divided:
        return
    seen = shown(part)
    bars = seen.replace("/", "")
    assert all(staff == "2" for staff, sign in zip(bars, divided, strict=True) if sign == "x")
    assert all(len(system) >= FEWEST for system in seen.split("/")[:-1])
    assert all(len(set(system)) == 1 for system in seen.split("/"))
    assert part.data.count(b"<staves>") == 1
    upper, lower = heard_by_reference(score)[3:5]
    assert heard_by_reference(part.data) == [sorted([*upper, *lower])]


@pytest.mark.parametrize("heard", [heard_by_music21, heard_by_partitura, heard_by_verovio])
def test_readers_hear_both_staves(heard) -> None:
    part = cellos(".....xxxxx....")[1]
    assert heard(part.data) == heard_by_reference(part.data)


def test_the_unused_staff_holds_whole_bar_rests() -> None:
    for measure in score_root(cellos(".....xxxxx")[1].data).findall("part/measure")[:5]:
        lower = [note for note in measure.findall("note") if note.findtext("staff") == "2"]
        assert [note.find("rest").get("measure") for note in lower] == ["yes"]


def test_no_fermata_stands_on_a_hidden_staff() -> None:
    """Some programs draw it all the same; what is shown has its own."""
    tune = ["C5h D5h^fermata" if bar in {2, 7} else "C5h D5h" for bar in range(10)]
    data = sketch(
        "4/4 | " + " | ".join(tune) + " |",
        tune="Melody",
        others={"Bass": "4/4 | " + " | ".join(["C3w"] * 10) + " |"},
    )
    score = by_plan(
        data,
        'bars = "1-5"\nlayout = "halves.toml"',
        'bars = "6-10"\nstack = "Vn I loco / Vc"',
        halves=HALVES,
    ).score
    part = next(part for part in parts(score) if part.name == "Violoncellos")
    assert shown(part) == "22222/11111"
    assert_valid(part.data)
    staves = [
        [
            note.findtext("staff")
            for note in measure.iter("note")
            if note.find(".//fermata") is not None
        ]
        for measure in score_root(part.data).iter("measure")
    ]
    assert (staves[2], staves[7]) == (["1", "2"], ["1"])


def test_multi_bar_rests_go_on_under_a_hidden_staff() -> None:
    part = cellos("..........xxxx", rests="...rrrr.......")[1]
    assert re.findall(rb"<multiple-rest>(\d)", part.data) == [b"4"]
    root = etree.fromstring(part.data)
    silent = [bar for bar in root.iter("measure") if bar.find(".//staff-details") is None]
    assert [bar.get("number") for bar in silent] == ["5", "6", "7", "12", "13", "14"]


def test_a_rest_of_both_is_not_broken_for_the_staff() -> None:
    """The staff stays to the end of the rest, so that it is counted in one."""
    part = cellos("xx............", rests="..rrrrrr......")[1]
    assert shown(part) == "22222222/111111"
    assert re.findall(rb"<multiple-rest>(\d)", part.data) == [b"6"]


def test_a_bar_in_two_halves_stays_on_one_system() -> None:
    """The section divides with the second half of a bar that a repeat divides."""
    data = sketch(
        "4/4 | C5w | C5w | C5w | C5w | C5h :| pickup C5h | C5w | C5w | C5w | C5w |",
        tune="Melody",
        others={"Bass": "4/4 | C3w | C3w | C3w | C3w | C3h :| C3q D3 | R | C3h D3 | R | R |"},
    )
    made = by_plan(
        data,
        'from = "1"\nto = "5(1)"\nstack = "Vn I loco / Vc"',
        'from = "5(2)"\nto = "end"\nlayout = "halves.toml"',
        halves=HALVES,
    )
    part = next(part for part in parts(made.score) if part.name == "Violoncellos")
    assert shown(part) == "1111/222222"


def test_the_part_knows_the_section_again_when_a_program_has_saved_the_score() -> None:
    """Programs give parts ids of their own; the name that is not printed tells."""
    score, _ = cellos("xxxx")
    saved = score.replace(b'"P5"', b'"P6"').replace(b'"P4b', b'"P5')
    assert saved != score
    assert [part.name for part in parts(saved, tacet=False)] == ["Violins I", "Violoncellos"]
