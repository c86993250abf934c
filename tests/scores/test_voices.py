"""The voices of a part in absolute time, against music21, partitura and by hand."""

from collections import Counter
from fractions import Fraction

import pytest

from rewriter.scores.in_force import PartInForce
from rewriter.scores.reading import Reading
from rewriter.scores.score import read_score
from rewriter.scores.voices import Voice, joined, voices_of
from tests.corpus.test_slice import SLICE
from tests.corpus.trying import Piece, pieces
from tests.outside.heard import heard_by_music21, heard_by_partitura
from tests.outside.reference import Heard
from tests.plain_xml import COMMON, bar_of, note, score, tied

BACK = "<backup><duration>8</duration></backup>"


def heard_by_reader(data: bytes) -> list[list[Heard]]:
    """All parts as the outside readers' normalisers give them."""
    reading = Reading(read_score(data))
    return [
        sorted(
            Heard(
                Fraction(run.time, reading.divisions),
                Fraction(run.length, reading.divisions),
                run.notes[0].sounding or 0,
            )
            for run in joined(voices_of(reading, part))
            if not run.notes[0].form.grace and not run.notes[0].form.cue
        )
        for part in range(len(reading.score.parts))
    ]


def voices(*bars: str) -> list[Voice]:
    return voices_of(Reading(read_score(score(list(bars)))), 0)


def sounds(found: list[Voice]) -> list[tuple[int, int, float | None]]:
    return [(run.time, run.length, run.notes[0].sounding) for run in joined(found)]


def on_staff(number: int) -> str:
    return f"<staff>{number}</staff>"


@pytest.mark.parametrize("name", SLICE)
def test_music21_hears_the_same(name: str) -> None:
    path = next(path for path in pieces() if path.as_posix().endswith(name))
    data = Piece.read(path).data
    for ours, theirs in zip(heard_by_reader(data), heard_by_music21(data), strict=True):
        assert Counter(ours) == Counter(theirs)


@pytest.mark.parametrize("name", SLICE)
def test_partitura_hears_the_same(name: str) -> None:
    path = next(path for path in pieces() if path.as_posix().endswith(name))
    data = Piece.read(path).data
    for ours, theirs in zip(heard_by_reader(data), heard_by_partitura(data), strict=True):
        assert Counter(ours) == Counter(theirs)


def test_a_tie_over_the_barline_is_one_note() -> None:
    """4/4 twice, two divisions a quarter: a half note into a half note is eight divisions."""
    start, stop = tied("start"), tied("stop")
    first = bar_of(note("A4", 4), note("C5", 4, start[1]))
    found = voices(first, note("C5", 4, stop[1]) + note("C5", 4))
    assert sounds(found) == [(0, 4, 69), (4, 8, 72), (12, 4, 72)]


def test_a_tie_out_of_a_bar_that_is_not_full_goes_to_the_next() -> None:
    """The oboe's bars are eight divisions long, so the flute's second begins at eight."""
    start, stop = tied("start")[1], tied("stop")[1]
    flute = [bar_of(note("C5", 2), note("A4", 4, start)), note("A4", 2, stop) + note("r", 6)]
    parts = {"Flute": flute, "Oboe": [bar_of(note("C5", 8)), note("C5", 8)]}
    found = voices_of(Reading(read_score(score(parts))), 0)
    assert sounds(found) == [(0, 2, 72), (2, 6, 69)]


def test_a_tie_prefers_its_own_voice() -> None:
    start, stop = tied("start")[1], tied("stop")[1]
    found = voices(
        bar_of(note("C5", 8, start, voice="1"), BACK, note("C5", 8, start, voice="2")),
        note("C5", 8, stop, voice="2") + BACK + note("C5", 4, stop, voice="1"),
    )
    assert sorted((run.length, run.notes[1].form.voice) for run in joined(found)) == [
        (12, "1"),
        (16, "2"),
    ]


def test_a_transposition_counts_from_its_moment_in_every_voice() -> None:
    """Voice 2 stands behind a change at the half bar, and sounds by it only from there."""
    horn = "<attributes><transpose><chromatic>-7</chromatic></transpose></attributes>"
    found = voices(
        bar_of(
            note("C5", 4, voice="1"), horn, note("C5", 4, voice="1"), BACK,
            note("C4", 4, voice="2"), note("C4", 4, voice="2"),
        )
    )  # fmt: skip
    assert sounds(found) == [(0, 4, 72), (0, 4, 60), (4, 4, 65), (4, 4, 53)]


