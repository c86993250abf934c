"""How long what was handed over stays away, and the joining note of a dovetail, by hand."""

import pytest

from tests.planned import by_layout, layout, said
from tests.shorthand import sketch


def handed(music: str, rule: str, stack: str = "Vc loco", **others: str) -> dict[str, str]:
    lines = ['[line."Vc"]', f"handover = {{ {rule} }}"]
    for name in others:
        lines += ["[[with]]", f'from = "{name}"', 'to = "Vla loco"']
    made = by_layout(sketch(music, others=others), layout(stack, *lines), tune="Flute")
    return said(made.score)


VIOLAS = 'above = "B4", to = "Vla"'
VIOLINS = 'above = "B4", to = "Vn I"'


def test_nobody_comes_in_for_the_closing_note() -> None:
    parts = handed("4/4 | C4q (E4 G4 A4 | B4h C5) | C4w |", VIOLAS)
    assert parts["Vc"] == "C4q rq rh | R | R"
    assert parts["Vla"] == "rq (E4q G4q A4q | B4h C5h) | C4w"


@pytest.mark.parametrize(
    ("music", "giver", "receiver"),
    [
        ("4/4 | rh. re A4e | C5h D5 | C5w |", "R | R | R", "rh rq re A4e | C5h D5h | C5w"),
        # a beat, or an upbeat of several notes, is somebody's
        ("4/4 | rh. A4q | C5h D5 | C5w |", "rh. A4q | R | R", "R | C5h D5h | C5w"),
        (
            "4/4 | rh. G4e A4e | C5h D5 | C5w |",
            "rh. G4e A4e | R | R",
            "R | C5h D5h | C5w",
        ),
        # where the receiver cannot play it, it stays
        ("4/4 | rh. re F3e | C5h D5 | C5w |", "rh. re F3e | R | R", "R | C5h D5h | C5w"),
    ],
)
def test_nobody_plays_less_than_a_beat_for_another_to_go_on(
    music: str, giver: str, receiver: str
) -> None:
    parts = handed(music, VIOLINS)
    assert (parts["Vc"], parts["Vn I"]) == (giver, receiver)


@pytest.mark.parametrize(
    ("music", "giver", "receiver"),
    [
        # a rest of an eighth behind a longer note; in 6/8 too
        (
            "4/4 | C5h. G4q | A4q. re G4h | F4w |",
            "R | rh G4h | F4w",
            "C5h. G4q | A4q. re rh | R",
        ),
        (
            "6/8 | C5q. A4q G4e | A4q re G4q. | F4h. |",
            "R | rq. G4q. | F4h.",
            "C5q. A4q G4e | A4q re rq. | R",
        ),
        # a rest of a beat
        ("4/4 | C5h. G4q | A4q rq G4h | F4w |", "R | rh G4h | F4w", "C5h. G4q | A4q rq rh | R"),
        # rests that only detach the notes
        (
            "4/4 | C5h G4e re A4e re | G4e. rs G4e. rs F4h | E4q rq rh |",
            "R | R | R",
            "C5h G4e re A4e re | G4e. rs G4e. rs F4h | E4q rq rh",
        ),
        # breath mark, caesura, fermata
        (
            "4/4 | C5h. G4q | A4h^breath-mark G4h | F4w |",
            "R | rh G4h | F4w",
            "C5h. G4q | A4h rh | R",
        ),
        (
            "4/4 | C5h. G4q | A4h^caesura G4h | F4w |",
            "R | rh G4h | F4w",
            "C5h. G4q | A4h rh | R",
        ),
        (
            "4/4 | C5h. G4q | A4h^fermata G4h | F4w |",
            "R | rh G4h | F4w",
            "C5h. G4q | A4h rh | R",
        ),
        # behind the whole of a tied note
        (
            "4/4 | C5h. G4q~ | G4h^breath-mark G4h | F4w |",
            "R | rh G4h | F4w",
            "C5h. G4q~ | G4h rh | R",
        ),
        # a repeat, on either side of the barline
        ("4/4 | C5h. G4q :| G4w | F4w |", "R | G4w | F4w", "C5h. G4q | R | R"),
        ("4/4 | C5h. G4q |: G4w | F4h E4 |", "R | G4w | F4h E4h", "C5h. G4q | R | R"),
        # the end of a slur, and a barline, are no breath
        ("4/4 | C5w | (A4h G4h) | F4h rh |", "R | R | R", "C5w | (A4h G4h) | F4h rh"),
        # nor is a breath mark under a slur
        (
            "4/4 | C5w | (A4h^breath-mark G4h) | F4h rh |",
            "R | R | R",
            "C5w | (A4h G4h) | F4h rh",
        ),
    ],
)
def test_it_comes_back_with_the_next_phrase(music: str, giver: str, receiver: str) -> None:
    parts = handed(music, VIOLAS)
    assert (parts["Vc"], parts["Vla"]) == (giver, receiver)


