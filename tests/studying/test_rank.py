"""Layouts ranked: as every octave expanded by itself, and as what is made of the first."""

from pathlib import Path

import pytest

import rewriter
from rewriter.rulefiles.loading import load_ensemble, names, resolve_layout
from rewriter.studying.ranking import keys_within_a_fourth
from tests.shorthand import sketch
from tests.studying.brute_force import best_by_expanding, plain_layouts

ROOT = Path(__file__).parents[2]
SCORES = sorted(
    path for path in (ROOT / "scores").glob("*.musicxml") if path.stem != "ferrymans-lamp"
)
FERRY = ROOT / "scores" / "last-ferry.musicxml"
HARBOUR = ROOT / "scores" / "harbour-thaws.musicxml"

# Without grace notes, which the tests' reader of scores leaves out.
WIDE = sketch("4/4 p | G3h D4q G4q | f B4h. A4q | D5q E5q F#5q G5q | B5h A5h | ff D6w |")
LOW = sketch("3/4 key=-3 mf | C3h Eb3q | G3h F3q | Bb3q Ab3q G3q | C4h. |")


@pytest.mark.parametrize("data", [WIDE, LOW], ids=["wide", "low"])
def test_the_order_is_that_of_expanding_at_every_octave(data: bytes, tmp_path: Path) -> None:
    layouts = plain_layouts()[::2]
    best = best_by_expanding(data, "", layouts, tmp_path)
    seen = rewriter.rank(data, layouts=layouts)
    for group in seen.groups:
        ours = [(one.layout, one.octave) for one in group.layouts if not one.by]
        theirs = [(one.layout, one.octave) for one in best if one.layout in dict(ours)]
        assert ours == theirs


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
@pytest.mark.parametrize("registers", ["singing", "measured"])
def test_the_first_of_each_group_is_what_an_expansion_reports(
    path: Path, registers: str
) -> None:
    seen = rewriter.rank(path, registers=registers)  # type: ignore[arg-type]
    assert len(seen.groups) >= 5
    for group in seen.groups:
        first = group.layouts[0]
        report = rewriter.expand(
            path,
            first.layout,
            by=first.by,
            registers=registers,  # type: ignore[arg-type]
            out_of_range="keep",
        ).report
        (passage,) = report.passages
        assert (first.stack, first.lines) == (passage.stack, passage.lines)
        assert (first.key, seen.strengths) == (passage.key, passage.strengths)
        assert group.findings == report.findings
        beyond = [one for one in report.findings if one.rule.startswith("beyond")]
        assert bool(beyond) == bool(first.out_of_range)
        assert first.players == sum(
            line.players for line in report.lines if line.is_tune and not line.handed_over_by
        )


@pytest.mark.parametrize(
    "name", ["three-levels-middle-doubled", "violins-over-cellos", "Vla / Vc"]
)
def test_every_key_is_what_an_expansion_in_it_reports(name: str) -> None:
    (group,) = rewriter.rank(FERRY, layouts=[name]).groups
    assert len(group.layouts) == 11
    for one in group.layouts:
        report = rewriter.expand(FERRY, name, by=one.by).report
        (passage,) = report.passages
        assert (one.stack, one.lines, one.key) == (passage.stack, passage.lines, passage.key)
        outside = [each for each in report.findings if each.rule == "outside-condition"]
        assert bool(outside) == bool(one.outside_condition) or one.outside_condition == 0
        high = [each for each in report.findings if each.rule == "long-at-the-top"]
        assert bool(high) == (one.bars_at_the_top > 4)


def test_a_part_of_the_tune_is_ranked_as_a_passage_of_it_is_placed(tmp_path: Path) -> None:
    (group,) = rewriter.rank(HARBOUR, layouts=["violins-over-cellos"], bars="21-28").groups
    plan = tmp_path / "plan.toml"
    for one in group.layouts:
        plan.write_text(
            '[[passage]]\nbars = "21-28"\nlayout = "violins-over-cellos"\n'
            + (f'by = "{one.by}"\n' if one.by else "")
        )
        (passage,) = rewriter.expand(HARBOUR, plan=plan).report.passages
        assert (one.stack, one.lines, one.key) == (passage.stack, passage.lines, passage.key)


