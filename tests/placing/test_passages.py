"""Where the passages of a plan begin and end: bars, beats, marks, upbeats, faults."""

import re

import pytest

import rewriter
from rewriter.problems import Refused
from tests.planned import by_plan, layout, said
from tests.shorthand import sketch

FOUR = "4/4 | C4q D4 E4 F4 | G4q A4 B4 C5 | D5q E5 F5 G5 | A5q B5 C6 D6 |"


def vn1(data: bytes, *passages: str) -> str:
    return said(by_plan(data, *passages).score)["Vn I"]


def only(where: str, music: str = FOUR) -> str:
    """What the first violins play of one passage."""
    return vn1(sketch(music), f'{where}\nstack = "Vn I loco"')


@pytest.mark.parametrize(
    ("where", "expected"),
    [
        ('bars = "2-3"', "R | G4q A4q B4q C5q | D5q E5q F5q G5q | R"),
        ('bars = "2"', "R | G4q A4q B4q C5q | R | R"),
        ('bars = "2\N{EN DASH}3"', "R | G4q A4q B4q C5q | D5q E5q F5q G5q | R"),
        ('from = "2"\nto = "3"', "R | G4q A4q B4q C5q | D5q E5q F5q G5q | R"),
        ('from = "start"\nto = "1"', "C4q D4q E4q F4q | R | R | R"),
        ('from = "4"\nto = "end"', "R | R | R | A5q B5q C6q D6q"),
        ('from = "2 beat 3"\nto = "2"', "R | rh B4q C5q | R | R"),
        ('from = "2 beat 2"\nto = "2 beat 3"', "R | rq A4q B4q rq | R | R"),
        ('from = "bar 2 beat 3"\nto = "bar 3 beat 1"', "R | rh B4q C5q | D5q rq rh | R"),
        ('bars = "3"\npickup = 1', "R | rh rq C5q | D5q E5q F5q G5q | R"),
        ('bars = "3"\npickup = 2', "R | rh B4q C5q | D5q E5q F5q G5q | R"),
        ('bars = "3"\npickup = 5', "rh rq F4q | G4q A4q B4q C5q | D5q E5q F5q G5q | R"),
    ],
)
def test_bars_and_beats(where: str, expected: str) -> None:
    assert only(where) == expected


def test_beats_are_the_denominators_of_the_metre() -> None:
    music = "6/8 | C4e D4 E4 F4 G4 A4 | B4e C5 D5 E5 F5 G5 |"
    assert only('from = "1 beat 4"\nto = "end"', music) == (
        "rq. F4e G4e A4e | B4e C5e D5e E5e F5e G5e"
    )
    assert only('bars = "2"\npickup = 1', music) == "rq. rq A4e | B4e C5e D5e E5e F5e G5e"


def test_beats_may_be_decimals() -> None:
    music = "4/4 | C4q D4 E4e F4 G4q |"
    assert only('from = "1 beat 3.5"\nto = "end"', music) == "rh re F4e G4q"


def test_beats_of_an_upbeat_bar_are_those_of_a_full_one() -> None:
    music = "4/4 | pickup C4q D4 | E4w |"
    assert only('from = "0 beat 4"\nto = "0"', music) == "rq D4q | R"


MARKED = "4/4 | C4w | mark=A D4w | E4w | mark=B F4w | G4w |"


@pytest.mark.parametrize(
    ("where", "expected"),
    [
        ('from = "A"\nto = "B"', "R | D4w | E4w | R | R"),
        ('from = "start"\nto = "A"', "C4w | R | R | R | R"),
        ('from = "b"\nto = "end"', "R | R | R | F4w | G4w"),
        ('from = "mark A"\nto = "4"', "R | D4w | E4w | F4w | R"),
        ('from = "2"\nto = "mark B"', "R | D4w | E4w | R | R"),
    ],
)
def test_rehearsal_marks(where: str, expected: str) -> None:
    assert only(where, MARKED) == expected


def test_a_bar_and_a_mark_of_one_name_are_told_apart() -> None:
    music = "4/4 | C4w | D4w | mark=2 E4w | F4w |"
    assert only('from = "bar 2"\nto = "bar 2"', music) == "R | D4w | R | R"
    assert only('from = "mark 2"\nto = "end"', music) == "R | R | E4w | F4w"
    assert only('bars = "2"', music) == "R | D4w | R | R"
    assert fault('from = "2"\nto = "end"', music) == (
        'passage 1: "2" is a bar and a rehearsal mark; say "bar 2" or "mark 2"'
    )


def test_repeated_and_odd_bar_numbers() -> None:
    music = "4/4 | C4w | bar=1 D4w | bar=2a E4w | F4w |"
    assert only('from = "1(2)"\nto = "2a"', music) == "R | D4w | E4w | R"
    assert fault('bars = "1"', music) == (
        "passage 1: 2 bars are numbered 1; say which: 1(1), 1(2)"
    )


