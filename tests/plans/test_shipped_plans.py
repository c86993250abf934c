"""Every shipped plan, over the demo score it was made for."""

import tomllib
from fractions import Fraction
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest

import rewriter
from rewriter.rulefiles.loading import load_ensemble
from rewriter.rulefiles.plan_files import load_plan
from rewriter.rulefiles.shelf import names, shipped_folder
from tests.outside.reference import (
    Heard,
    bar_lengths,
    bar_starts,
    heard_by_reference,
    heard_in_xml,
    part_ids,
    score_root,
)
from tests.outside.schema import faults
from tests.outside.spans import spanner_faults, voice_faults

SCORES = Path(__file__).parents[2] / "scores"
PLANS = {
    "ferry-a-tone-higher": "last-ferry",
    "ferry-divided-top": "last-ferry",
    "ferry-handover": "last-ferry",
    "ferry-pickups": "last-ferry",
    "harbour-arc": "harbour-thaws",
    "ice-in-unison": "under-the-ice",
    "song-two-colours": "ice-pilots-song",
}


def sketch_of(plan: str) -> bytes:
    return (SCORES / f"{PLANS[plan]}.musicxml").read_bytes()


@cache
def expanded(plan: str) -> rewriter.Expansion:
    return rewriter.expand(sketch_of(plan), plan=plan)


@cache
def heard(plan: str) -> dict[str, list[Heard]]:
    """What each part sounds like, by its abbreviation; a second staff as ``Vc 2``."""
    score = expanded(plan).score
    printed = [
        part.findtext("part-abbreviation", "") + " 2" * part.get("id", "").endswith("b")
        for part in score_root(score).iter("score-part")
    ]
    assert len(printed) == len(part_ids(score))
    return dict(zip(printed, heard_by_reference(score), strict=True))


def moment(plan: str, bar: str, beat: int = 1) -> Fraction:
    """Quarters from the start of the score; a beat is a quarter, or an eighth in 6/8."""
    numbers = [bar.get("number") for bar in score_root(sketch_of(plan))[-1].iter("measure")]
    unit = Fraction(1, 2) if plan.startswith("song") else Fraction(1)
    return bar_starts(sketch_of(plan))[numbers.index(bar)] + (beat - 1) * unit


def between(
    notes: list[Heard], start: Fraction, stop: Fraction, up: int = 0
) -> list[tuple[Fraction, float]]:
    """Onset and pitch, moved by semitones, of what begins in a stretch."""
    return [(note.onset, note.midi + up) for note in notes if start <= note.onset < stop]


def tune_of(plan: str) -> list[Heard]:
    return heard_in_xml(sketch_of(plan), 0)


def test_every_shipped_plan_is_tried() -> None:
    assert names("plans") == sorted(PLANS)


@pytest.mark.parametrize("plan", PLANS)
def test_the_file_says_what_it_is_and_for_which_score(plan: str) -> None:
    text = (shipped_folder() / "plans" / f"{plan}.toml").read_text("utf-8")
    read = tomllib.loads(text)
    assert set(read) == {"title", "summary", "source", "passage"}
    assert all(read[key] for key in read)
    assert f"# For scores/{PLANS[plan]}.musicxml" in text


@pytest.mark.parametrize("plan", PLANS)
def test_every_layout_it_names_says_what_it_is(plan: str) -> None:
    for passage in load_plan(plan, load_ensemble("symphonic")).passages:
        layout = passage.layout
        if layout.name != layout.stack.text:  # a bare stack has nothing more to say
            for text in (layout.title, layout.summary, layout.character, layout.source):
                assert text, layout.name


@pytest.mark.parametrize("ensemble", ["symphonic", "concert", "studio", "chamber"])
@pytest.mark.parametrize("plan", PLANS)
def test_it_suits_every_ensemble(plan: str, ensemble: str) -> None:
    assert load_plan(plan, load_ensemble(ensemble)).passages


@pytest.mark.parametrize("plan", PLANS)
def test_the_score_is_whole(plan: str) -> None:
    made = expanded(plan)
    assert faults(made.score) == []
    assert spanner_faults(made.score) == []
    assert voice_faults(made.score) == []
    assert not made.report.has_errors
    assert set(map(tuple, bar_lengths(made.score))) == {tuple(bar_lengths(sketch_of(plan))[0])}


@pytest.mark.parametrize("plan", PLANS)
def test_no_note_lies_beyond_a_range(plan: str) -> None:
    findings = expanded(plan).report.findings
    assert {finding.severity for finding in findings} <= {"advice"}
    assert "outside-condition" not in {finding.rule for finding in findings}


