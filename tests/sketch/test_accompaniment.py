"""Other staves of the sketch, given to sections as a layout says; expected by hand."""

import pytest

from rewriter.problems import Refused
from tests.planned import by_layout, layout, said
from tests.shorthand import sketch

TUNE = "4/4 | C5h D5 | E5w |"
CHORDS = "4/4 | [G3 B3 D4 F4]h [A3 C4 E4] | [G3 B3]q C4 rh |"


def accompanied(source: str, to: str, *more: str, others: dict[str, str]) -> dict[str, str]:
    data = sketch(TUNE, tune="Melody", others=others)
    text = layout("Vn I loco", "[[with]]", f'from = "{source}"', f'to = "{to}"', *more)
    return said(by_layout(data, text).score)


def test_the_top_notes_of_chords() -> None:
    parts = accompanied("Pad", "Vla loco", others={"Pad": CHORDS})
    assert parts["Vn I"] == "C5h D5h | E5w"
    assert parts["Vla"] == "F4h E4h | B3q C4q rh"


@pytest.mark.parametrize(
    ("to", "expected"),
    [
        # four, three and two notes to two: two each; two above, one below; one each
        ("Vn II loco + Vla", {"Vn II": "F4+D4h E4+C4h | B3q C4q rh",
                              "Vla": "B3+G3h A3h | G3q C4q rh"}),
        # to three: the upper has the more; of two the lower is doubled
        ("Vn II loco + Vla + Vc", {"Vn II": "F4+D4h E4h | B3q C4q rh",
                                   "Vla": "B3h C4h | G3q C4q rh",
                                   "Vc": "G3h A3h | G3q C4q rh"}),
        # to one: all of it
        ("Vla loco", {"Vla": "F4+D4+B3+G3h E4+C4+A3h | B3+G3q C4q rh"}),
    ],
)  # fmt: skip
def test_chords_are_dealt_from_the_top(to: str, expected: dict[str, str]) -> None:
    parts = accompanied("Pad", to, 'chords = "divide"', others={"Pad": CHORDS})
    plain = {
        key: text.replace('"div." ', "").replace('"div. a 4" ', "")
        for key, text in parts.items()
    }
    plain = {key: text.replace('"unis." ', "") for key, text in plain.items()}
    assert {key: plain[key] for key in expected} == expected


def test_octaves_are_those_of_the_stack() -> None:
    bass = {"Bass": "4/4 | C3h D3 | E3w |"}
    parts = accompanied("Bass", "half Vc loco / Db", others=bass)
    assert parts["Vc"] == '"half" C3h D3h | E3w'
    assert parts["Db"] == "C2h D2h | E2w"


@pytest.mark.parametrize("source", ["Bass", "P3", "staff 3"])
def test_a_staff_by_name_id_or_place(source: str) -> None:
    others = {"Pad": "4/4 | E4w | E4w |", "Bass": "4/4 | C3w | D3w |"}
    assert accompanied(source, "Vc loco", others=others)["Vc"] == "C3w | D3w"


def test_a_voice_of_a_staff() -> None:
    others = {"Piano": "4/4 | E4w & C4h D4 | E4w |"}
    parts = accompanied("voice 2 of staff 2", "Vla loco", others=others)
    assert parts["Vla"] == "C4h D4h | R"


def test_an_accompaniment_has_its_own_rhythm_ties_and_slurs() -> None:
    others = {"Pad": "4/4 | (G3q A3) B3h~ | B3h C4 |"}
    parts = accompanied("Pad", "Vla loco", others=others)
    assert parts["Vla"] == "(G3q A3q) B3h~ | B3h C4h"


def test_a_staff_that_triplets_where_the_tune_does_not() -> None:
    parts = accompanied("Pad", "Vla loco", others={"Pad": "4/4 | 3{G3q A3 B3} C4h | D4w |"})
    assert parts["Vla"] == "G3q A3q B3q C4h | D4w"


