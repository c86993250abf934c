"""Rests of a voice. That they show the beats is common practice in manuals of notation."""

import re

import pytest

import rewriter
from tests.outside.reference import bar_lengths, heard_by_reference
from tests.outside.schema import assert_valid
from tests.plain_xml import bar_of, first_violins, note, score, text_of, tied
from tests.planned import by_plan
from tests.shorthand import sketch


def written(music: str) -> list[str]:
    """Types of the notes and rests; ``R`` for a rest that stands for the bar."""
    made = rewriter.expand(sketch(music), "Vn I loco")
    assert_valid(made.score)
    found = []
    for one in first_violins(made).iter("note"):
        rest = one.find("rest")
        kind = (one.findtext("type") or "") + "." * len(one.findall("dot"))
        whole = rest is not None and rest.get("measure") == "yes"
        found.append("R" if whole else f"r{kind}" if rest is not None else kind)
    return found


def gap(before: int, length: int) -> list[str]:
    """What a bar of four has where a voice leaves a gap between two notes."""
    behind = 8 - before - length
    bars = note("A4", before) if before else ""
    bars += f"<forward><duration>{length}</duration></forward>"
    bars += note("A4", behind) if behind else ""
    made = rewriter.expand(score([bar_of(bars), note("A4", 8)]), "Vn I loco")
    assert_valid(made.score)
    first = first_violins(made)[0]
    return [
        one.findtext("type") or "" for one in first.iter("note") if one.find("rest") is not None
    ]


@pytest.mark.parametrize(
    ("before", "length", "wanted"),
    [
        (4, 4, ["half"]),
        (2, 2, ["quarter"]),
        (2, 4, ["quarter", "quarter"]),  # the middle of four beats shows
        (2, 6, ["quarter", "half"]),
        (1, 7, ["eighth", "quarter", "half"]),
        (0, 4, ["half"]),
        (0, 7, ["half", "quarter", "eighth"]),
    ],
)
def test_gaps_in_a_voice_become_rests_by_the_beats(
    before: int, length: int, wanted: list[str]
) -> None:
    assert gap(before, length) == wanted


@pytest.mark.parametrize(
    ("music", "wanted"),
    [
        # the beats of compound time have one dotted rest each
        ("6/8 | rq re A4q. |", ["rquarter.", "quarter."]),
        ("6/8 | A4q. re re re |", ["quarter.", "rquarter."]),
        ("9/8 | A4q. rq. re rq |", ["quarter.", "rquarter.", "rquarter."]),
        ("12/8 | rq re rq re A4h. |", ["rhalf.", "half."]),
        ("6/8 | A4e re re rq. |", ["eighth", "reighth", "reighth", "rquarter."]),
        ("6/8 | re re re rq. | A4h. |", ["R", "half."]),
        # in simple time rests stay as the sketch has them
        ("4/4 | rq rq A4h |", ["rquarter", "rquarter", "half"]),
        # but a rest that is all there is stands for the bar
        ('3/4 | "Largo" rh. | A4h. |', ["R", "half."]),
        # silence in place of cue and unpitched notes is written anew
        ("4/4 | cue:A4e cue:A4e Xe Xe A4h |", ["rhalf", "half"]),
        ("4/4 | cue:A4w | A4w |", ["R", "whole"]),
        ("6/8 | cue:A4q cue:A4e A4q. |", ["rquarter.", "quarter."]),
        # a word between two rests keeps its place
        ('6/8 | rq "dolce" re A4q. |', ["rquarter", "reighth", "quarter."]),
    ],
)
def test_silence_is_written_by_the_metre(music: str, wanted: list[str]) -> None:
    assert written(music) == wanted


def test_notes_without_a_gap_get_no_rest_between_them() -> None:
    # a forward by nothing marks the voice as out of order, and nothing more
    nothing = "<forward><duration>0</duration></forward>"
    data = score([bar_of(note("A4", 4), nothing, note("B4", 4))])
    assert b"<rest" not in rewriter.expand(data, "Vn I loco").score.split(b"</part>")[0]


def test_whole_bars_are_whole_bar_rests_in_any_metre() -> None:
    assert written("4/4 | A4w | R | 3/4 R | A4h. |") == ["whole", "R", "R", "half."]


def test_rests_of_the_sketch_keep_its_own_writing() -> None:
    assert written("4/4 | A4q rq rq A4q |") == [
        "quarter", "rquarter", "rquarter", "quarter",
    ]  # fmt: skip


def test_rests_hidden_in_the_sketch_are_seen() -> None:
    hidden = note("r", 4).replace("<note>", '<note print-object="no">')
    made = rewriter.expand(score([bar_of(note("A4", 4), hidden)]), "Vn I loco")
    assert b"print-object" not in made.score


def test_where_a_rest_stood_is_left_behind_and_counted() -> None:
    place = "<rest><display-step>B</display-step><display-octave>4</display-octave></rest>"
    placed = note("r", 4).replace("<rest/>", place)
    made = rewriter.expand(score([bar_of(note("A4", 4), placed)]), "Vn I loco")
    assert made.report.dropped == {"positions of rests": 1}
    assert not re.search(rb"display-step", made.score)


@pytest.mark.parametrize("kind", ["<cue/>", "<unpitched/>"])
def test_what_is_not_the_tunes_to_play_is_a_rest(kind: str) -> None:
    silent = note("B4", 4)
    if kind == "<cue/>":
        silent = note("B4", 4, before=kind)
    else:
        silent = re.sub("<pitch>.*</pitch>", kind, silent)
    made = rewriter.expand(score([bar_of(note("A4", 4), silent)]), "Vn I loco")
    assert_valid(made.score)
    assert bar_lengths(made.score)[0] == [4]
    assert made.report.dropped == {"cue notes" if "cue" in kind else "unpitched notes": 1}
    assert [e.tag for e in first_violins(made).iter("rest")] == ["rest"]