TWICE = (
    "4/4 | mark=Verse C4w | mark=Chorus D4w | mark=Verse E4w | mark=Chorus F4w | mark=A G4w |"
)


def test_a_rehearsal_mark_that_comes_twice() -> None:
    assert only('from = "Chorus(1)"\nto = "Verse(2)"', TWICE) == "R | D4w | R | R | R"
    assert only('from = "mark chorus (2)"\nto = "A"', TWICE) == "R | R | R | F4w | R"
    assert fault('from = "chorus"\nto = "A"', TWICE) == (
        'passage 1: the rehearsal mark "Chorus" comes 2 times; '
        "say which: Chorus(1) in bar 2, Chorus(2) in bar 4"
    )
    assert fault('from = "Chorus(3)"\nto = "A"', TWICE) == (
        'passage 1: there is no bar or mark "Chorus(3)"; bars go from 1 to 5, '
        "rehearsal marks are Verse(1) in bar 1, Verse(2) in bar 3, "
        "Chorus(1) in bar 2, Chorus(2) in bar 4, A"
    )


def test_a_mark_that_is_called_so_is_not_the_second_of_another() -> None:
    music = "4/4 | mark=A C4w | mark=A D4w | mark=A(2) E4w | F4w |"
    assert only('from = "A(2)"\nto = "end"', music) == "R | R | E4w | F4w"


@pytest.mark.parametrize(
    ("where", "music", "expected"),
    [
        ('from = "2 beat 9"\nto = "end"', FOUR, "bar 2 has no beat 9; its beats are 1 to 4"),
        ('from = "1"\nto = "2 beat 5"', FOUR, "bar 2 has no beat 5; its beats are 1 to 4"),
        ('from = "2 beat 0.5"\nto = "3"', FOUR, "bar 2 has no beat 0.5; its beats are 1 to 4"),
        ('from = "3"\nto = "end beat 5"', FOUR, "bar 4 has no beat 5; its beats are 1 to 4"),
        ('from = "A beat 5"\nto = "5"', MARKED, "bar 2 has no beat 5; its beats are 1 to 4"),
        ('from = "0 beat 2"\nto = "1"', "4/4 | pickup C4q D4 | E4w |",
         "bar 0 has no beat 2; its beats are 3 to 4"),
        ('from = "0 beat 1"\nto = "1"', "4/4 | pickup D4q | E4w |",
         "bar 0 has no beat 1; its only beat is 4"),
        ('from = "1 beat 7"\nto = "1"', "6/8 | C4e D4 E4 F4 G4 A4 |",
         "bar 1 has no beat 7; its beats are 1 to 6"),
    ],
)  # fmt: skip
def test_beats_there_are_none_of(where: str, music: str, expected: str) -> None:
    assert fault(where, music) == f"passage 1: {expected}"


def test_the_last_beat_has_fractions() -> None:
    music = "4/4 | A5q B5 C6 D6e E6 |"
    assert only('from = "1 beat 4.5"\nto = "1 beat 4.5"', music) == "rh rq re E6e"


def test_marks_do_not_go_with_bars() -> None:
    assert fault('bars = "A-B"', MARKED) == (
        'passage 1: "A" is a rehearsal mark; write from and to in place of bars'
    )
    assert re.sub(".*toml:", "", fault('bars = "start-3"')) == (
        "2: passage[1].bars: start and end do not go with bars; "
        'write from = "start" and to = "3"'
    )


def fault(where: str, music: str = FOUR, *more: str) -> str:
    passages = [f'{one}\nstack = "Vn I loco"' for one in (where, *more)]
    with pytest.raises(Refused) as refused:
        by_plan(sketch(music), *passages)
    return re.sub(r"^.*plan\.toml: ", "", str(refused.value))


@pytest.mark.parametrize(
    ("where", "expected"),
    [
        ('bars = "7"', "passage 1: there is no bar 7; bars go from 1 to 4"),
        (
            'from = "C"\nto = "end"',
            'passage 1: there is no bar or mark "C"; bars go from 1 to 4',
        ),
        ('bars = "3-2"', "passage 1: it ends before it begins; look at its bars"),
    ],
)
def test_faults(where: str, expected: str) -> None:
    assert fault(where) == expected


def test_a_mark_there_is_not_lists_those_there_are() -> None:
    assert fault('from = "C"\nto = "end"', MARKED) == (
        'passage 1: there is no bar or mark "C"; bars go from 1 to 5, rehearsal marks are A, B'
    )


def test_an_overlap_names_both_passages() -> None:
    assert fault('bars = "1-3"', FOUR, 'bars = "3-4"') == (
        "passage 2: bars 3-4 overlap passage 1 (bars 1-3); let one end where the other begins"
    )