@pytest.mark.parametrize("plan", PLANS)
def test_no_bar_of_the_tune_is_left_out(plan: str) -> None:
    assert [note for note in expanded(plan).report.remarks if "no passage" in note] == []


def test_the_arc_widens_to_two_thirds_and_thins_out() -> None:
    """Common practice, no source: the widest spacing about two thirds through, once."""
    report = expanded("harbour-arc").report
    tune = [
        {line.octave for line in report.lines if line.passage == at and line.is_tune}
        for at in range(len(report.passages))
    ]
    levels = [len(octaves) for octaves in tune]
    assert levels == [1, 1, 3, 3, 4, 2, 1]
    assert report.passages[levels.index(4)].bars == "25-28"
    assert 0.6 <= 25 / report.bars <= 0.75


def test_the_arc_begins_and_ends_on_half_a_section() -> None:
    report = expanded("harbour-arc").report
    tune = [line for line in report.lines if line.is_tune and line.notes]
    for one in (tune[0], tune[-1]):
        assert (one.section, one.share, one.players) == ("Vc", "half", 5)


def test_who_rests_in_the_arc_rests_on_purpose() -> None:
    report = expanded("harbour-arc").report
    strings = ("Vn I", "Vn II", "Vla", "Vc", "Db")
    resting = [
        [
            name
            for name in strings
            if not any(x.notes and x.section == name and x.passage == at for x in report.lines)
        ]
        for at in range(len(report.passages))
    ]
    assert resting == [["Vn I"], ["Vn I"], [], [], [], [], ["Vn I"]]


def test_the_sketched_bass_is_in_cellos_and_basses() -> None:
    """The left hand sounds in the cellos, and an octave lower in the basses to the end."""
    parts = heard("harbour-arc")
    left = heard_in_xml(sketch_of("harbour-arc"), "P2", staff="2")
    cellos = {*parts["Vc"], *parts["Vc 2"]}  # two staves, since the lines cross
    full, quiet = moment("harbour-arc", "21"), moment("harbour-arc", "33")
    assert {note._replace(midi=note.midi - 12) for note in left} == set(parts["Db"])
    assert {note for note in left if not full <= note.onset < quiet} <= cellos


def test_the_sketched_chords_are_whole_where_anybody_is_free_for_them() -> None:
    parts = heard("harbour-arc")
    right = heard_in_xml(sketch_of("harbour-arc"), "P2", staff="1")
    players = {"1-12": ("Vn II", "Vla"), "29-32": ("Vn I", "Vn II"), "33-36": ("Vn II", "Vla")}
    for bars, sections in players.items():
        first, last = bars.split("-")
        start = moment("harbour-arc", first)
        stop = Fraction(144) if last == "36" else moment("harbour-arc", str(int(last) + 1))
        wanted = sorted(between(right, start, stop))
        assert wanted
        played = [note for name in sections for note in between(parts[name], start, stop)]
        assert sorted(played) == wanted, bars