@pytest.mark.parametrize("kind", ["cue", "unpitched"])
def test_a_grace_note_that_is_not_played_leaves_nothing(kind: str) -> None:
    before = "<grace/><cue/>" if kind == "cue" else "<grace/>"
    grace = note("B4", 0, before=before)
    if kind == "unpitched":
        grace = re.sub("<pitch>.*</pitch>", "<unpitched/>", grace)
    made = rewriter.expand(score([bar_of(grace, note("A4", 8))]), "Vn I loco")
    assert_valid(made.score)
    assert len(list(first_violins(made).iter("note"))) == 1
    assert made.report.dropped == {f"{kind} notes": 1}


def test_a_very_long_silence_is_one_rest() -> None:
    time = "<time><senza-misura/></time>"
    bars = [
        bar_of(
            "<forward><duration>2000</duration></forward>", note("A4", 8),
            attributes=f"<divisions>2</divisions>{time}",
        )
    ]  # fmt: skip
    made = rewriter.expand(score(bars), "Vn I loco")
    assert [e.text for e in first_violins(made).iter("duration")] == ["2000", "8"]


def test_an_upbeat_bar_behind_a_short_bar_goes_on_where_that_ended() -> None:
    """One quarter, then two: beats 2 and 3 of four, on both sides of the middle."""
    made = rewriter.expand(sketch("4/4 | C5w | C5q | pickup D5h | E5w |"), "Vn I loco")
    violas = made.score.decode().split("</part>")[2]
    assert re.findall(r"<type>(\w+)|measure=\"(yes)", violas) == [
        ("", "yes"), ("quarter", ""), ("quarter", ""), ("quarter", ""), ("", "yes"),
    ]  # fmt: skip


def test_a_cue_note_in_a_tuplet_leaves_a_rest_that_holds_the_bracket() -> None:
    for tuplet in ("3{C5e D5 cue:E5e}", "3{cue:C5e D5e E5}"):
        made = rewriter.expand(sketch(f"4/4 | {tuplet} C5q D5h |"), "Vn I loco")
        first = first_violins(made)
        notes = list(first.iter("note"))[:3]
        ends = [[one.get("type") for one in each.iter("tuplet")] for each in notes]
        assert ends == [["start"], [], ["stop"]]
        assert [each.find("rest") is not None for each in notes] == [
            "cue" in each for each in tuplet.split()
        ]


FINE = "<divisions>480</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"


def rounded(short_by: int) -> bytes:
    """A tune whose first bar ends in a triplet a little short, tied over; a full bass."""
    heard, drawn = tied("start")
    triplet = note("A4", 160) + note("B4", 160) + note("C5", 160 - short_by, heard + drawn)
    heard, drawn = tied("stop")
    melody = [
        bar_of(note("G4", 1440), triplet, attributes=FINE),
        note("C5", 1920, heard + drawn),
    ]
    bass = [bar_of(note("C3", 1920), attributes=FINE), note("C3", 1920)]
    return score({"Melody": melody, "Bass": bass})


@pytest.mark.parametrize("short_by", [1, 9, 14])
def test_a_bar_short_by_rounding_gets_no_rest_and_keeps_its_tie(short_by: int) -> None:
    made = rewriter.expand(rounded(short_by), "Vn I loco")
    assert_valid(made.score)
    assert set(map(tuple, bar_lengths(made.score))) == {(4, 4)}
    first = first_violins(made)
    assert not list(first.iter("rest"))
    assert [one.findtext("duration") for one in first.iter("forward")] == [str(short_by)]
    assert [one.get("type") for one in first.iter("tie")] == ["start", "stop"]
    assert not made.report.findings


def test_a_bar_short_by_more_is_short() -> None:
    made = rewriter.expand(rounded(15), "Vn I loco")
    assert list(first_violins(made).iter("rest"))


def test_a_tie_over_a_rounded_bar_is_cut_at_a_border() -> None:
    firsts, seconds = ('bars = "1"\nstack = "Vn I"', 'bars = "2"\nstack = "Vn II"')
    made = by_plan(rounded(3), firsts, seconds)
    assert_valid(made.score)
    assert b"<tie" not in made.score
    assert [len(notes) for notes in heard_by_reference(made.score)][:2] == [4, 1]


def test_an_upbeat_bar_short_by_rounding_is_a_full_one() -> None:
    bars = [bar_of(note("A4", 1440), note("B4", 471), attributes=FINE), note("C5", 1920)]
    bars[0] = f'<measure number="0" implicit="yes">{bars[0]}</measure>'
    made = rewriter.expand(score(bars), "Vn I loco")
    violas = text_of(first_violins(made).getparent()[-1])
    assert violas.count('<rest measure="yes"/>') == 2


def test_a_rest_behind_a_rounded_triplet_begins_on_its_beat() -> None:
    triplet = note("A4", 160) + note("B4", 160) + note("C5", 159)
    bar = bar_of(triplet, "<forward><duration>481</duration></forward>", note("D5", 960),
                 attributes=FINE)  # fmt: skip
    made = rewriter.expand(score([bar]), "Vn I loco")
    assert_valid(made.score)
    first = first_violins(made)
    rests = [one for one in first.iter("note") if one.find("rest") is not None]
    assert [(one.findtext("duration"), one.findtext("type")) for one in rests] == [
        ("480", "quarter")
    ]
    assert [one.findtext("duration") for one in first.iter("forward")] == ["1"]
