"""Courtesy accidentals at borders (common practice, no source)."""

import pytest

from tests.outside.schema import assert_valid
from tests.plain_xml import parts_of
from tests.planned import by_layout, by_plan, layout
from tests.shorthand import sketch


def signs(data: bytes, section: int = 0) -> str:
    """Names and accidentals of a part, ``?`` behind a courtesy, bars between ``|``."""
    bars = []
    for measure in parts_of(data)[section]:
        said = []
        for note in measure.iter("note"):
            step = note.findtext("pitch/step", "r") + note.findtext("pitch/octave", "")
            sign = note.find("accidental")
            printed = "" if sign is None else f":{sign.text}"
            courtesy = "?" if sign is not None and sign.get("cautionary") == "yes" else ""
            said.append(step + printed + courtesy)
        bars.append(" ".join(said))
    return " | ".join(bars)


HIGH, LOW = 'stack = "Vn I 8va"', 'stack = "Vn I loco"'


@pytest.mark.parametrize(
    ("music", "border", "wanted"),
    [
        # the last bar had the other octave altered
        ("F#4h G4h | F4h F4h", "2", "F5:sharp G5 | F4:natural? F4"),
        # so had this one
        ("F#4q G4q F4q A4q", "1 beat 3", "F5:sharp G5 F4:natural? A4"),
        # nothing was altered, or only as the key has it
        ("F4h G4h | F4h F4h", "2", "F5 G5 | F4 F4"),
        ("key=1 F#4h G4h | F#4h G4h", "2", "F5 G5 | F4 G4"),
        # against the key, and back to it
        ("key=1 F4h G4h | F#4h G4h", "2", "F5:natural G5 | F4:sharp? G4"),
        # what needs a sign anyway has no courtesy
        ("F#4h G4h | F#4h F4h", "2", "F5:sharp G5 | F4:sharp F4:natural"),
        # the bar before the last is forgotten
        ("F#4h G4h | G4w | F4w", "2", "F5:sharp G5 | G4 | F4"),
    ],
)
def test_what_was_just_read_in_another_octave(music: str, border: str, wanted: str) -> None:
    made = by_plan(
        sketch(f"4/4 {music} |"),
        f'from = "1"\nto = "{"1" if border == "2" else border}"\n{HIGH}',
        f'from = "{border}"\nto = "end"\n{LOW}',
    ).score
    assert_valid(made)
    assert signs(made) == wanted


def test_where_the_line_goes_on_the_sketch_is_followed() -> None:
    made = by_layout(sketch("4/4 F#4h G4h | F4w |"), layout("Vn I loco")).score
    assert signs(made) == "F4:sharp G4 | F4"


def test_a_sign_the_voice_needs_behind_a_tie_is_not_said_again_where_the_tie_is_cut() -> None:
    made = by_plan(
        sketch("4/4 F4h F#4h~ | F#4q F#4q F4q F#4?q |"),
        'bars = "1"\nstack = "Vn I loco"',
        'bars = "2"\nstack = "Vn II loco"',
    ).score
    assert signs(made, 1) == "r | F4:sharp F4 F4:natural F4:sharp?"


def test_who_has_not_read_it_needs_no_courtesy() -> None:
    made = by_plan(
        sketch("4/4 F#4h G4h | F4w |"),
        'bars = "1"\nstack = "Vn I loco"',
        'bars = "2"\nstack = "Vn II loco"',
    ).score
    assert signs(made, 1) == "r | F4"


def test_another_line_of_the_section_counts_as_read() -> None:
    under = layout("Vn I loco", "[[with]]", 'from = "Bass"', 'to = "Vc loco"')
    tune = sketch("4/4 C5w | F3w |", tune="Melody", others={"Bass": "4/4 F#3w | C3w |"})
    made = by_plan(
        tune, 'bars = "1"\nlayout = "under.toml"', 'bars = "2"\nstack = "Vc loco"', under=under
    ).score
    assert signs(made, 3) == "F3:sharp | F3:natural?"
