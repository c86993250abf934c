"""Statements of a tune, in tunes written for each clause of what one is."""

from fractions import Fraction

from rewriter.hearing.statements import Statement, statements_in
from rewriter.hearing.tune_notes import TuneNote, notes_of_line
from tests.hearing.hearing import heard

A = "C5q D5 E5 G5 | A5h G5q E5 | F5q E5 D5 B4 | C5q G4h rq"
B = "E5e F#5 G#5 A5 B5q A5 | G#5h F#5e E5 D#5q | C#5q D#5 E5h | B4h B4e A4 G#4 F#4"
A_UP = "D5q E5 F#5 A5 | B5h A5q F#5 | G5q F#5 E5 C#5 | D5q A4h rq"


def _statements(music: str) -> list[tuple[Statement, ...]]:
    listened = heard({"Vn I": f"4/4 | {music} |"})
    divisions = listened.reading.divisions
    notes = notes_of_line(listened.lines[0], divisions)
    starts = [Fraction(start, divisions) for start in listened.bars.starts]
    return statements_in(notes, starts)


def _row(one: Statement) -> str:
    row = f"{one.number}: {one.first_bar + 1}-{one.last_bar + 1}"
    row += f" {one.semitones:+g} {one.interval.text}" if one.semitones and one.interval else ""
    return row + (f" ({len(one.differing)} differing)" if one.differing else "")


def statements(*phrases: str) -> list[str]:
    """The statements in a tune made of phrases, a row for each tune that comes back."""
    return ["; ".join(map(_row, tune)) for tune in _statements(" | ".join(phrases))]


def test_a_phrase_that_comes_three_times_has_three_statements() -> None:
    assert statements(A, A, B, A) == ["1: 1-4; 2: 5-8; 3: 13-16"]


def test_every_phrase_that_comes_back_has_its_own() -> None:
    assert statements(A, A, B, A, A, A, B, A) == [
        "1: 1-4; 2: 5-8; 3: 13-16; 4: 17-20; 5: 21-24; 6: 29-32",
        "1: 9-12; 2: 25-28",
    ]


def test_phrases_that_come_back_together_are_one() -> None:
    assert statements(A, B, A, B) == ["1: 1-8; 2: 9-16"]


def test_in_another_key() -> None:
    assert statements(A, B, A_UP) == ["1: 1-4; 2: 9-12 +2 up M2"]


def test_an_octave_higher() -> None:
    above = "C6q D6 E6 G6 | A6h G6q E6 | F6q E6 D6 B5 | C6q G5h rq"
    assert statements(A, B, above) == ["1: 1-4; 2: 9-12 +12 up P8"]


def test_the_interval_is_that_of_most_letters() -> None:
    flat = A_UP.replace("D5q E5 F#5", "D5q E5 Gb5")
    assert statements(A, B, flat) == ["1: 1-4; 2: 9-12 +2 up M2"]


def test_notes_nobody_has_spelled_have_no_interval_between_letters() -> None:
    notes = [
        TuneNote(Fraction(at), Fraction(1), 60 + 2 * (at % 16 % 6) + at // 16 * 5)
        for at in range(32)
    ]
    (tune,) = statements_in(notes, [Fraction(4 * bar) for bar in range(9)])
    assert [(one.semitones, one.interval) for one in tune] == [(0, None), (5, None)]


def test_one_note_in_eight_may_differ() -> None:
    other = A.replace("A5h G5q E5", "A5h F5q E5")
    assert statements(A, B, other) == ["1: 1-4; 2: 9-12 (1 differing)"]


def test_what_differs_is_told() -> None:
    ((first, second),) = _statements(" | ".join((A, B, A.replace("A5h G5q E5", "A5h. E5q"))))
    (differing,) = second.differing
    assert (differing.onset, differing.first, differing.own) == (8 * 4 + 4 + 2, 5, None)
    assert first.differing == ()
    assert len(first.agreeing) == 13


def test_more_than_one_note_in_eight_is_another_tune() -> None:
    other = A.replace("A5h G5q E5", "A5h F5q E5").replace("F5q E5 D5 B4", "F5q E5 C5 B4")
    assert statements(A, B, other) == []


def test_another_rhythm_is_another_tune() -> None:
    other = A.replace("F5q E5 D5 B4", "F5q. E5e D5q. B4e").replace("A5h G5q", "A5h. G5e")
    assert statements(A, B, other) == []


LONG_A = f"{A[: A.rindex('|')]} | G5q A5 B5 C6 | D6h C6q A5 | B5q A5 G5 F#5 | G5q D5h rq"


def test_with_another_end_a_statement_counts_as_far_as_it_agrees() -> None:
    other_end = LONG_A[: LONG_A.rindex("B5q")] + "A5e G#5 A5 B5 C6 D6 E6 F6 | E6w"
    assert statements(LONG_A, B, other_end) == ["1: 1-5; 2: 12-16"]


def test_a_statement_with_its_upbeat_is_four_bars() -> None:
    phrase = "R | rh. G4q | C5q D5 E5 G5 | A5h G5q E5 | F5q E5 D5 B4 | C5h. rq"
    assert statements(phrase, B, phrase) == ["1: 2-6; 2: 12-16"]


def test_three_bars_are_too_few() -> None:
    three = "C5e D5 E5 G5 A5q G5 | A5h G5q E5 | F5q E5 D5 B4"
    assert statements(three, B, three, "E4w") == []


def test_eleven_notes_are_too_few() -> None:
    few = "C5h E5 | A5h G5q E5 | F5q E5 D5 B4 | C5q G4h rq"
    assert statements(few, B, few) == []


def test_four_pitch_classes_are_too_few() -> None:
    four = "C5q D5 E5 G5 | C5h G5q E5 | D5q E5 D5 G4 | C5q G4h rq"
    assert statements(four, B, four) == []


def test_a_figure_that_goes_on_and_on_is_no_tune_over_itself() -> None:
    bar = "C5e D5 E5 G5 A5 G5 F5 D5"
    assert statements(*[bar] * 12) == ["1: 1-4; 2: 5-8; 3: 9-12"]


def test_nothing_comes_back_in_nothing() -> None:
    assert statements_in([], [Fraction(0)]) == []
    assert statements(A) == []
