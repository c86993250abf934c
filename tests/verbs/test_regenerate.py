"""Scores and parts made anew: where the base comes from, passages in keys of their own."""

from pathlib import Path

import pytest
from lxml import etree

import rewriter
from rewriter.comparing.comparison import compare
from rewriter.merging.merge import merge
from rewriter.merging.three import Scores, Three
from rewriter.musicxml.copies import copy_of
from rewriter.musicxml.saving import is_untouched
from rewriter.scores.score import read_score
from tests.comparing.resaving import resaved
from tests.shorthand import finished_score, sketch

OLD = "4/4 p C5q D5 E5 F5 | G5h A5 | B5q C6 A5 G5 | C5w | E5q D5 C5 D5 | E5h F5 | G5w |"
NEW = "4/4 p C5q D5 E5 F5 | G5h A5 | B5q C6 A5 G5 | C5w | E5q D5 C5 D5 | E5h F5 | A5w |"
STACK = "Vn I / Vla"


def with_words(data: bytes, part: str, bar: int, words: str) -> bytes:
    root = etree.fromstring(data)
    (measure,) = root.xpath(f"part[@id='{part}']/measure[@number='{bar}']")
    said = f"<direction><direction-type><words>{words}</words></direction-type></direction>"
    measure.find("note").addprevious(etree.fromstring(said))
    return etree.tostring(root)


def has_words(data: bytes, part: str, bar: int, words: str) -> bool:
    path = f"boolean(part[@id='{part}']/measure[@number='{bar}']//words[.='{words}'])"
    return bool(etree.fromstring(data).xpath(path))


def test_without_edits_it_is_a_fresh_expansion() -> None:
    base = rewriter.expand(sketch(OLD), STACK).score
    made = rewriter.regenerate(base, sketch(NEW), STACK, base=base, by="up m3")
    assert made.score == made.made == rewriter.expand(sketch(NEW), STACK, by="up m3").score
    assert made.report.found == 0
    assert not made.report.needs_a_look
    assert made.report.moved == "up m3"


def test_without_changes_it_is_the_edited_score_as_music() -> None:
    base = rewriter.expand(sketch(OLD), STACK).score
    edited = resaved(with_words(base, "P3", 5, "like water"), 7)
    made = rewriter.regenerate(edited, sketch(OLD), STACK, base=base)
    assert compare(read_score(edited), read_score(made.score)).all == []
    assert is_untouched(made.score)
    assert made.report.print_again == []


def test_the_base_is_made_anew_from_the_old_sketch_in_its_old_key() -> None:
    base = rewriter.expand(sketch(OLD), STACK, key="D").score
    edited = with_words(base, "P1", 3, "sul tasto")
    made = rewriter.regenerate(
        edited, sketch(NEW), STACK, was=sketch(OLD), was_key="D", key="F"
    )
    assert [one.kind for one in made.report.carried] == ["words"]
    assert made.report.found == 1
    assert made.report.moved == "up m3"
    assert has_words(made.score, "P1", 3, "sul tasto")


