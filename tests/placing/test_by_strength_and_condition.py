"""Whole tunes placed: by strength, by a layout's condition, by where they lie already."""

import pytest

import rewriter
from tests.shorthand import sketch

FULL = "Vn I / Vn II + Vla / Vc"

SMALL_WAVE = (
    "4/4 | {} E4h F4q E4q | D4h E4h | F4q G4q F4q E4q | D4w "
    "| E4h D4q C4q | D4h E4h | F4q E4q D4q C#4q | D4w |"
)
GREY_SONG = "4/4 | A3h (C4q B3q | A3h.) E4q | D4h G#3h | A3w |"
HYMN = "4/4 | G4q A4q B4q C5q | D5h E5h | D5h F#4h | G4w |"


def passage(music, layout, **settings):
    (found,) = rewriter.expand(sketch(music), layout, **settings).report.passages
    return found


def top(music, layout, **settings):
    return passage(music, layout, **settings).lines[0].octave


@pytest.mark.parametrize(("mark", "octave"), [("pp", 1), ("p", 1), ("f", 2), ("ff", 2)])
def test_the_strength_of_the_music_decides(mark, octave):
    assert top(SMALL_WAVE.format(mark), FULL) == octave


def test_the_report_says_how_strong_the_music_is_and_whether_that_changed_the_octave():
    soft, plain, full = (passage(SMALL_WAVE.format(mark), FULL) for mark in ("pp", "", "ff"))
    assert [(one.strength, one.time) for one in soft.strengths] == [("soft", 1.0)]
    assert [(one.strength, one.time) for one in full.strengths] == [("full", 1.0)]
    assert plain.octave_as_plain == plain.lines[0].octave
    assert {one.octave_as_plain for one in (soft, full)} == {plain.lines[0].octave}
    assert soft.lines[0].octave != full.lines[0].octave


def test_the_dynamics_in_force_count_by_time():
    """One bar of eight does not turn a full tune into a soft one, nor the other way round."""
    music = SMALL_WAVE.format("ff").replace("C#4q | D4w", "C#4q | pp D4w")
    found = passage(music, FULL)
    assert [(one.strength, one.time) for one in found.strengths] == [
        ("soft", 0.125),
        ("full", 0.875),
    ]
    assert found.lines[0].octave == 2
    other = SMALL_WAVE.format("pp").replace("C#4q | D4w", "C#4q | ff D4w")
    assert top(other, FULL) == 1


def test_a_register_reached_in_soft_music_has_its_soft_figure():
    """G3 on the violins: 0.75 soft, 0.5 plain, 0.2 full (common practice, no source)."""
    music = "4/4 | p G3w | f G3w | mf G3w | G3w |"
    (line,) = rewriter.expand(sketch(music), "Vn I loco").report.lines
    assert line.sings == pytest.approx((0.75 + 0.2 + 0.5 + 0.5) / 4)


CONDITIONED = [
    # All four sections share a line in the alto-tenor register; G3 to A4.
    (GREY_SONG, "four-sections-in-unison", 0),
    # Low registers of all: violins and violas at most A4, cellos A3, basses A2.
    (GREY_SONG, "violins-and-violas-over-cellos-over-basses", 0),
    # Each octave doubled in unison, in the middle of the orchestra's range.
    (GREY_SONG, "violins-over-violas-and-cellos", 1),
]


@pytest.mark.parametrize(("music", "layout", "octave"), CONDITIONED)
def test_a_layout_goes_where_its_own_condition_is_kept(music, layout, octave):
    """Rimsky-Korsakov, Principles of Orchestration (1922), ch. II: what the layouts cite."""
    report = rewriter.expand(sketch(music), layout).report
    assert report.passages[0].lines[0].octave == octave
    assert [one for one in report.findings if one.rule == "outside-condition"] == []


def test_the_report_says_that_a_condition_decided():
    found = passage(GREY_SONG, "four-sections-in-unison")
    assert found.why.startswith(
        "every line inside its range; every line as the layout's condition asks, as in no "
        "other octave; Vn I + Vn II + Vla + Vc at "
    )
    assert found.runner_up == "an octave higher: 1.2 lines outside the layout's condition"
    # Cellos alone from C3 to C5: of eight quarters one is below, an octave higher six above.
    wide = passage("4/4 | A2q C4q E4q G4q | A4w |", "cellos-alone")
    assert "; 0.1 lines outside the layout's condition, fewer in no octave; Vc at" in wide.why
    assert wide.runner_up == "an octave higher: 0.8 lines outside the layout's condition"