def test_a_bass_sounds_an_octave_lower_and_its_clef_adds_nothing() -> None:
    change = "<transpose><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>"
    clef = (
        "<clef><sign>F</sign><line>4</line><clef-octave-change>-1</clef-octave-change></clef>"
    )
    found = voices(bar_of(note("C3", 8), attributes=COMMON + clef + change))
    assert sounds(found) == [(0, 8, 36)]
    assert sounds(voices(bar_of(note("C3", 8), attributes=COMMON + clef))) == [(0, 8, 48)]


def test_a_voice_that_wanders_is_one_and_two_of_a_name_are_two() -> None:
    up, down = note("C5", 4, on_staff(1)), note("C3", 4, on_staff(2))
    (wandering,) = voices(bar_of(up, down), up + up)
    assert (wandering.staff, len(wandering.chords)) == ("1", 4)
    assert [voice.staff for voice in voices(bar_of(up, up, BACK, down, down))] == ["1", "2"]


def test_notes_of_a_chord_stay_together_with_their_events() -> None:
    (voice,) = voices(bar_of(note("C4", 4), note("E4", 4, before="<chord/>"), note("r", 4)))
    assert [[n.sounding for n in chord.notes] for chord in voice.chords] == [[60, 64], [None]]
    assert [n.event.place for n in voice.notes] == [1, 2, 3]


def test_an_empty_bar_is_as_long_as_its_metre_and_others_as_the_longest_plays() -> None:
    waltz = "<attributes><time><beats>3</beats><beat-type>4</beat-type></time></attributes>"
    parts = {"Oboe": [bar_of(note("C5", 2)), waltz], "Horn": [bar_of(note("C4", 4)), ""]}
    assert Reading(read_score(score(parts))).timeline.starts == [0, 4, 10]


def test_what_is_in_force_at_a_moment() -> None:
    key = (
        "<attributes><key><key-step>F</key-step><key-alter>1</key-alter></key>"
        '<clef number="2"><sign>C</sign><line>3</line></clef></attributes>'
    )
    data = score([bar_of(note("C5", 4), key, note("C5", 4))])
    force = PartInForce(Reading(read_score(data)), 0)
    before, after = force.at(3), force.at(4)
    assert before.key is not None
    assert after.key is not None
    assert (before.key.fifths, before.key.altered) == (0, ())
    assert after.key.altered == (("F", 1.0),)
    assert force.at(4, "1").clef is None
    lower = force.at(4, "2").clef
    assert lower is not None
    assert (lower.sign, lower.line) == ("C", "3")
    assert before.metre is not None
    assert before.metre.length == 4


def test_a_part_that_doubles_itself_an_octave_lower_says_so() -> None:
    """The standard: without ``above`` the doubling is an octave below."""
    change = "<transpose><chromatic>0</chromatic><double/></transpose>"
    data = score([bar_of(note("C3", 8), attributes=COMMON + change)])
    found = PartInForce(Reading(read_score(data)), 0).transposition(0)
    assert (found.doubled, found.semitones) == (-1, 0)


def test_steps_a_transposition_does_not_say_are_what_its_semitones_usually_are() -> None:
    """A major second down is a step, a minor third up two; said ones stand as they are."""
    for said, steps in (
        ("<chromatic>-2</chromatic>", -1),
        ("<chromatic>3</chromatic>", 2),
        ("<diatonic>1</diatonic><chromatic>3</chromatic>", 1),
    ):
        data = score(
            [bar_of(note("C3", 8), attributes=f"{COMMON}<transpose>{said}</transpose>")]
        )
        found = PartInForce(Reading(read_score(data)), 0).transposition(0)
        assert found.diatonic == steps


def test_notes_of_a_voice_are_in_the_order_they_sound_not_as_written() -> None:
    bar = bar_of(
        "<forward><duration>2</duration></forward>",
        note("A4", 2),
        "<backup><duration>4</duration></backup>",
        note("C4", 2),
    )
    (only,) = voices(bar)
    assert [(chord.notes[0].time, chord.notes[0].sounding) for chord in only.chords] == [
        (0, 60),
        (2, 69),
    ]