def test_a_passage_in_a_key_of_its_own(tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text(
        f'[[passage]]\nbars = "1-4"\nstack = "{STACK}"\n'
        f'[[passage]]\nbars = "5-7"\nstack = "{STACK}"\nkey = "D"\n'
    )
    base = rewriter.expand(sketch(OLD), STACK).score
    root = etree.fromstring(base)
    for bar in (2, 6):
        (octave,) = root.xpath(f"part[@id='P1']/measure[@number='{bar}']/note[1]/pitch/octave")
        octave.text = str(int(octave.text) - 1)
    made = rewriter.regenerate(etree.tostring(root), sketch(OLD), plan=plan, base=base)
    assert made.report.moved == "bars 5-7 up M2"
    assert [one.kind for one in made.report.carried] == ["notes", "notes"]
    before, after = (
        [note.findtext("pitch/step") for note in one.iterfind("part[@id='P1']/measure[6]/note")]
        for one in (root, etree.fromstring(made.score))
    )
    assert (before, after) == (["E", "F"], ["F", "G"])


@pytest.mark.parametrize("by", ["", "up M2", "down m3", "up P4", "down P8", "up A4", "up m7"])
@pytest.mark.parametrize("stack", [STACK, "Vn I + Vn II / Vc", "Vla"])
def test_the_new_key_is_heard(by: str, stack: str) -> None:
    base = read_score(rewriter.expand(sketch(OLD), STACK).score)
    again = sketch(OLD.replace("B5q C6", "E5q G5 A5 B5 | E5q G5 F5 D5 | B5q C6"))
    new = read_score(rewriter.expand(again, stack, by=by).score)
    three = Three(Scores(base, base, new), None, None, with_breaks=False)
    moves = {three.by(bar) for bar in range(9)}
    assert len(moves) == 1
    (move,) = moves
    wanted = {
        "": 0,
        "up M2": 2,
        "down m3": 9,
        "up P4": 5,
        "down P8": 0,
        "up A4": 6,
        "up m7": 10,
    }
    assert move.semitones % 12 == wanted[by]


def test_a_phrase_on_another_degree_is_no_other_key() -> None:
    base = read_score(rewriter.expand(sketch(OLD), STACK).score)
    second = "D5q E5 F#5 G5 | A5h B5 | C#6q D6 B5 A5 | D5w |"
    new = read_score(rewriter.expand(sketch(OLD + second), STACK).score)
    three = Three(Scores(base, base, new), None, None, with_breaks=False)
    assert {three.by(bar) for bar in range(11)} == {(0, 0)}


def test_a_part_is_held_against_its_own_copy(tmp_path: Path) -> None:
    base = rewriter.expand(sketch(OLD), STACK).score
    part = next(one for one in rewriter.parts(base, stem="ferry") if one.name == "Violas")
    rewriter.write_parts([part], tmp_path)
    path = tmp_path / part.file_name
    assert copy_of(path).is_file()
    path.write_bytes(with_words(path.read_bytes(), "P3", 5, "like water"))
    made = rewriter.regenerate(path, sketch(NEW), STACK, version_line="2 May")
    assert made.report.part == "Violas"
    assert [part.section for part in made.report.print_again] == ["Violas"]
    assert [bar.bar for bar in made.report.print_again[0].bars] == ["7"]
    assert has_words(made.score, "P3", 5, "like water")
    assert has_words(made.score, "P3", 1, "2 May")
    fresh = rewriter.expand(sketch(NEW), STACK).score
    alone = next(one for one in rewriter.parts(fresh, stem="ferry") if one.name == "Violas")
    assert made.made == alone.data


def test_a_part_is_held_against_the_copy_of_its_score() -> None:
    base = rewriter.expand(sketch(OLD), STACK).score
    part = next(one for one in rewriter.parts(base) if one.name == "Violins I")
    edited = resaved(with_words(part.data, "P1", 2, "dolce"), 3)
    made = rewriter.regenerate(edited, sketch(NEW), STACK, base=base)
    assert made.report.part == "Violins I"
    assert [one.kind for one in made.report.carried] == ["words"]


def test_a_line_stands_over_parts_that_changed_only() -> None:
    base = rewriter.expand(sketch(OLD), STACK).score
    made = rewriter.regenerate(base, sketch(NEW), STACK, base=base, version_line="2 May")
    root = etree.fromstring(made.score)
    assert root.xpath("part[.//words='2 May']/@id") == ["P1", "P3"]
    assert {part.section for part in made.report.print_again} == {"Violins I", "Violas"}


def test_pages_are_told_where_breaks_are_kept() -> None:
    base = rewriter.expand(sketch(OLD), STACK).score
    root = etree.fromstring(base)
    for part in root.findall("part"):
        part[4].insert(0, etree.fromstring('<print new-page="yes"/>'))
    edited = etree.tostring(root)
    made = rewriter.regenerate(edited, sketch(NEW), STACK, base=base, keep_breaks=True)
    assert (made.report.pages, made.report.pages_of) == (["2"], 2)
    assert b"new-page" in made.score
    made = rewriter.regenerate(edited, sketch(NEW), STACK, base=base)
    assert (made.report.pages, made.report.pages_of) == ([], 0)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"prefer": "mine"}, 'prefer: "mine" is none of , hand, new'),
        ({"marks": 1}, "marks: 1 stands where True or False is wanted"),
        ({"bars": 3}, "bars: 3 stands where text is wanted"),
        ({"cue_notes": -1}, "cue_notes: -1 stands where a whole number, 0 for none, is wanted"),
        (
            {"base": b"<x/>", "was": b"<x/>"},
            "a base and an old sketch are both named; name one of them",
        ),
        (
            {"was_key": "G"},
            "it is said how the score was made, and not from what; name the old sketch",
        ),
        (
            {},
            "sketch: the score has no file, so there is no copy beside it; name one with "
            "base, or the sketch it was made of with was",
        ),
    ],
    ids=str,
)
def test_what_it_is_given(given: dict[str, object], said: str) -> None:
    score = rewriter.expand(sketch(OLD), STACK).score
    with pytest.raises(rewriter.Refused) as refused:
        rewriter.regenerate(score, sketch(OLD), STACK, **given)  # type: ignore[arg-type]  # likewise
    assert str(refused.value) == said


