"""Handovers: who plays which note, written by hand."""

import pytest

from tests.planned import by_layout, layout, said
from tests.shorthand import sketch

# A cello tune that climbs, and comes down for two bars; every pitch as it sounds.
CLIMB = "4/4 | C4q D4 E4 F4 | (G4q A4 B4 C5) | (D5q C5 B4 A4) | G4q F4 E4 D4 | C4w |"


def handed(music: str, stack: str, rule: str, giver: str = "Vc") -> dict[str, str]:
    text = layout(stack, f'[line."{giver}"]', f"handover = {{ {rule} }}")
    return said(by_layout(sketch(music), text).score)


def test_whole_slurs_pass_to_the_receiver_at_the_same_octave() -> None:
    parts = handed(CLIMB, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "C4q D4q E4q F4q | R | R | G4q F4q E4q D4q | C4w"
    assert parts["Vla"] == "R | (G4q A4q B4q C5q) | (D5q C5q B4q A4q) | R | R"


def test_the_octave_of_the_line_counts() -> None:
    parts = handed(CLIMB, "Vc 8vb", 'above = "B3", to = "Vla"')
    assert parts["Vc"] == "C3q D3q E3q F3q | R | R | G3q F3q E3q D3q | C3w"
    assert parts["Vla"] == "R | (G3q A3q B3q C4q) | (D4q C4q B3q A3q) | R | R"


def test_below() -> None:
    music = "4/4 | (E4q D4) G4h | (B3q A3) G4h | A4w | G4w |"
    parts = handed(music, "Vn I loco", 'below = "C4", to = "Vla"', "Vn I")
    assert parts["Vn I"] == "(E4q D4q) G4h | rh G4h | A4w | G4w"
    assert parts["Vla"] == "R | (B3q A3q) rh | R | R"


def test_by_bars() -> None:
    music = "4/4 | C4q D4 E4 F4 | G4q A4 C5 A4 | G4q F4 E4 D4 | C4w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla", at = "bar"')
    assert parts["Vc"] == "C4q D4q E4q F4q | R | G4q F4q E4q D4q | C4w"
    assert parts["Vla"] == "R | G4q A4q C5q A4q | R | R"


def test_between_rests() -> None:
    music = "4/4 | C4q D4 rq E4 | G4q C5 A4 rq | G4q F4 E4 D4 |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla", at = "rest"')
    assert parts["Vc"] == "C4q D4q rh | R | G4q F4q E4q D4q"
    assert parts["Vla"] == "rh rq E4q | G4q C5q A4q rq | R"


def test_single_notes_where_nothing_is_slurred() -> None:
    music = "4/4 | C4q D4 E4 F4 | C5h G4 | A4w | G4w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "C4q D4q E4q F4q | rh G4h | A4w | G4w"
    assert parts["Vla"] == "R | C5h rh | R | R"


def test_runs_closer_than_a_bar_are_one() -> None:
    music = "4/4 | C4w | C5q A4 C5 G4 | A4w | G4w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "C4w | rh rq G4q | A4w | G4w"
    assert parts["Vla"] == "R | C5q A4q C5q rq | R | R"


def test_runs_closer_than_a_bar_are_one_across_a_rest_too() -> None:
    """D4 would be a single note of the cellos between two of the violas'."""
    music = "4/4 | C4w | C5h rq D4 | C5w | C4w | D4w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "C4w | R | R | C4w | D4w"
    assert parts["Vla"] == "R | C5h rq D4q | C5w | R | R"


def test_runs_two_bars_of_line_apart_are_two() -> None:
    music = "4/4 | C5q A4 G4 F4 | E4h. D4q | C4h. A4q | C5w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "rq A4q G4q F4q | E4h. D4q | C4h. A4q | R"
    assert parts["Vla"] == "C5q rq rh | R | R | C5w"


def test_dovetail_has_both_play_the_joining_notes() -> None:
    parts = handed(CLIMB, "Vc loco", 'above = "B4", to = "Vla", dovetail = true')
    assert parts["Vc"] == "C4q D4q E4q F4q | R | R | G4q F4q E4q D4q | C4w"
    assert parts["Vla"] == ("rh rq F4q | (G4q A4q B4q C5q) | (D5q C5q B4q A4q) | G4q rq rh | R")


def test_a_busy_receiver_keeps_its_line_and_so_does_the_giver() -> None:
    text = layout("Vla 8va / Vc", '[line."Vc"]', 'handover = { above = "B4", to = "Vla" }')
    made = by_layout(sketch("4/4 | C4w | C5h G4 | A4w |"), text)
    assert said(made.score)["Vc"] == "C4w | C5h G4h | A4w"
    assert said(made.score)["Vla"] == "C5w | C6h G5h | A5w"
    assert [str(one) for one in made.report.findings if one.rule == "receiver-busy"]
    (busy,) = (one for one in made.report.findings if one.rule == "receiver-busy")
    assert (busy.place.section, busy.place.bar, busy.place.beat, busy.sounds) == (
        "Vc",
        "2",
        "1",
        "C5",
    )
    assert busy.text == (
        "the line goes above B4 here, but Vla is busy; not handed over, "
        "set leave = true or name another section"
    )


def test_a_receiver_may_leave_its_own_line_meanwhile() -> None:
    parts = handed(
        "4/4 | C4w | C5h G4 | A4w | G4w |",
        "Vla 8va / Vc",
        'above = "B4", to = "Vla", leave = true',
    )
    assert parts["Vc"] == "C4w | rh G4h | A4w | G4w"
    assert parts["Vla"] == "C5w | C5h G5h | A5w | G5w"


def test_a_slur_over_a_rest_goes_whole_to_a_receiver_that_leaves_the_same_tune() -> None:
    """Its own rest, an octave lower, is no change of octave."""
    text = layout(
        "Vn I loco / Vla",
        '[line."Vn I"]',
        'handover = { above = "G5", to = "Vla", at = "bar", leave = true }',
    )
    made = by_layout(sketch("4/4 | C5q D5 E5 D5 | (A5q rq B5 A5) | C5w |"), text)
    parts = said(made.score)
    assert parts["Vla"] == "C4q D4q E4q D4q | (A5q rq B5q A5q) | C5w"
    assert parts["Vn I"] == "C5q D5q E5q D5q | R | R"


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
    data = sketch("4/4 | C4q D4 C5 G4 | A4w | G4w |", others={"Pad": "4/4 | E4w | E4w | E4w |"})
    text = layout(
        "Vc loco",
        '[line."Vc"]',
        'handover = { above = "B4", to = "Vla", leave = true }',
        "[[with]]",
        'from = "Pad"',
        'to = "Vla loco"',
    )
    parts = said(by_layout(data, text, tune="Flute").score)
    assert parts["Vc"] == "C4q D4q rq G4q | A4w | G4w"
    assert parts["Vla"] == "rh C5q rq | E4w | E4w"


def test_widening_stops_where_the_receiver_cannot_follow() -> None:
    """The slur begins below the violins' G: they join at the next bar of it."""
    music = "4/4 | (D3q F3 A3 C4 | E4q G4 B4 D5) | C4w | D4w |"
    parts = handed(music, "Vc loco", 'above = "C5", to = "Vn I"')
    assert parts["Vc"] == "(D3q F3q A3q C4q) | R | C4w | D4w"
    assert parts["Vn I"] == "R | (E4q G4q B4q D5q) | R | R"


def test_without_a_join_they_take_only_what_is_past_the_limit() -> None:
    music = "4/4 | (D3q G3 B3 D5) | C4w | D4w |"
    parts = handed(music, "Vc loco", 'above = "C5", to = "Vn I"')
    assert parts["Vc"] == "(D3q G3q B3q) rq | C4w | D4w"
    assert parts["Vn I"] == "rh rq D5q | R | R"


def test_tuplets_are_handed_over_whole() -> None:
    music = "4/4 | C4h 3{A4e C5 A4} G4q | F4w | E4w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "C4h rq G4q | F4w | E4w"
    assert parts["Vla"] == "rh A4e C5e A4e rq | R | R"


def test_grace_notes_go_with_what_they_lead_to() -> None:
    music = "4/4 | C4h `D5e A4q G4 | F4w | E4w |"
    parts = handed(music, "Vc loco", 'above = "C5", to = "Vn I"')
    assert parts["Vc"] == "C4h rq G4q | F4w | E4w"
    assert parts["Vn I"] == "rh D5e A4q rq | R | R"


@pytest.mark.parametrize(
    ("music", "stays"),
    [
        # the violins cannot play the main note, and the grace note alone means nothing
        ("4/4 | C4h `D5e F3q G4 | F4w | E4w |", "C4h D5e F3q G4q | F4w | E4w"),
        # nor one note of a tuplet
        ("4/4 | C4h 3{F3e D5 C4} G4q | F4w | E4w |", "C4h F3e D5e C4e G4q | F4w | E4w"),
    ],
)
def test_what_cannot_be_parted_stays_where_the_receiver_cannot_play_it(
    music: str, stays: str
) -> None:
    text = layout("Vc loco", '[line."Vc"]', 'handover = { above = "C5", to = "Vn I" }')
    made = by_layout(sketch(music), text)
    assert said(made.score)["Vc"] == stays
    assert said(made.score)["Vn I"] == "R | R | R"
    (found,) = (one for one in made.report.findings if one.rule == "receiver-out-of-range")
    assert (found.severity, found.sounds, found.text) == (
        "warning",
        "D5",
        "the line goes above C5 here, out of the range of Vn I; not handed over, "
        "name another section",
    )


def test_a_note_stays_with_who_plays_it_better() -> None:
    """A4 is easy for cellos and out of the basses' reach."""
    parts = handed("4/4 | C3w | A4w | C3w | D3w |", "Vc loco", 'above = "G4", to = "Db"')
    assert parts["Vc"] == "C3w | A4w | C3w | D3w"
    assert parts["Db"] == "R | R | R | R"


def test_a_note_passes_between_two_that_cannot_play_it() -> None:
    """F6 is beyond the violas' range, yet out of the cellos' reach."""
    music = "4/4 | C4w | F6h D5 | C4w | D4w |"
    parts = handed(music, "Vc loco", 'above = "C5", to = "Vla"')
    assert parts["Vc"] == "C4w | R | C4w | D4w"
    assert parts["Vla"] == "R | F6h D5h | R | R"


def test_the_receiver_is_told_the_dynamic_and_technique_in_force() -> None:
    music = '4/4 | p "pizz." C4q D4 E4 F4 | C5h G4 | A4w | G4w |'
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vla"] == 'R | "pizz." p C5h rh | R | R'


def test_a_second_giver_finds_the_receiver_busy() -> None:
    text = layout(
        "Vn II loco + Vc loco",
        '[line."Vc"]',
        'handover = { above = "B4", to = "Vla" }',
        '[line."Vn II"]',
        'handover = { above = "B4", to = "Vla" }',
    )
    made = by_layout(sketch("4/4 | C4w | C5w | A4w | G4w |"), text)
    parts = said(made.score)
    assert (parts["Vn II"], parts["Vc"]) == ("C4w | R | A4w | G4w", "C4w | C5w | A4w | G4w")
    assert parts["Vla"] == "R | C5w | R | R"
    assert [
        one.place.section for one in made.report.findings if one.rule == "receiver-busy"
    ] == ["Vc"]


@pytest.mark.parametrize(
    ("music", "text"),
    [
        ("4/4 | C4w | C5w | A4w | G4w |", "handed over to Vla here; the line goes above B4"),
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
    assert (finding.severity, finding.place.text, finding.text) == (
        "advice", "Vc, bar 2, beat 1", text,
    )  # fmt: skip


# Two bars of two notes, then one note of two bars; the receiver doubles it an octave below.
TIED = "4/4 | C5w | D5w | C6w~ | C6w |"


def test_a_note_tied_over_a_barline_is_handed_over_in_full() -> None:
    """Worked out by hand: the violins II have C5 of their own below, and leave it for C6."""
    parts = handed(
        TIED, "Vn I loco / Vn II", 'above = "A5", to = "Vn II", leave = true', "Vn I"
    )
    assert parts["Vn I"] == "C5w | D5w | R | R"
    assert parts["Vn II"] == "C4w | D4w | C6w~ | C6w"


def test_a_receiver_busy_where_a_tied_note_ends_is_busy() -> None:
    """Bar 4 is the second half of the note that is to be handed over, and not free."""
    data = sketch(TIED, others={"Pad": "4/4 | R | R | R | E4w |"})
    text = layout(
        "Vn I loco",
        '[line."Vn I"]',
        'handover = { above = "A5", to = "Vn II" }',
        "[[with]]",
        'from = "Pad"',
        'to = "Vn II loco"',
    )
    made = by_layout(data, text, tune="Flute")
    assert said(made.score)["Vn I"] == "C5w | D5w | C6w~ | C6w"
    assert said(made.score)["Vn II"] == "R | R | R | E4w"
    assert [
        (one.rule, one.place.bar) for one in made.report.findings if one.sounds == "C6"
    ] == [("receiver-busy", "3")]


def test_one_that_leaves_comes_back_behind_the_tied_note() -> None:
    """Of its own tied E4, bars 4 to 6, the receiver plays what is left: bars 5 and 6."""
    data = sketch(
        "4/4 | C5w | D5w | C6w~ | C6w | D5w | D5w |",
        others={"Pad": "4/4 | R | R | R | E4w~ | E4w~ | E4w |"},
    )
    text = layout(
        "Vn I loco",
        '[line."Vn I"]',
        'handover = { above = "A5", to = "Vn II", leave = true }',
        "[[with]]",
        'from = "Pad"',
        'to = "Vn II loco"',
    )
    made = by_layout(data, text, tune="Flute")
    assert said(made.score)["Vn II"] == "R | R | C6w~ | C6w | E4w~ | E4w"
    (own,) = (one for one in made.report.lines if one.section == "Vn II" and not one.is_tune)
    assert (own.notes, own.lowest.bars) == (1, ["5"])


def test_runs_closer_than_a_bar_to_the_end_of_a_tied_note_are_one() -> None:
    """Three quarters lie between the end of the tied C5 and the next C5."""
    music = "4/4 | C5w~ | C5q G4 A4 G4 | C5h G4 | F4w | E4w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "R | R | rh G4h | F4w | E4w"
    assert parts["Vla"] == "C5w~ | C5q G4q A4q G4q | C5h rh | R | R"


def test_two_bars_are_counted_from_the_end_of_a_tied_note() -> None:
    music = "4/4 | C5w~ | C5q G4 A4 G4 | F4w | F4q C5h. |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "R | rq G4q A4q G4q | F4w | F4q rq rh"
    assert parts["Vla"] == "C5w~ | C5q rq rh | R | rq C5h."


def test_a_tie_is_no_rest() -> None:
    music = "4/4 | E4q C4 D4 C5~ | C5q A4 rh | G4w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla", at = "rest"')
    assert parts["Vc"] == "R | R | G4w"
    assert parts["Vla"] == "E4q C4q D4q C5q~ | C5q A4q rh | R"


def test_whole_bars_go_on_to_where_nothing_is_tied_over_the_barline() -> None:
    music = "4/4 | C4w | G4h C5~ | C5q A4 G4h | G4w | F4w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla", at = "bar"')
    assert parts["Vc"] == "C4w | R | R | G4w | F4w"
    assert parts["Vla"] == "R | G4h C5h~ | C5q A4q G4h | R | R"


def test_a_tuplet_that_ends_a_tied_note_goes_with_all_of_it() -> None:
    """E5 is past the limit; its tuplet begins with the end of the D4 held from bar 1."""
    music = "4/4 | C4h D4h~ | 3{D4e C5 A4} G4q F4h | E4w | D4w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "C4h rh | rq G4q F4h | E4w | D4w"
    assert parts["Vla"] == "rh D4h~ | D4e C5e A4e rq rh | R | R"


def test_dovetail_has_both_play_all_of_a_tied_note() -> None:
    music = "4/4 | G4w~ | G4q C5 E5 A4~ | A4h G4 | F4w | E4w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla", dovetail = true')
    assert parts["Vc"] == "G4w~ | G4q rq rq A4q~ | A4h G4h | F4w | E4w"
    assert parts["Vla"] == "G4w~ | G4q C5q E5q A4q~ | A4h rh | R | R"


@pytest.mark.parametrize(
    ("rule", "giver", "music"),
    [
        ('above = "B4", to = "Vla"', "Vc", "4/4 | C4w | B4h G4h | A4w |"),
        ('below = "C4", to = "Vla"', "Vn I", "4/4 | C5w | C4h G4h | A4w |"),
    ],
)
def test_the_limit_itself_is_not_past_it(rule: str, giver: str, music: str) -> None:
    parts = handed(music, f"{giver} loco", rule, giver)
    assert parts[giver] == music[6:-2]
    assert parts["Vla"] == "R | R | R"


def test_the_lowest_note_of_the_receiver_is_in_its_range() -> None:
    """A violin's open G begins the slur."""
    parts = handed("4/4 | (G3q B3 D4 D5) | C4w | D4w |", "Vc loco", 'above = "C5", to = "Vn I"')
    assert parts["Vn I"] == "(G3q B3q D4q D5q) | R | R"
    assert parts["Vc"] == "R | C4w | D4w"


def test_runs_of_just_a_bar_between_with_a_breath_are_two() -> None:
    """From beat 3 to beat 3 of the next bar, four quarters of 4/4."""
    music = "4/4 | C4q C5^breath-mark D4 E4 | F4q G4 C5 D4 | A4w | G4w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "C4q rq D4q E4q | F4q G4q rq D4q | A4w | G4w"
    assert parts["Vla"] == "rq C5q rh | rh C5q rq | R | R"


def test_runs_of_a_beat_less_between_are_one() -> None:
    music = "4/4 | C4q C5^breath-mark D4 E4 | F4q C5 G4 D4 | A4w | G4w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "C4q rq rh | rh G4q D4q | A4w | G4w"
    assert parts["Vla"] == "rq C5q D4q E4q | F4q C5q rh | R | R"


@pytest.mark.parametrize(
    ("pad", "tune", "receiver"),
    [
        # its note ends where the run begins
        ("4/4 | E4h rh | E4w |", "4/4 | C4h C5 | A4w |", "E4h C5h | E4w"),
        ("4/4 | rq E4q rh | E4w |", "4/4 | C4h C5 | A4w |", "rq E4q C5h | E4w"),
        # its note begins where the run ends
        ("4/4 | rh rq E4 | E4w |", "4/4 | C4h C5q D4 | A4w |", "rh C5q E4q | E4w"),
    ],
)
def test_a_note_that_only_touches_a_run_keeps_nobody_busy(
    pad: str, tune: str, receiver: str
) -> None:
    text = layout(
        "Vc loco",
        '[line."Vc"]',
        'handover = { above = "B4", to = "Vla" }',
        "[[with]]",
        'from = "Pad"',
        'to = "Vla loco"',
    )
    made = by_layout(sketch(tune, others={"Pad": pad}), text, tune="Flute")
    assert said(made.score)["Vla"] == receiver


@pytest.mark.parametrize("grace", ["`G4e", "`F4e `G4e"])
def test_grace_notes_before_a_tuplet_go_with_it_and_nothing_before_them(
    grace: str,
) -> None:
    music = f"4/4 | C4q {grace} 3{{A4e C5 A4}} G4h | F4w | E4w |"
    parts = handed(music, "Vc loco", 'above = "B4", to = "Vla"')
    assert parts["Vc"] == "C4q rq G4h | F4w | E4w"
    assert parts["Vla"] == f"rq {grace.replace('`', '')} A4e C5e A4e rh | R | R"