def test_a_double_bar_ends_a_phrase() -> None:
    data = sketch("4/4 | C5h. G4q | G4w | F4w |")
    data = data.replace(
        b"</measure>",
        b'<barline location="right"><bar-style>light-light</bar-style></barline></measure>',
        1,
    )
    made = by_layout(data, layout("Vc loco", '[line."Vc"]', f"handover = {{ {VIOLAS} }}"))
    assert said(made.score)["Vc"] == "R | G4w | F4w"


@pytest.mark.parametrize(
    ("music", "giver"),
    [
        ("4/4 | C5w | G4w | F4w |", "R | G4w | F4w"),
        ("4/4 | C5w | A4w | F4h. rq |", "R | R | R"),
        ("4/4 | C5h. G4q | A4w | F4h. rq |", "rh rq G4q | A4w | F4h. rq"),
        # counted in the longest bar touched, so that a short one does not make it long
        ("4/4 | C5h. E4q | 2/4 G4h | 4/4 F4w |", "R | R | R"),
        ("3/4 | C5h. | G4h. | F4h. |", "R | G4h. | F4h."),
    ],
)
def test_two_bars_of_a_phrase_are_worth_coming_back_for(music: str, giver: str) -> None:
    assert handed(music, VIOLAS)["Vc"] == giver


def test_less_than_two_bars_between_two_runs_make_them_one() -> None:
    parts = handed("4/4 | C5w | G4w | A4h. C5q | B4w | A4w |", VIOLAS)
    assert parts["Vc"] == "R | R | R | B4w | A4w"
    assert parts["Vla"] == "C5w | G4w | A4h. C5q | R | R"


def test_the_receiver_keeps_it_only_while_it_can_play_it() -> None:
    """F3 lies below the violins; the cellos come in with its bar, which is theirs alone."""
    parts = handed("4/4 | C5h A4 | F3h. E4q |", VIOLINS)
    assert (parts["Vc"], parts["Vn I"]) == ("R | F3h. E4q", "C5h A4h | R")


def test_they_come_back_at_the_end_of_a_slur_rather_than_at_a_barline_under_one() -> None:
    parts = handed("4/4 | C5q (A4q G4) (F4 | F3h. E4q) |", VIOLINS)
    assert parts["Vc"] == "rh rq (F4q | F3h. E4q)"
    assert parts["Vn I"] == "C5q (A4q G4q) rq | R"


def test_they_come_back_at_once_when_less_than_a_bar_is_theirs() -> None:
    parts = handed("4/4 | C5h. A4q | (G4h E4 | D4h A3q F3) |", VIOLINS)
    assert parts["Vc"] == "rh rq A4q | (G4h E4h | D4h A3q F3q)"
    assert parts["Vn I"] == "C5h. rq | R | R"


def test_runs_with_notes_between_that_the_receiver_cannot_play_stay_apart() -> None:
    parts = handed("4/4 | C5h F3h | C5w | F4w | E4w |", VIOLINS)
    assert parts["Vc"] == "rh F3h | R | F4w | E4w"
    assert parts["Vn I"] == "C5h rh | C5w | R | R"


def test_a_slur_that_dips_below_the_receiver_is_parted_where_it_can_be() -> None:
    parts = handed("4/4 | (C5h A4 | F3w | A4h C5) | F4w | E4w |", VIOLINS)
    assert parts["Vc"] == "R | F3w | R | F4w | E4w"
    assert parts["Vn I"] == "(C5h A4h) | R | (A4h C5h) | R | R"


def test_a_receiver_with_a_line_of_its_own_to_come_keeps_it_until_then() -> None:
    parts = handed("4/4 | C5h A4 | G4h. E4q |", VIOLAS, Pad="4/4 | R | E4w |")
    assert parts["Vc"] == "R | G4h. E4q"
    assert parts["Vla"] == "C5h A4h | E4w"


def test_rests_behind_a_run_keep_nobody_busy() -> None:
    parts = handed("4/4 | C4w | C5h rh | C4w |", VIOLAS, Pad="4/4 | R | rh E4h | E4w |")
    assert parts["Vc"] == "C4w | R | C4w"
    assert parts["Vla"] == "R | C5h E4h | E4w"


def test_one_that_leaves_plays_its_own_in_the_rests_behind_a_run() -> None:
    parts = handed(
        "4/4 | C4w | C5h rh | C4w |",
        VIOLAS + ", leave = true",
        Pad="4/4 | E4w | E4h D4 | E4w |",
    )
    assert parts["Vla"] == "E4w | C5h D4h | E4w"


