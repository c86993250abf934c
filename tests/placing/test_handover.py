"""Handovers: who plays which note, written by hand."""

import pytest

from tests.planned import by_layout, layout, said
from tests.shorthand import sketch

# A cello tune that climbs; every pitch as it sounds.
CLIMB = "4/4 | C4q D4 E4 F4 | (G4q A4 B4 C5) | (D5q C5 B4 A4) | G4q F4 E4 D4 |"


def handed(music: str, stack: str, rule: str, giver: str = "Vc") -> dict[str, str]:
    text = layout(stack, f'[line."{giver}"]', f"handover = {{ {rule} }}")
    return said(by_layout(sketch(music), text).score)


def test_whole_slurs_pass_to_the_receiver_at_the_same_octave() -> None:
    parts = handed(CLIMB, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "C4q D4q E4q F4q | R | R | G4q F4q E4q D4q"
    assert parts["Vla"] == "R | (G4q A4q B4q C5q) | (D5q C5q B4q A4q) | R"


def test_the_octave_of_the_line_counts() -> None:
    parts = handed(CLIMB, "Vc 8vb", 'above = "B3", to = "Vla"')
    assert parts["Vc"] == "C3q D3q E3q F3q | R | R | G3q F3q E3q D3q"
    assert parts["Vla"] == "R | (G3q A3q B3q C4q) | (D4q C4q B3q A3q) | R"


def test_below() -> None:
    music = "4/4 | (E4q D4) G4h | (B3q A3) G4h | A4w |"
    parts = handed(music, "Vn I loco", 'below = "C4", to = "Vla"', "Vn I")
    assert parts["Vn I"] == "(E4q D4q) G4h | rh G4h | A4w"
    assert parts["Vla"] == "R | (B3q A3q) rh | R"


def test_by_bars() -> None:
    music = "4/4 | C4q D4 E4 F4 | G4q A4 C5 A4 | G4q F4 E4 D4 |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla", at = "bar"')
    assert parts["Vc"] == "C4q D4q E4q F4q | R | G4q F4q E4q D4q"
    assert parts["Vla"] == "R | G4q A4q C5q A4q | R"


def test_between_rests() -> None:
    music = "4/4 | C4q D4 rq E4 | G4q C5 A4 rq | G4q F4 E4 D4 |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla", at = "rest"')
    assert parts["Vc"] == "C4q D4q rh | R | G4q F4q E4q D4q"
    assert parts["Vla"] == "rh rq E4q | G4q C5q A4q rq | R"


def test_single_notes_where_nothing_is_slurred() -> None:
    music = "4/4 | C4q D4 E4 F4 | C5h G4 | A4w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "C4q D4q E4q F4q | rh G4h | A4w"
    assert parts["Vla"] == "R | C5h rh | R"


def test_runs_closer_than_a_bar_are_one() -> None:
    music = "4/4 | C4w | C5q A4 C5 G4 | A4w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "C4w | rh rq G4q | A4w"
    assert parts["Vla"] == "R | C5q A4q C5q rq | R"


def test_runs_a_bar_apart_are_two() -> None:
    music = "4/4 | C5q A4 G4 F4 | E4w | C5q A4 G4 F4 |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "rq A4q G4q F4q | E4w | rq A4q G4q F4q"
    assert parts["Vla"] == "C5q rq rh | R | C5q rq rh"


def test_dovetail_has_both_play_the_joining_notes() -> None:
    parts = handed(CLIMB, "Vc loco", 'above = "B4", to = "Vla", dovetail = true')
    assert parts["Vc"] == "C4q D4q E4q F4q | G4q rq rh | rh rq A4q | G4q F4q E4q D4q"
    assert parts["Vla"] == "R | (G4q A4q B4q C5q) | (D5q C5q B4q A4q) | R"


def test_a_busy_receiver_keeps_its_line_and_so_does_the_giver() -> None:
    text = layout("Vla 8va / Vc", '[line."Vc"]', 'handover = { above = "B4", to = "Vla" }')
    made = by_layout(sketch("4/4 | C4w | C5h G4 | A4w |"), text)
    assert said(made.score)["Vc"] == "C4w | C5h G4h | A4w"
    assert said(made.score)["Vla"] == "C5w | C6h G5h | A5w"
    assert [str(one) for one in made.report.findings if one.rule == "receiver-busy"]
    (busy,) = (one for one in made.report.findings if one.rule == "receiver-busy")
    assert (busy.section, busy.bar, busy.beat, busy.sounds) == ("Vc", "2", "1", "C5")
    assert busy.text == (
        "the line goes above B4 here, but Vla is busy; not handed over, "
        "set leave = true or name another section"
    )


def test_a_receiver_may_leave_its_own_line_meanwhile() -> None:
    parts = handed(
        "4/4 | C4w | C5h G4 | A4w |",
        "Vla 8va / Vc",
        'above = "B4", to = "Vla", leave = true',
    )
    assert parts["Vc"] == "C4w | rh G4h | A4w"
    assert parts["Vla"] == "C5w | C5h G5h | A5w"


def test_a_receiver_that_holds_a_note_of_its_own_is_busy() -> None:
    data = sketch("4/4 | C4q D4 C5 G4 | A4w |", others={"Pad": "4/4 | E4w | E4w |"})
    text = layout(
        "Vc loco",
        '[line."Vc"]',
        'handover = { above = "B4", to = "Vla" }',
        "[[with]]",
        'from = "Pad"',
        'to = "Vla loco"',
    )
    made = by_layout(data, text, tune="Flute")
    assert said(made.score)["Vc"] == "C4q D4q C5q G4q | A4w"
    assert said(made.score)["Vla"] == "E4w | E4w"
    assert "receiver-busy" in {one.rule for one in made.report.findings}


def test_one_that_may_leave_drops_the_note_it_holds() -> None:
    data = sketch("4/4 | C4q D4 C5 G4 | A4w |", others={"Pad": "4/4 | E4w | E4w |"})
    text = layout(
        "Vc loco",
        '[line."Vc"]',
        'handover = { above = "B4", to = "Vla", leave = true }',
        "[[with]]",
        'from = "Pad"',
        'to = "Vla loco"',
    )
    parts = said(by_layout(data, text, tune="Flute").score)
    assert parts["Vc"] == "C4q D4q rq G4q | A4w"
    assert parts["Vla"] == "rh C5q rq | E4w"


def test_widening_stops_where_the_receiver_cannot_follow() -> None:
    """The slur begins below the violins' G: they join at the next bar of it."""
    music = "4/4 | (D3q F3 A3 C4 | E4q G4 B4 D5) | C4w |"
    parts = handed(music, "Vc loco", 'above = "C5", to = "Vn I"')
    assert parts["Vc"] == "(D3q F3q A3q C4q) | R | C4w"
    assert parts["Vn I"] == "R | (E4q G4q B4q D5q) | R"


def test_without_a_join_they_take_only_what_is_past_the_limit() -> None:
    music = "4/4 | (D3q G3 B3 D5) | C4w |"
    parts = handed(music, "Vc loco", 'above = "C5", to = "Vn I"')
    assert parts["Vc"] == "(D3q G3q B3q) rq | C4w"
    assert parts["Vn I"] == "rh rq D5q | R"


def test_tuplets_are_handed_over_whole() -> None:
    music = "4/4 | C4h 3{A4e C5 A4} G4q | F4w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "C4h rq G4q | F4w"
    assert parts["Vla"] == "rh A4e C5e A4e rq | R"


def test_grace_notes_go_with_what_they_lead_to() -> None:
    """The violins cannot play the main note, and the grace note alone means nothing."""
    music = "4/4 | C4h `D5e F3q G4 | F4w |"
    parts = handed(music, "Vc loco", 'above = "C5", to = "Vn I"')
    assert parts["Vc"] == "C4h rq G4q | F4w"
    assert parts["Vn I"] == "rh D5e F3q rq | R"


def test_the_receiver_is_told_the_dynamic_and_technique_in_force() -> None:
    music = '4/4 | p "pizz." C4q D4 E4 F4 | C5h G4 | A4w |'
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vla"] == 'R | "pizz." p C5h rh | R'


def test_a_second_giver_finds_the_receiver_busy() -> None:
    text = layout(
        "Vn II loco + Vc loco",
        '[line."Vc"]',
        'handover = { above = "B4", to = "Vla" }',
        '[line."Vn II"]',
        'handover = { above = "B4", to = "Vla" }',
    )
    made = by_layout(sketch("4/4 | C4w | C5w | A4w |"), text)
    parts = said(made.score)
    assert (parts["Vn II"], parts["Vc"]) == ("C4w | R | A4w", "C4w | C5w | A4w")
    assert parts["Vla"] == "R | C5w | R"
    assert [one.section for one in made.report.findings if one.rule == "receiver-busy"] == [
        "Vc"
    ]


@pytest.mark.parametrize(
    ("music", "text"),
    [
        ("4/4 | C4w | C5w | A4w |", "handed over to Vla here; the line goes above B4"),
        (
            "4/4 | C4w | (C5w | D5w) |",
            "handed over to Vla here to bar 3; the line goes above B4",
        ),
    ],
)
def test_a_handover_is_reported(music: str, text: str) -> None:
    made = by_layout(
        sketch(music),
        layout("Vc loco", '[line."Vc"]', 'handover = { above = "B4", to = "Vla" }'),
    )
    (finding,) = (one for one in made.report.findings if one.rule == "handed-over")
    assert (finding.severity, finding.section, finding.bar, finding.beat, finding.text) == (
        "advice", "Vc", "2", "1", text,
    )  # fmt: skip