@pytest.mark.parametrize(
    ("second", "first_plays", "second_plays"),
    [
        ('from = "2 beat 3"\nto = "end"', "G4q A4q rh", "rh B4q C5q"),
        ('bars = "3-4"\npickup = 1', "G4q A4q B4q rq", "rh rq C5q"),
    ],
)
def test_an_upbeat_or_a_start_within_the_bar_shortens_the_passage_before(
    second: str, first_plays: str, second_plays: str
) -> None:
    made = by_plan(
        sketch(FOUR), 'bars = "1-2"\nstack = "Vn I loco"', f'{second}\nstack = "Vla loco"'
    )
    parts = said(made.score)
    assert parts["Vn I"].split(" | ")[1] == first_plays
    assert parts["Vla"].split(" | ")[1] == second_plays


def test_passages_need_not_be_in_the_order_of_the_score() -> None:
    found = vn1(
        sketch(FOUR), 'bars = "4"\nstack = "Vn I loco"', 'bars = "1"\nstack = "Vn I 8va"'
    )
    assert found == "C5q D5q E5q F5q | R | R | A5q B5q C6q D6q"


def test_bars_in_no_passage_rest_and_are_reported() -> None:
    made = by_plan(sketch(FOUR), 'bars = "2"\nstack = "Vn I loco"')
    assert made.report.remarks == ["bars 1, 3-4 are in no passage: everybody rests"]


def test_a_border_moves_behind_the_tuplet_it_would_cut() -> None:
    music = "4/4 | C4q 3:2{D4q E4 F4} G4q | A4w |"
    made = by_plan(
        sketch(music),
        'bars = "1"\nstack = "Vn I loco"',
        'from = "1 beat 3"\nto = "end"\nstack = "Vla loco"',
    )
    parts = said(made.score)
    assert parts["Vn I"] == "C4q D4q E4q F4q rq | R"
    assert parts["Vla"] == "rh rq G4q | A4w"
    assert made.report.remarks == [
        "the border in bar 1 moves behind the tuplet or tremolo it would cut"
    ]


def test_a_border_within_a_long_note_is_no_hindrance_for_other_voices() -> None:
    """The tune holds its note to the end; the bass changes hands at the border."""
    data = sketch(
        "4/4 | C5w | D5w |", others={"Bass": "4/4 | C3q D3 E3 F3 | G3w |"}, tune="Melody"
    )
    text = layout("Vn I loco", "[[with]]", 'from = "Bass"')
    cellos = text + 'to = "Vc loco"\n'
    violas = text.replace("Vn I", "Vn II") + 'to = "Vla loco"\n'
    made = by_plan(
        data,
        'bars = "1"\nlayout = "a.toml"',
        'from = "1 beat 3"\nto = "end"\nlayout = "b.toml"',
        a=cellos,
        b=violas,
    )
    parts = said(made.score)
    assert parts["Vn I"] == "C5w | R"
    assert parts["Vn II"] == "R | D5w"
    assert parts["Vc"] == "C3q D3q rh | R"
    assert parts["Vla"] == "rh E3q F3q | G3w"


def test_who_holds_a_note_begins_nothing_else_and_that_is_reported() -> None:
    data = sketch(
        "4/4 | C5w | D5w |", others={"Bass": "4/4 | C3q D3 E3 F3 | G3w |"}, tune="Melody"
    )
    text = layout("Vn I loco", "[[with]]", 'from = "Bass"', 'to = "Vla loco"')
    made = by_plan(
        data,
        'bars = "1"\nstack = "Vla loco"',
        'from = "1 beat 3"\nto = "end"\nlayout = "a.toml"',
        a=text,
    )
    assert said(made.score)["Vla"] == "C5w | G3w"
    (late,) = (one for one in made.report.findings if one.rule == "enters-late")
    assert (late.severity, late.place.section, late.place.bar, late.text) == (
        "warning", "Vla", "1",
        "still holds a note of the passage before; 2 notes left out until it ends",
    )  # fmt: skip
    (line,) = (one for one in made.report.lines if one.passage == 1 and one.section == "Vla")
    assert line.lowest is not None
    assert (line.notes, line.lowest.pitch, line.sings) == (1, "G3", 0.8)  # in its tenor


def test_stacks_above_the_tune_make_passages() -> None:
    music = '4/4 | "[Vn I loco]" C4w | D4w | "[Vla 8vb]" E4w | F4w |'
    parts = said(rewriter.expand(sketch(music)).score)
    assert parts["Vn I"] == "C4w | D4w | R | R"
    assert parts["Vla"] == "R | R | E3w | F3w"