def test_a_statement_is_that_part_of_the_tune() -> None:
    second = rewriter.survey(HARBOUR).statements[1]
    by_number = rewriter.rank(HARBOUR, layouts=["violas-alone"], statement=2)
    by_bars = rewriter.rank(HARBOUR, layouts=["violas-alone"], bars=second.bars)
    assert (by_number.bars, by_number.key) == ("13-18", "G minor")
    assert by_number.groups == by_bars.groups


def test_the_strength_of_the_music_counts() -> None:
    music = "4/4 {} | A5h G5q F5q | E5h. F5q | D6q C6q A5q G5q | A5w"
    found = [
        rewriter.rank(sketch(music.format(mark)), layouts=["Vn I loco"], keys=["C"])
        for mark in ("p", "f")
    ]
    soft, full = (seen.groups[0].layouts[0].mean_sings for seen in found)
    assert soft < full or soft == full == 1.0
    low = [
        rewriter.rank(sketch(music.format(mark)), layouts=["Vn I 15mb"], keys=["C"])
        for mark in ("p", "f")
    ]
    soft, full = (seen.groups[0].layouts[0].mean_sings for seen in low)
    assert soft > full


def test_what_is_asked_for_is_ranked_and_nothing_else() -> None:
    seen = rewriter.rank(FERRY, levels=[2, 3], without=["Db", "Viola"], keys=["D", "Eb"])
    assert [group.levels for group in seen.groups] == [2, 3]
    ensemble = load_ensemble("symphonic")
    ranked = {one.layout for group in seen.groups for one in group.layouts}
    for name in names("layouts"):
        layout = resolve_layout(name, ensemble)
        keys = {one.section for one in layout.stack.members}
        if len(layout.stack.levels) in {2, 3} and not layout.with_ and not layout.line:
            assert (name in ranked) == (not keys & {"Db", "Vla"}), name
    assert {one.key for group in seen.groups for one in group.layouts} == {
        "D major",
        "Eb major",
    }


def test_layouts_of_sections_there_are_none_of_are_left_out_with_the_reason() -> None:
    seen = rewriter.rank(FERRY, ensemble="quartet")
    left = {one.layout: one.why for one in seen.left_out}
    assert "Db" in left["cellos-over-basses"]
    assert seen.groups
    left = {one.layout: one.why for one in rewriter.rank(FERRY).left_out}
    assert left["sketched-chords-alone"] == "the sketch has no staff 3"
    assert rewriter.rank(HARBOUR).left_out == []


@pytest.mark.parametrize("fifths", range(-7, 8))
def test_keys_go_a_fourth_up_and_down_and_have_a_signature(fifths: int) -> None:
    keys = keys_within_a_fourth(fifths)
    assert [key.semitones for key in keys] == list(range(-5, 6))
    assert all(abs(fifths + key.fifths) <= 7 for key in keys)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"layouts": ["violas-alon"]}, "did you mean the layout violas-alone?"),
        ({"layouts": "violas-alone"}, '"violas-alone" stands where a list of texts is wanted'),
        ({"without": ["Tuba"]}, 'no section is called "Tuba" in symphonic'),
        ({"levels": [7]}, "no layout is left; ask for other levels or sections"),
        ({"keys": ["H#"]}, "H#"),
        ({"keys": ["D minor"]}, "moving keeps the mode"),
        ({"statement": 9}, "there is no statement 9; there are 2; see rewriter survey"),
        ({"statement": 1, "bars": "1-4"}, "bars and a statement are both named"),
    ],
)
def test_what_cannot_be_is_refused(asked: dict[str, object], said: str) -> None:
    with pytest.raises(rewriter.Refused) as refused:
        rewriter.rank(ROOT / "scores" / "ice-pilots-song.musicxml", **asked)  # type: ignore[arg-type]
    assert said in str(refused.value)