def test_what_nobody_plays_is_named() -> None:
    others = {"Pad": "4/4 | E4w | E4w |", "Bass": "4/4 | C3w | D3w |"}
    data = sketch(TUNE, tune="Melody", others=others)
    text = layout("Vn I loco", "[[with]]", 'from = "Bass"', 'to = "Vc loco"')
    assert by_layout(data, text).report.not_played == ['"Pad" (P2), voice 1: 2 notes']


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("staff 4", "the sketch has no staff 4; it has 2, counted from the top"),
        (
            "voice 3 of staff 2",
            '"Pad" (P2), staff 1 has no voice 3; it has 1',
        ),
    ],
)
def test_what_there_is_not(source: str, expected: str) -> None:
    with pytest.raises(Refused) as refused:
        accompanied(source, "Vla loco", others={"Pad": "4/4 | E4w | E4w |"})
    file, said = str(refused.value).split(".toml:")
    assert file.endswith("hand")
    assert said == f"4: with[1].from: {expected}"


def test_a_section_with_tune_and_accompaniment_divides() -> None:
    """The whole section is named twice: it divides equally, each role on a staff of its own."""
    data = sketch(TUNE, tune="Melody", others={"Pad": "4/4 | E4w | C4h D4 |"})
    text = layout("Vla loco", "[[with]]", 'from = "Pad"', 'to = "Vla loco"')
    made = by_layout(data, text)
    staves = said(made.score)
    assert (staves["Vla"], staves["Vla 2"]) == ('"div." C5h D5h | E5w', "E4w | C4h D4h")
    assert [(one.section, one.players) for one in made.report.lines] == [
        ("Vla", 6.0), ("Vla", 6.0),
    ]  # fmt: skip


def test_what_lies_beyond_the_tunes_bar_is_left_out_and_reported() -> None:
    """Found in a madrigal of music21's corpus: one part has bars twice as long."""
    data = sketch(TUNE, tune="Melody", others={"Pad": "4/4 | E4h D4 C4 B3 | E4w |"})
    text = layout("Vn I loco", "[[with]]", 'from = "Pad"', 'to = "Vla loco"')
    made = by_layout(data, text)
    assert said(made.score)["Vla"] == "E4h D4h | E4w"
    (finding,) = (one for one in made.report.findings if one.rule == "overlong-in-sketch")
    assert (finding.severity, finding.place.bar, finding.text) == (
        "warning",
        "1",
        "2 notes lie beyond the tune's bar in another staff; left out, look at the metre of "
        "the sketch",
    )


def test_a_staff_without_dynamics_has_those_of_the_staff_beside_it_but_not_its_words() -> None:
    piano = ("4/4 | G4w | A4w |", '4/4 | p "dolce" C3w | < D3w ! |')
    parts = accompanied("Piano", "Vla loco", others={"Piano": piano})
    assert parts["Vla"] == "p G4w | < A4w !"


def test_a_staff_with_a_dynamic_of_its_own_has_nothing_of_the_other() -> None:
    piano = ("4/4 | p G4w | A4w |", "4/4 | f C3w | < D3w ! |")
    parts = accompanied("Piano", "Vla loco", others={"Piano": piano})
    assert parts["Vla"] == "p G4w | A4w"


@pytest.mark.parametrize(
    ("stack", "chords", "gone"),
    [
        ("Vla loco", "top", {"arpeggios": 1, "lower notes of chords": 2}),
        ("Vn II / Vla / Vc", "divide", {"arpeggios": 1}),
        ("Vla loco", "divide", {}),
    ],
)
def test_what_goes_with_notes_of_its_chords_is_counted(
    stack: str, chords: str, gone: dict[str, int]
) -> None:
    data = sketch(
        "4/4 | C5w |", tune="Melody", others={"Pad": "4/4 | [C4 E4 G4]w^arpeggiate |"}
    )
    text = layout("Vn I loco", "[[with]]", 'from = "Pad"', f'to = "{stack}"',
                  f'chords = "{chords}"')  # fmt: skip
    report = by_layout(data, text).report
    assert report.dropped == gone
    assert report.kept.get("arpeggios", 0) == 1 - gone.get("arpeggios", 0)