def test_two_voices_of_a_hand_in_a_bar_of_rest() -> None:
    """Neither takes the other's place."""
    base = finished_score({"Vn I": "4/4 C5w | D5w |", "Vc": "4/4 R | R |"})
    root = etree.fromstring(finished_score({"Vn I": "4/4 C5w | D5w |", "Vc": "4/4 R | C3w |"}))
    (note,) = root.xpath("part[2]/measure[2]/note")
    lasts = note.findtext("duration")
    for element in (
        "<note><pitch><step>E</step><octave>4</octave></pitch>"
        f"<duration>{lasts}</duration><voice>7</voice><type>whole</type></note>",
        f"<backup><duration>{lasts}</duration></backup>",
    ):
        note.addnext(etree.fromstring(element))
    hand = etree.tostring(root)
    result = merge(*map(read_score, (base, hand, base)))
    assert compare(read_score(result.score), read_score(hand)).all == []
    assert [one.kind for one in result.carried] == ["notes", "notes"]


def test_words_at_a_conflict_stay_until_they_are_taken_out() -> None:
    base = rewriter.expand(sketch(OLD), STACK).score
    root = etree.fromstring(base)
    (step,) = root.xpath("part[@id='P1']/measure[@number='7']/note/pitch/step")
    step.text = "B"
    first = rewriter.regenerate(etree.tostring(root), sketch(NEW), STACK, base=base)
    assert [one.kind for one in first.report.conflicts] == ["notes"]
    assert first.score.count(b"to settle:") == 1
    again = rewriter.regenerate(first.score, sketch(NEW), STACK, base=first.made)
    assert again.score.count(b"to settle:") == 1
    assert [one.kind for one in again.report.carried] == ["words"]
    assert not again.report.needs_a_look


def with_odd_lengths(score: bytes) -> bytes:
    """The first note lasts a piece of a division that no music needs."""
    root = etree.fromstring(score)
    duration = root.find("part/measure/note/duration")
    assert duration is not None
    duration.text = "0.12345678901"
    return etree.tostring(root)


def test_lengths_that_have_no_common_division() -> None:
    base = finished_score({"Vn I": "4/4 C5w | D5w |"})
    with pytest.raises(rewriter.Refused) as refused:
        merge(*map(read_score, (base, with_odd_lengths(base), base)))
    assert str(refused.value) == (
        "sketch: the lengths of its notes and those of the new score have no common division; "
        "look at its <divisions>"
    )
