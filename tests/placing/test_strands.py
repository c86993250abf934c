"""Where a voice can be cut, what stays together, and what a strand plays bar by bar."""

from collections.abc import Iterator

import pytest

from rewriter.placing.strands import (
    Play,
    Plays,
    cut_moment,
    is_whole,
    laid_into,
    played_between,
    runs_of,
    with_octaves,
)
from rewriter.placing.tuplets import beginnings, whole
from rewriter.scores.score import read_score
from rewriter.sketch.frame_reading import UNISON
from rewriter.sketch.in_every_key import Readings, Request
from rewriter.sketch.model import Note, Voice
from rewriter.sketch.requests import Keep
from rewriter.theory.time import Moment
from tests.shorthand import sketch


def read(music: str) -> tuple[Voice, int]:
    """The voice and its divisions; twelve for every quarter where tuplets ask for three."""
    request = Request("", Keep(), whole=False)
    made = Readings(read_score(sketch(music)), request).tune(UNISON, "top")
    return made.tune, made.frame.divisions


def voice(music: str) -> Voice:
    return read(music)[0]


def counts(one: Voice, bar: int) -> int:
    return sum(isinstance(item, Note) for item in one.bars[bar].items)


@pytest.mark.parametrize(
    ("music", "quarters", "expected"),
    [
        ("4/4 | C4q D4 E4 F4 | G4w |", (0, 2), (0, 2)),  # between notes
        ("4/4 | C4w | G4w |", (0, 2), (0, 2)),  # within a long note: who has it ends it
        ("4/4 | C4q 3:2{D4q E4 F4} G4q | G4w |", (0, 1), (0, 1)),  # before a tuplet
        ("4/4 | C4q 3:2{D4q E4 F4} G4q | G4w |", (0, 2), (0, 3)),  # inside: behind it
        ("4/4 | C4h 3:2{D4q E4 F4} | G4w |", (0, 3), (1, 0)),  # behind it is the next bar
        ("4/4 | C4w | G4w |", (1, 0), (1, 0)),
        ("4/4 | C4w | G4w |", (2, 0), (2, 0)),  # the end
    ],
)
def test_where_a_voice_can_be_cut(
    music: str, quarters: tuple[int, int], expected: tuple[int, int]
) -> None:
    one, divisions = read(music)
    bar, onset = cut_moment(one, Moment(quarters[0], quarters[1] * divisions), divisions)
    assert (bar, onset / divisions) == expected


def test_what_stays_together() -> None:
    one = voice("4/4 | C4q 3{D4e E4 F4} 3{rq G4e} A4q | B4w |")
    assert beginnings(one, 0) == [0, 1, 1, 1, 4, 4, 6]
    assert whole(one, [(0, 2), (0, 6)]) == [(0, 1), (0, 2), (0, 3), (0, 6)]
    assert whole(one, [(0, 5), (1, 0)]) == [(0, 4), (0, 5), (1, 0)]


def octaves(plays: dict[int, Play]) -> dict[int, object]:
    return {bar: play.octaves or play.octave for bar, play in plays.items()}


def test_whole_bars_are_played_as_a_whole() -> None:
    one, q = read("4/4 | C4q D4 E4 F4 | G4h A4 | B4w |")
    assert octaves(played_between(one, 1, Moment(0, 2 * q), Moment(2, 0))) == {
        0: (None, None, 1, 1),
        1: 1,
    }
    assert octaves(played_between(one, 1, Moment(1, 0), Moment(2, 0))) == {1: 1}
    assert octaves(played_between(one, 1, Moment(1, q), Moment(1, 4 * q))) == {1: (None, 1)}


def test_silencing_and_moving_single_notes() -> None:
    one = voice("4/4 | C4q D4 E4 F4 | G4h A4 |")
    plays = played_between(one, 1, Moment(0, 0), Moment(2, 0))
    assert octaves(with_octaves(plays, {(0, 1): None, (0, 2): 2})) == {0: (1, None, 2, 1), 1: 1}
    assert octaves(with_octaves(plays, {(1, 0): None, (1, 1): None})) == {0: 1}
    assert octaves(with_octaves(plays, {(1, 0): 1})) == {0: 1, 1: 1}


def strand(one: Voice, *pieces: dict[int, Play]) -> Plays:
    plays: Plays = [()] * len(one.bars)
    for piece in pieces:
        laid_into(plays, piece)
    return plays


def test_two_stretches_of_one_voice_become_one() -> None:
    one, q = read("4/4 | C4q D4 E4 F4 | G4w |")
    first = played_between(one, 0, Moment(0, 0), Moment(0, 2 * q))
    second = played_between(one, 0, Moment(0, 2 * q), Moment(2, 0))
    plays = strand(one, first, second)
    assert is_whole(plays)
    assert [(run.first, run.last) for run in runs_of(plays, counts)] == [((0, 0), (1, 0))]


def test_another_octave_is_another_level_of_one_run() -> None:
    one, q = read("4/4 | C4q D4 E4 F4 | G4w |")
    plays = strand(
        one,
        played_between(one, 0, Moment(0, 0), Moment(0, 2 * q)),
        played_between(one, 1, Moment(0, 2 * q), Moment(2, 0)),
    )
    (run,) = runs_of(plays, counts)
    assert not is_whole(plays)
    assert run.level == (((0, 0), (0, 1)), ((0, 2), (1, 0)))


def test_another_dynamic_is_another_run() -> None:
    one = voice("4/4 | C4w | D4w |")
    plays = strand(
        one,
        played_between(one, 0, Moment(0, 0), Moment(1, 0)),
        played_between(one, 0, Moment(1, 0), Moment(2, 0), "-1"),
    )
    assert [run.change for run in runs_of(plays, counts)] == ["", "-1"]


def sounding(plays: Plays) -> Iterator[tuple[int, int, int]]:
    """(onset, length, octave) of every note or rest in the first bar, in order."""
    found = []
    for play in plays[0]:
        notes = [item for item in play.voice.bars[0].items if isinstance(item, Note)]
        for note, octave in zip(notes, play.per_note(0), strict=True):
            if octave is not None:
                found.append((note.onset, note.length, octave))
    return iter(sorted(found))


def test_a_rest_makes_way_for_another_voice() -> None:
    one, q = read("4/4 | R | C4w |")
    other = voice("4/4 | C4q D4 E4 F4 | G4w |")
    plays = strand(
        one,
        played_between(one, 0, Moment(0, 0), Moment(0, 2 * q)),
        played_between(other, 1, Moment(0, 2 * q), Moment(1, 0)),
    )
    assert list(sounding(plays)) == [(2 * q, q, 1), (3 * q, q, 1)]


def test_a_note_that_sounds_on_is_not_interrupted() -> None:
    one, q = read("4/4 | C4h. D4q | C4w |")
    other = voice("4/4 | C4q D4 E4 F4 | G4w |")
    plays = strand(
        one,
        played_between(one, 0, Moment(0, 0), Moment(0, 2 * q)),
        played_between(other, 1, Moment(0, 2 * q), Moment(1, 0)),
    )
    assert list(sounding(plays)) == [(0, 3 * q, 0), (3 * q, q, 1)]
