"""A tune surveyed: what is said of it is what stands there, and what an expansion reports."""

import pickle
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import rewriter
from rewriter.rulefiles.stack_lines import octave_word
from tests.shorthand import sketch

ROOT = Path(__file__).parents[2]
SCORES = sorted(
    path for path in (ROOT / "scores").glob("*.musicxml") if path.stem != "ferrymans-lamp"
)


def surveyed(music: str, **asked: str) -> rewriter.Survey:
    return rewriter.survey(sketch(music), **asked)


def phrases(music: str) -> list[tuple[str, str, str]]:
    return [(one.bars, one.first.beat, one.ended_by) for one in surveyed(music).phrases]


def test_tessitura_is_by_time_and_not_by_notes() -> None:
    lies = surveyed("4/4 C4e D4e E4e F4e G4h | G4w | A4w").tessitura
    assert (lies.low, lies.high, lies.average) == ("G4", "A4", "G4")
    assert [(each.pitch, each.time) for each in lies.pitches][-2:] == [
        ("G4", 0.5),
        ("A4", pytest.approx(1 / 3)),
    ]


def test_grace_notes_count_for_the_compass_and_for_no_time_or_motion() -> None:
    seen = surveyed("4/4 `C6e C4h D4h | E4w")
    assert (seen.highest.pitch, seen.tessitura.pitches[-1].time) == ("C6", 0)
    assert (seen.motion.rising, seen.leaps) == (2, [])


def test_every_place_of_the_lowest_note_is_named_with_its_beat() -> None:
    seen = surveyed("4/4 C4q D4q C4q E4q | C4w")
    assert [(place.bar, place.beat) for place in seen.lowest.places] == [
        ("1", "1"),
        ("1", "3"),
        ("2", "1"),
    ]


def test_leaps_are_fifths_and_more_as_they_are_spelled() -> None:
    seen = surveyed("4/4 C4q F#4q B4q F5q | C5q G4q rq G5q | G5q Ab4h.")
    assert [(leap.interval, leap.place.bar, leap.over_rest) for leap in seen.leaps] == [
        ("up d5", "1", False),
        ("up P8", "2", True),
        ("down M7", "3", False),
    ]


def test_leaps_between_quarter_tones_are_told_in_semitones() -> None:
    data = sketch("4/4 C4q F#5h.").replace(b"<alter>1<", b"<alter>0.5<")
    (leap,) = rewriter.survey(data).leaps
    assert (leap.interval, leap.semitones) == ("", 17.5)


def test_no_move_leads_into_another_movement() -> None:
    seen = surveyed("4/4 C4w | D4w | bar=1 A5w | B5w")
    assert (seen.motion.rising, seen.leaps) == (2, [])


# Where each ends: judged by ear, common practice, no source.
@pytest.mark.parametrize(
    ("music", "wanted"),
    [
        ("4/4 C4q D4q E4q rq | E4q D4q C4h", [("1", "1", "breath"), ("2", "1", "end")]),
        (
            "4/4 (C4q D4q E4q F4q | G4q F4q E4q D4q) | (C4q D4q E4q F4q | E4q D4q C4h)",
            [("1-2", "1", "slur"), ("3-4", "1", "end")],
        ),
        (
            "4/4 G4q G4q A4q B4q | C5q B4q A4h | G4q A4q F4q G4q | E4w",
            [("1-2", "1", "long note"), ("3-4", "1", "end")],
        ),
        ("4/4 (C4q D4q) (E4q F4q) | (G4q F4q) E4q D4q", [("1-2", "1", "end")]),
        ("4/4 C4q D4q E4q F4q | G4h F4q E4q", [("1-2", "1", "end")]),
        ("4/4 C4h D4h^fermata | E4w", [("1", "1", "breath"), ("2", "1", "end")]),
    ],
)
def test_where_a_phrase_ends(music: str, wanted: list[tuple[str, str, str]]) -> None:
    assert phrases(music) == wanted


THEME = "C4q E4e F4e G4q A4q | B4q G4e F4e E4q D4q | C4q F4e E4e D4q E4q | F4q A4e G4e E4h"
HIGHER = "F4q A4e Bb4e C5q D5q | E5q C5e Bb4e A4q G4q | F4q Bb4e A4e G4q A4q | Bb4q D5e C5e A4h"


def test_a_statement_in_another_key_and_what_differs_in_it() -> None:
    seen = surveyed(f"4/4 {THEME} | G3w | {HIGHER.replace('A4q G4q |', 'A4q Ab4q |', 1)}")
    first, second = seen.statements
    assert (first.bars, first.returns, first.interval) == ("1-4", 1, "")
    assert (second.bars, second.returns, second.interval) == ("6-9", 1, "up P4")
    (one,) = second.departures
    assert (one.place.bar, one.place.beat, one.has, one.first_has) == ("7", "4", "Ab4", "G4")
    assert (second.lacks_before, second.lacks_behind) == (0, 0)


def test_only_some_bars() -> None:
    seen = surveyed(f"4/4 {THEME} | {THEME}", bars="2-3")
    assert (seen.bars, seen.notes, seen.highest.pitch) == ("2-3", 10, "B4")
    assert seen.statements == []


@pytest.mark.parametrize(
    ("bars", "said"),
    [
        ("2-9", "there is no bar 9; bars go from 1 to 2"),
        ("2-1", '"2-1" ends before it begins; look at the bars'),
        ("A B", '"A B" names no bars; write it like "1-8" or "5"'),
        ("2", "the tune has no note in these bars; name others"),
    ],
)
def test_bars_there_are_none_of(bars: str, said: str) -> None:
    with pytest.raises(rewriter.Refused) as refused:
        surveyed("4/4 C4w | R", bars=bars)
    assert str(refused.value) == f"sketch: {said}"


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_every_section_at_every_octave_is_what_an_expansion_reports(path: Path) -> None:
    seen = rewriter.survey(path)
    for section in seen.sections:
        assert section.octaves
        for at in section.octaves:
            stack = f"{section.section} {octave_word(at.octave)}"
            report = rewriter.expand(path, stack).report
            (line,) = report.lines
            assert (line.sings, line.registers) == (at.sings, at.registers), stack
            assert line.notes == seen.notes
            beyond = [one for one in report.findings if one.rule.startswith("beyond")]
            assert (
                bool(beyond) == bool(at.out_of_range - at.beyond_extreme) or at.beyond_extreme
            )
    (passage,) = rewriter.expand(path, "Vn I").report.passages
    assert passage.strengths == seen.strengths


NOTES = st.lists(
    st.sampled_from(["C4q", "D4e", "F#4h", "Bb3q", "rq", "G5e", "A4q~", "E4w"]), min_size=1
)


@given(NOTES)
def test_its_sums_are_right(notes: list[str]) -> None:
    seen = rewriter.survey(sketch("4/4 C4q | " + " | ".join(f"{one}" for one in notes)))
    assert sum(one.notes for one in seen.phrases) == seen.notes
    assert sum(one.notes for one in seen.tessitura.pitches) == seen.notes
    assert sum(one.time for one in seen.tessitura.pitches) == pytest.approx(1)
    motion = seen.motion
    assert motion.rising + motion.falling + motion.repeated == seen.notes - 1
    assert sum(one.notes for one in motion.intervals) == seen.notes - 1


def test_what_was_found_can_be_sent_to_another_process() -> None:
    seen = rewriter.survey(SCORES[0])
    assert pickle.loads(pickle.dumps(seen)) == seen  # noqa: S301 - its own
