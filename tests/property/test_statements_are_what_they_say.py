"""Whatever a line is made of, its statements are by the definition what they are said to be."""

from fractions import Fraction
from itertools import pairwise
from math import ceil

from hypothesis import given
from hypothesis import strategies as st

from rewriter.hearing.statements import Statement, statements_in
from rewriter.hearing.tune_notes import TuneNote

BAR = Fraction(3)
LENGTHS = st.sampled_from([Fraction(1, 2), Fraction(1), Fraction(2), Fraction(1, 3)])
PITCHES = st.integers(55, 80)
Figure = tuple[Fraction, int | None]
"""A length and a pitch, or a rest."""


@st.composite
def phrases(draw: st.DrawFn) -> list[Figure]:
    """Notes and a rest at the end that fills the bar."""
    figures: list[Figure] = draw(
        st.lists(st.tuples(LENGTHS, PITCHES), min_size=8, max_size=24)
    )  # fmt: skip
    length = sum((one for one, _ in figures), Fraction(0))
    return [*figures, (-length % BAR, None)]


@st.composite
def lines(draw: st.DrawFn) -> tuple[list[TuneNote], list[Fraction]]:
    """A line of a few phrases in some order, moved and with a note changed here and there."""
    known = draw(st.lists(phrases(), min_size=1, max_size=3))
    notes: list[TuneNote] = []
    time = Fraction(0)
    for phrase in draw(st.lists(st.sampled_from(known), min_size=2, max_size=6)):
        semitones = draw(st.sampled_from([0, 0, 2, -12]))
        changed = draw(st.sets(st.integers(0, 24), max_size=2))
        for at, (length, pitch) in enumerate(phrase):
            if pitch is not None:
                sounding = pitch + semitones + (1 if at in changed else 0)
                notes.append(TuneNote(time, length, sounding))
            time += length
    return notes, [BAR * bar for bar in range(int(time / BAR) + 1)]


def _agrees(notes: list[TuneNote], first: Statement, one: Statement) -> bool:
    """True where a statement agrees with the first by the definition, counted anew."""
    start, stop = one.agreeing[0][0], one.agreeing[-1][0]
    later = one.start - notes[start].onset
    before = {notes[at].onset + later: notes[at].sounding for at in range(start, stop + 1)}
    now = {notes[at].onset: notes[at].sounding for at in range(one.notes[0], one.notes[1] + 1)}
    moments = before.keys() | now.keys()
    alike = {
        onset for onset in before.keys() & now.keys()
        if now[onset] == before[onset] + one.semitones
    }  # fmt: skip
    assert first.notes[0] <= start <= stop <= first.notes[1]
    assert len(alike) == len(one.agreeing)
    assert len(moments - alike) == len(one.differing)
    return 8 * len(moments - alike) <= len(moments)


@given(lines())
def test_each_is_long_enough_agrees_and_overlaps_no_other(
    line: tuple[list[TuneNote], list[Fraction]],
) -> None:
    notes, starts = line
    found = statements_in(notes, starts)
    for tune in found:
        first, *later = tune
        assert later
        assert [one.number for one in tune] == [*range(1, len(tune) + 1)]
        for one in tune:
            played = {notes[at].sounding % 12 for _, at in one.agreeing}
            assert len(one.agreeing) >= 12
            assert len(played) >= 5
            first_note, last_note = notes[one.agreeing[0][0]], notes[one.agreeing[-1][0]]
            assert (last_note.onset + last_note.length) - first_note.onset > 3 * BAR - BAR / 2
        assert all(_agrees(notes, first, one) for one in later)
    taken = sorted(one.notes for tune in found for one in tune)
    assert all(last < following for (_, last), (following, _) in pairwise(taken))


@given(lines(), st.integers(-7, 7), st.integers(0, 3))
def test_moved_as_a_whole_a_line_has_the_same(
    line: tuple[list[TuneNote], list[Fraction]], semitones: int, bars: int
) -> None:
    notes, starts = line
    moved = [
        one._replace(onset=one.onset + BAR * bars, sounding=one.sounding + semitones)
        for one in notes
    ]
    longer = [BAR * bar for bar in range(len(starts) + bars)]
    assert [
        [(one.notes, one.agreeing, one.semitones, one.first_bar + bars) for one in tune]
        for tune in statements_in(notes, starts)
    ] == [
        [(one.notes, one.agreeing, one.semitones, one.first_bar) for one in tune]
        for tune in statements_in(moved, longer)
    ]


@given(phrases(), st.integers(0, 4), st.integers(-12, 12))
def test_a_phrase_that_comes_again_at_once_is_found(
    phrase: list[Figure], times: int, semitones: int
) -> None:
    """Twice, and so often again; unless it is too short for a statement."""
    length = sum((one for one, _ in phrase), Fraction(0))
    pitches = {pitch % 12 for _, pitch in phrase if pitch is not None}
    bars = ceil((length - phrase[-1][0]) / BAR)
    notes, time = [], Fraction(0)
    for turn in range(times + 2):
        for lasts, pitch in phrase:
            if pitch is not None:
                notes.append(TuneNote(time, lasts, pitch + (semitones if turn else 0)))
            time += lasts
    found = statements_in(notes, [BAR * bar for bar in range(int(time / BAR) + 1)])
    if len(phrase) > 12 and len(pitches) >= 5 and bars >= 4:
        restated = sum(one.stop - one.start for tune in found for one in tune[1:])
        assert restated >= length - phrase[-1][0]
