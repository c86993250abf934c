"""Bars of one made-up score put into another sound there as they did; all else as before."""

import random
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rewriter.editing.bars import bars_put_in, bars_taken_out
from rewriter.editing.edits import InBar, edited
from rewriter.editing.fitting import brought_over, fitted
from rewriter.scores.score import read_score
from tests.outside.heard import heard_by_music21, heard_by_partitura
from tests.outside.reference import Heard, heard_by_reference
from tests.outside.schema import assert_valid
from tests.property.test_new_music_in_any_bar import QUARTERS, score
from tests.property.test_parts_of_any_file import asides, bars_in_file
from tests.property.test_signs_in_any_bar import unpacked
from tests.property.untidy import untidy


def sounding_in(data: bytes, bar: int) -> list[Heard]:
    """Notes of a bar of the first part, in quarters from its start."""
    (part,) = heard_by_reference(data)
    start = bar * QUARTERS
    return [
        note._replace(onset=note.onset - start)
        for note in part
        if start <= note.onset < start + QUARTERS
    ]


def later(notes: list[Heard], bars: int) -> list[Heard]:
    by = Fraction(bars * QUARTERS)
    return sorted(note._replace(onset=note.onset + by) for note in notes)


def brought(seed: int) -> tuple[bytes, bytes, list[Heard]]:
    """A score, the same with a bar of another over one, and what should sound there."""
    rng = random.Random(seed)  # noqa: S311 - music, not secrets
    here, there = score(rng).data, score(rng).data
    place = rng.randrange(3)
    edits = brought_over(read_score(here), InBar(0, place), read_score(there), InBar(0, 1))
    wanted = [
        note
        for bar in range(3)
        for note in later(
            sounding_in(there, 1) if bar == place else sounding_in(here, bar), bar
        )
    ]
    return here, edited(read_score(here), edits), wanted


@given(st.integers(0, 10**9))
def test_a_bar_over_another_sounds_as_where_it_comes_from(seed: int) -> None:
    _, data, wanted = brought(seed)
    assert heard_by_reference(data) == [wanted]
    assert_valid(data)


@given(st.integers(0, 10**9))
def test_bars_between_others_sound_as_where_they_come_from(seed: int) -> None:
    rng = random.Random(seed)  # noqa: S311 - music, not secrets
    here, there = score(rng).data, score(rng).data
    read, source = read_score(here), read_score(there)
    before = rng.randrange(4)
    bars, after = fitted(read, InBar(0, before), source, InBar(0, 0), count=2)
    data = edited(read, [*bars_put_in(read, before, {0: bars}), *after])
    order = [(here, bar) for bar in range(3)]
    order[before:before] = [(there, 0), (there, 1)]
    wanted = [
        note
        for bar, (whose, own) in enumerate(order)
        for note in later(sounding_in(whose, own), bar)
    ]
    assert heard_by_reference(data) == [wanted]
    assert_valid(data)
    again = read_score(data)
    less = edited(again, bars_taken_out(again, before, 2))
    assert heard_by_reference(less) == heard_by_reference(here)
    assert_valid(less)
    if not after and before < 3:
        assert less == here


@pytest.mark.parametrize("seed", range(6))
def test_programs_hear_it_too(seed: int) -> None:
    _, data, wanted = brought(seed)
    assert heard_by_music21(data) == [wanted]
    assert heard_by_partitura(data) == [wanted]


@given(st.integers(0, 10**6))
def test_bars_put_into_any_file_and_taken_out_leave_every_byte(seed: int) -> None:
    was = untidy(seed).file()
    score = read_score(was)
    before = seed % (len(score.parts[0].bars) + 1)
    new = {part: [b'<measure number="x"><note><rest/></note></measure>'] * 2 for part in (0, 1)}
    more = read_score(edited(score, bars_put_in(score, before, new)))
    assert not more.text.rebuilt
    for part in (0, 1):
        own = bars_in_file(score, part)
        now = bars_in_file(more, part)
        assert now[:before] + now[before + 2 :] == own
        assert b"<note><rest/></note>" in now[before]
    assert asides(more) == asides(score)
    less = edited(more, bars_taken_out(more, before, 2))
    assert unpacked(less) == unpacked(was)