JOINED = VIOLAS + ", dovetail = true"


@pytest.mark.parametrize(
    ("music", "giver", "receiver"),
    [
        # out on E4, back on G4
        (
            "4/4 | C4h. E4q | C5w | G4h F4 | E4w | D4w |",
            "C4h. E4q | R | G4h F4h | E4w | D4w",
            "rh rq E4q | C5w | G4h rh | R | R",
        ),
        # the receiver has the end: it does not come back, so there is one joint
        (
            "4/4 | C4q (E4 G4 A4 | B4h C5) | C4w |",
            "C4q rq rh | R | R",
            "C4q (E4q G4q A4q | B4h C5h) | C4w",
        ),
        # from the beginning of the line: none
        ("4/4 | C5w | G4w | F4w |", "R | G4w | F4w", "C5w | G4w | R"),
        # where the line breathes: none
        (
            "4/4 | C4h. rq | C5h. rq | G4h F4 | E4w |",
            "C4h. rq | R | G4h F4h | E4w",
            "R | C5h. rq | R | R",
        ),
        # with the grace notes that lead to it
        (
            "4/4 | C4h `D4e E4h | C5w | G4w | F4w |",
            "C4h D4e E4h | R | G4w | F4w",
            "rh D4e E4h | C5w | G4w | R",
        ),
        (
            "4/4 | C4w | C5w | `A4e G4w | F4w |",
            "C4w | R | A4e G4w | F4w",
            "C4w | C5w | A4e G4w | R",
        ),
        # a tuplet joins as a whole
        (
            "4/4 | C4h. 3{C4e D4 E4} | C5w | G4w | F4w |",
            "C4h. C4e D4e E4e | R | G4w | F4w",
            "rh rq C4e D4e E4e | C5w | G4w | R",
        ),
    ],
)
def test_the_joint_is_the_last_note_of_the_giver_and_its_first(
    music: str, giver: str, receiver: str
) -> None:
    parts = handed(music, JOINED)
    assert (parts["Vc"], parts["Vla"]) == (giver, receiver)


def test_there_is_no_joint_below_the_receiver() -> None:
    parts = handed("4/4 | C4h. F3q | C5w | F3h F4 | E4w | D4w |", VIOLINS + ", dovetail = true")
    assert parts["Vc"] == "C4h. F3q | R | F3h F4h | E4w | D4w"
    assert parts["Vn I"] == "R | C5w | R | R | R"


def test_there_is_no_joint_where_the_receiver_is_busy() -> None:
    parts = handed(
        "4/4 | C4h. E4q | C5w | G4h F4 | E4w | D4w |", JOINED, Pad="4/4 | D4w | R | R | R | R |"
    )
    assert parts["Vla"] == "D4w | C5w | G4h rh | R | R"


def test_the_note_behind_a_run_that_stays_may_be_a_joint() -> None:
    """In bar 1 the violas are busy and the cellos keep C5; E4 is in the limit of both."""
    parts = handed("4/4 | C5w | E4w | D5w |", JOINED, Pad="4/4 | E4w | R | R |")
    assert parts["Vc"] == "C5w | E4w | R"
    assert parts["Vla"] == "E4w | E4w | D5w"


def test_a_note_beyond_the_limit_that_stays_is_no_joint() -> None:
    parts = handed("4/4 | C4w | C5w~ | C5h D5h | D5w |", JOINED, Pad="4/4 | R | E4w | R | R |")
    assert parts["Vc"] == "C4w | C5w~ | C5h D5h | D5w"
    assert parts["Vla"] == "R | E4w | R | R"


def test_one_that_leaves_drops_its_grace_notes_too() -> None:
    parts = handed(
        "4/4 | C4w | C5w | C4w | D4w |",
        VIOLAS + ", leave = true",
        Pad="4/4 | E4w | `F4e E4w | E4w | E4w |",
    )
    assert parts["Vla"] == "E4w | C5w | E4w | E4w"


def test_a_note_that_joins_on_both_sides_is_one_note() -> None:
    text = layout("Vc loco", '[line."Vc"]', f"handover = {{ {JOINED} }}")
    made = by_layout(sketch("4/4 | C5w | E4w~ | E4w | D5w |"), text)
    assert said(made.score)["Vc"] == "R | E4w~ | E4w | R"
    assert said(made.score)["Vla"] == "C5w | E4w~ | E4w | D5w"
    assert {one.section: one.notes for one in made.report.lines} == {"Vc": 1, "Vla": 3}