def test_a_passage_may_name_its_octave_and_key() -> None:
    found = vn1(
        sketch("4/4 key=0,major | C4w | D4w | E4w |"),
        'bars = "1"\nstack = "Vn I"\noctave = "8va"',
        'bars = "2"\nstack = "Vn I loco"\nkey = "D"',
        'bars = "3"\nstack = "Vn I loco"\nby = "down m2"',
    )
    assert found == "C5w | E4w | D#4w"


def test_the_rest_of_a_tied_note_sounds_where_its_beginning_is_left_out() -> None:
    """Of E3, four quarters from beat 3, the violas are free for the last two."""
    data = sketch(
        "4/4 | C5w | D5w |",
        others={"Bass": "4/4 | C3q D3 E3h~ | E3h G3 |"},
        tune="Melody",
    )
    text = layout("Vn I loco", "[[with]]", 'from = "Bass"', 'to = "Vla loco"')
    made = by_plan(
        data,
        'bars = "1"\nstack = "Vla loco"',
        'from = "1 beat 3"\nto = "end"\nlayout = "a.toml"',
        a=text,
    )
    assert said(made.score)["Vla"] == "C5w | E3h G3h"
    (below,) = (one for one in made.report.lines if one.section == "Vla" and not one.is_tune)
    assert (below.notes, below.lowest and below.lowest.bars) == (2, ["2"])


@pytest.mark.parametrize(
    ("before", "after", "first", "second"),
    [
        ('to = "2"', 'from = "2 beat 3"\npickup = 1',
         "C4q D4q E4q F4q | G4q rq rh", "R | rq A4q B4q C5q"),
        # into the bar before
        ('to = "1"', 'from = "2 beat 2"\npickup = 2',
         "C4q D4q E4q rq | R", "rh rq F4q | G4q A4q B4q C5q"),
    ],
)  # fmt: skip
def test_a_pickup_to_a_passage_that_begins_within_a_bar(
    before: str, after: str, first: str, second: str
) -> None:
    made = by_plan(
        sketch("4/4 | C4q D4 E4 F4 | G4q A4 B4 C5 |"),
        f'from = "1"\n{before}\nstack = "Vn I loco"',
        f'{after}\nto = "end"\nstack = "Vla loco"',
    )
    assert (said(made.score)["Vn I"], said(made.score)["Vla"]) == (first, second)


def test_whoever_holds_a_note_of_the_passage_before_the_last_is_not_free() -> None:
    """Three passages in a bar: the violas' whole note of the first lasts through all of it."""
    data = sketch(
        "4/4 | C5q D5 E5 F5 | G5w |", others={"Pad": "4/4 | E4w | E4w |"}, tune="Melody"
    )
    made = by_plan(
        data,
        'from = "1"\nto = "1 beat 2"\nlayout = "a.toml"',
        'from = "1 beat 2"\nto = "1 beat 3"\nstack = "Vn II loco"',
        'from = "1 beat 3"\nto = "end"\nstack = "Vla loco"',
        a=layout("Vn I loco", "[[with]]", 'from = "Pad"', 'to = "Vla loco"'),
    )
    parts = said(made.score)
    assert parts["Vn I"] == "C5q rq rh | R"
    assert parts["Vn II"] == "rq D5q rh | R"
    assert parts["Vla"] == "E4w | G5w"
    assert [one.rule for one in made.report.findings] == ["enters-late"]


def test_a_tremolo_between_two_notes_is_not_cut() -> None:
    data = sketch("4/4 | C5h D5 | E5w |").decode().split("</note>")
    for place, end in enumerate(("start", "stop")):
        data[place] += (
            f'<notations><ornaments><tremolo type="{end}">3</tremolo></ornaments></notations>'
        )
    made = by_plan(
        "</note>".join(data).encode(),
        'from = "1"\nto = "1 beat 3"\nstack = "Vn I loco"',
        'from = "1 beat 3"\nto = "end"\nstack = "Vla loco"',
    )
    assert said(made.score)["Vn I"] == "C5h D5h | R"
    assert said(made.score)["Vla"] == "R | E5w"


def test_a_key_that_begins_within_a_bar_stands_there() -> None:
    """From beat 2, one division in; D E F sharp G in two sharps, a tone above the sketch."""
    made = by_plan(
        sketch("4/4 key=0,major | C5q D5 E5 F5 | G5w |"),
        'from = "1"\nto = "1 beat 2"\nstack = "Vn I loco"',
        'from = "1 beat 2"\nto = "end"\nstack = "Vla loco"\nkey = "D"',
    )
    assert said(made.score)["Vla"] == "rq E5q F#5q G5q | A5w"
    violas = made.score.decode().split("</part>")[2]
    found = re.findall(r"<fifths>(\d)|<(rest)|<step>(\w)|<(measure) ", violas)
    assert ["".join(one) for one in found] == [
        "measure", "0", "rest", "2", "E", "F", "G", "measure", "A",
    ]  # fmt: skip