def test_nothing_in_the_arc_is_doubled_but_what_the_stacks_double() -> None:
    """Two parts in unison for half of what either plays."""
    parts = heard("harbour-arc")
    doubled = set()
    for start, stop in [
        (0, 16),
        (16, 48),
        (48, 80),
        (80, 96),
        (96, 112),
        (112, 128),
        (128, 144),
    ]:
        stretch = {
            name: set(between(notes, Fraction(start), Fraction(stop)))
            for name, notes in parts.items()
        }
        for one, other in combinations(stretch, 2):
            common = len(stretch[one] & stretch[other])
            if common * 2 > min(len(stretch[one]), len(stretch[other])):
                doubled.add((start // 4 + 1, one, other))
    assert doubled == {(13, "Vn I", "Vn II"), (21, "Vn II", "Vla")}


def test_seconds_and_cellos_both_play_the_joining_notes() -> None:
    """Rimsky-Korsakov, Principles of Orchestration (1922), p. 107."""
    parts = heard("ferry-handover")
    tune = tune_of("ferry-handover")
    points = (("start", "6", 1), ("joint", "6", 3), ("peak", "7", 1), ("next", "8", 3))
    at = {name: moment("ferry-handover", bar, beat) for name, bar, beat in points}
    assert between(parts["Vc"], at["start"], at["next"]) == between(
        tune, at["start"], at["peak"]
    )
    assert between(parts["Vn II"], Fraction(0), at["next"]) == between(
        tune, at["joint"], at["next"]
    )
    (joint,) = between(parts["Vc"], at["joint"], at["peak"])
    assert joint[1] == 72  # C5, the limit itself


def test_seconds_leave_the_firsts_while_they_help_the_cellos() -> None:
    parts = heard("ferry-handover")
    tune = tune_of("ferry-handover")
    at = [moment("ferry-handover", *point) for point in (("8", 3), ("10", 3), ("12", 3))]
    for start, stop, up in ((at[0], at[1], 0), (at[1], at[2], 12)):
        assert between(parts["Vn II"], start, stop) == between(tune, start, stop, up)
        assert between(parts["Vn I"], start, stop) == between(tune, start, stop, 12)
    assert between(parts["Vc"], at[0], at[1]) == []
    assert between(parts["Vc"], at[1], at[2]) == between(tune, at[1], at[2])


def test_what_is_handed_over_comes_in_whole_slurs_and_comes_back() -> None:
    report = expanded("ferry-handover").report
    said = [f"{f.place.bar}.{f.place.beat}" for f in report.findings if f.rule == "handed-over"]
    assert said == ["7.1", "8.3", "12.3", "16.3"]
    last = moment("ferry-handover", "21", 3)
    assert between(heard("ferry-handover")["Vc"], last, Fraction(80)) == between(
        tune_of("ferry-handover"), last, Fraction(80)
    )


def test_first_violins_are_in_two_octaves_for_one_phrase() -> None:
    parts = heard("ferry-divided-top")
    tune = tune_of("ferry-divided-top")
    top = moment("ferry-divided-top", "16", 3), moment("ferry-divided-top", "19")
    both = sorted([*between(tune, *top), *between(tune, *top, 12)])
    assert sorted(between(parts["Vn I"], *top)) == both
    after = top[1], Fraction(80)
    assert between(parts["Vn I"], *after) == between(tune, *after)
    lines = [x for x in expanded("ferry-divided-top").report.lines if x.section == "Vn I"]
    assert [(line.share, line.players) for line in lines] == [
        ("", 16),
        ("", 16),
        ("half", 8),
        ("others", 8),
        ("", 16),
        ("desks 1-2", 4),
    ]


def test_the_return_is_a_tone_higher() -> None:
    parts = heard("ferry-a-tone-higher")
    tune = tune_of("ferry-a-tone-higher")
    mark = moment("ferry-a-tone-higher", "17")
    for name, octave in (("Vn I", 1), ("Vn II", 0), ("Vla", 0), ("Vc", -1)):
        stretch = mark, Fraction(80)
        assert between(parts[name], *stretch) == between(tune, *stretch, 12 * octave + 2)
    assert between(parts["Vla"], Fraction(0), mark) == between(tune, Fraction(0), mark)
    keys = score_root(expanded("ferry-a-tone-higher").score)[-1].iter("measure")
    said = {bar.get("number"): bar.findtext("attributes/key/fifths") for bar in keys}
    assert {bar: key for bar, key in said.items() if key} == {"0": "-1", "17": "1"}


def test_every_passage_begins_with_its_pickup() -> None:
    parts = heard("ferry-pickups")
    assert parts["Vn II"][0].onset == moment("ferry-pickups", "4", 3)
    assert parts["Vn I"][0].onset == parts["Vc"][0].onset == moment("ferry-pickups", "8", 3)
    border = moment("ferry-pickups", "16", 3)
    for name in ("Vn II", "Vla", "Vc"):
        assert max(note.onset + note.length for note in parts[name]) == border


def test_under_the_ice_nobody_is_an_octave_away() -> None:
    parts = heard("ice-in-unison")
    tune = set(tune_of("ice-in-unison"))
    assert {note for notes in parts.values() for note in notes} == tune
    loud = moment("ice-in-unison", "15"), moment("ice-in-unison", "19")
    together = [name for name, notes in parts.items() if between(notes, *loud)]
    assert together == ["Vn I", "Vn II", "Vla", "Vc"]


def test_the_repeated_strain_keeps_its_colour_and_every_part_its_repeats() -> None:
    parts = heard("song-two-colours")
    upbeat = moment("song-two-colours", "9", 6)
    entries = {name: notes[0].onset for name, notes in parts.items() if notes}
    assert entries == {"Vn I": upbeat, "Vn II": upbeat, "Vla": 0, "Vc": 0}
    wanted = {"forward", "backward"}
    for part in score_root(expanded("song-two-colours").score).iter("part"):
        assert {sign.get("direction") for sign in part.iter("repeat")} == wanted
        assert {sign.get("number") for sign in part.iter("ending")} == {"1", "2"}