def test_a_condition_is_no_reason_for_a_bad_octave():
    """Cellos from D3 upwards, says the layout; yet no octave puts violins past A6 for it."""
    music = "4/4 | ff C3h D3h | F4h G4h | A4h C5h | E5w |"
    report = rewriter.expand(sketch(music), "violins-over-cellos").report
    levels = [line.sings for line in report.passages[0].lines]
    assert min(levels) >= 0.4
    assert [one.rule for one in report.findings].count("outside-condition") == 1


def test_where_the_composer_wrote_it_is_right_until_something_speaks_against_it():
    """0.91 at its own pitch, 0.95 an octave higher: both good, so it stays."""
    found = passage(HYMN, "Vn I + Vn II")
    assert found.lines[0].octave == 0
    assert "nearest to the tune" in found.why


def test_a_doubler_does_not_decide_the_octave():
    """Violas and cellos on A3 to E4 count as one level, by their players: loco is good."""
    assert top(GREY_SONG, "Vla + Vc") == 0


ACCOMPANIED = """
title = "Tune over two staves"
stack = "Vn I"
[[with]]
from = "Strings"
to = "{}"
"""


def with_octaves(tmp_path, stack, accompaniment):
    file = tmp_path / "over.toml"
    file.write_text(ACCOMPANIED.format(stack), encoding="utf-8")
    data = sketch("4/4 | A4w | B4w |", others={"Strings": accompaniment})
    report = rewriter.expand(data, str(file), tune="Flute").report
    return {line.section: line.octave for line in report.lines if not line.is_tune}


@pytest.mark.parametrize(
    ("stack", "accompaniment", "octaves"),
    [
        # Its top level is loco, however much better it would sing elsewhere ...
        ("Vn II / Vla", "4/4 | C4w | D4w |", {"Vn II": 0, "Vla": -1}),
        ("Vla", "4/4 | C3w | D3w |", {"Vla": 0}),
        # ... unless that leaves the range: F3 is below the violins' lowest string.
        ("Vn II", "4/4 | F3w | G3w |", {"Vn II": 1}),
        # An octave word holds, in range or not.
        ("Vn II 15ma / Vla", "4/4 | C4w | D4w |", {"Vn II": 2, "Vla": 1}),
    ],
)
def test_an_accompaniment_stays_where_it_was_sketched(tmp_path, stack, accompaniment, octaves):
    assert with_octaves(tmp_path, stack, accompaniment) == octaves


def test_dealt_chords_are_each_asked_of_the_line_that_plays_them(tmp_path):
    """C3 is the cellos' alone: it is no reason to move the violins, who have E4 and G4."""
    stack = 'Vn II + Vla + Vc"\nchords = "divide'
    found = with_octaves(tmp_path, stack, "4/4 | [C3 E4 G4]w | [C3 F4 A4]w |")
    assert found == {"Vn II": 0, "Vla": 0, "Vc": 0}


LOW_LYING = "4/4 | C4h E4q G4q | A4h. G4q | F4q E4q D4q E4q | C4w |"


def test_the_repertory_places_by_option_and_by_ensemble(tmp_path):
    """The two sets differ on violins from C4 to A4: composers left them there."""
    sung = passage(LOW_LYING, "Vn I")
    measured = passage(LOW_LYING, "Vn I", registers="measured")
    assert (sung.placed_by, measured.placed_by) == ("singing", "measured")
    assert sung.octave_by_other == measured.lines[0].octave
    assert measured.octave_by_other == sung.lines[0].octave
    file = tmp_path / "old.toml"
    file.write_text('title = "x"\nbased_on = "symphonic"\nregisters = "measured"\n')
    by_ensemble = passage(LOW_LYING, "Vn I", ensemble=str(file))
    assert by_ensemble == measured
    assert passage(LOW_LYING, "Vn I", ensemble=str(file), registers="singing") == sung


def test_a_named_octave_has_no_other_by_any_registers():
    found = passage(LOW_LYING, "Vn I 8va", registers="measured")
    assert (found.octave_named, found.octave_by_other, found.octave_as_plain) == (
        True,
        None,
        None,
    )


def test_how_usual_a_line_is_falls_as_it_climbs():
    places = [
        rewriter.expand(sketch("4/4 | A4h B4h | C5w |"), f"Vn I octave {octave}").report
        for octave in ("-1", "+0", "+1", "+2")
    ]
    found = [report.lines[0].usual for report in places]
    assert all(found)
    as_high, up_to = ([getattr(one, name) for one in found] for name in ("as_high", "up_to"))
    assert as_high == sorted(as_high, reverse=True)
    assert up_to == sorted(up_to, reverse=True)
    assert (as_high[0], up_to[-1]) == (100, 0)
