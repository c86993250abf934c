"""A second staff for a section: there where one cannot hold its lines, and not elsewhere.

One rhythm on shared stems, different rhythms without crossing on one staff, very different or
crossing ones on two (common practice, no source).
"""

import re

import pytest

from tests.outside.heard import heard_by_music21, heard_by_partitura, heard_by_verovio
from tests.outside.reference import heard_by_reference
from tests.outside.schema import faults
from tests.outside.spans import voice_faults
from tests.planned import by_layout, by_plan, layout, said
from tests.shorthand import sketch

TUNE = "4/4 | C4h D4 | E4w |"


def with_bass(bass: str, music: str = TUNE) -> bytes:
    """Half the cellos have the tune, the other half something else."""
    data = sketch(music, others={"Bass": bass})
    text = layout("half Vc loco", "[[with]]", 'from = "Bass"', 'to = "half Vc loco"')
    return by_layout(data, text, tune="Flute").score


def accompanying(upper: str, lower: str, section: str = "Vc") -> dict[str, str]:
    """Two halves of a section with two accompaniments, under a tune for the seconds."""
    data = sketch(TUNE, others={"High": upper, "Low": lower})
    text = layout(
        "Vn II loco",
        *("[[with]]", 'from = "High"', f'to = "half {section} loco"'),
        *("[[with]]", 'from = "Low"', f'to = "half {section} loco"'),
    )
    return said(by_layout(data, text, tune="Flute").score)


@pytest.mark.parametrize(
    ("bass", "expected"),
    [
        ("4/4 | C3h D3 | E3w |", '"div." C4+C3h D4+D3h | E4+E3w'),
        ("4/4 | C4h D4 | E4w |", '"div." C4+C4h D4+D4h | E4+E4w'),  # they meet
    ],
)
def test_tune_and_accompaniment_of_one_rhythm_share_a_stem(bass: str, expected: str) -> None:
    parts = said(with_bass(bass))
    assert "Vc 2" not in parts
    assert parts["Vc"] == expected


@pytest.mark.parametrize("bass", ["4/4 | C3w | E3w |", "4/4 | C3w | R |", "4/4 | C3h D3 | R |"])
def test_tune_over_accompaniment_of_another_rhythm_has_a_staff_of_its_own(bass: str) -> None:
    parts = said(with_bass(bass))
    assert parts["Vc"] == '"div." C4h D4h | E4w'
    assert parts["Vc 2"] == bass[6:-2].replace(" D3", " D3h")


def test_two_accompaniments_share_a_staff_in_voices() -> None:
    parts = accompanying("4/4 | G3h A3 | G3w |", "4/4 | C3w | E3w |")
    assert "Vc 2" not in parts
    assert parts["Vc"] == '"div." G3h A3h & C3w | G3w & E3w'


def test_lines_that_cross_have_a_staff_each() -> None:
    parts = accompanying("4/4 | G3h A3 | G3w |", "4/4 | C3h C4 | E3w |")
    assert parts["Vc"] == '"div." G3h A3h | G3w'
    assert parts["Vc 2"] == "C3h C4h | E3w"


def test_crossing_in_passing_counts_only_while_both_sound() -> None:
    """The lower leaps up while the upper rests."""
    parts = accompanying("4/4 | G3h rh | G3w |", "4/4 | C3h C4 | E3w |")
    assert "Vc 2" not in parts


@pytest.mark.parametrize(
    ("section", "upper", "lower", "staves"),
    [
        ("Vc", "A4h G4 | A4w", "C2h D2 | C2w", 2),  # no clef for both
        ("Vc", "A4h G4 | A4w", "A3h G3 | A3w", 1),
        ("Vla", "A5h B5 | A5w", "C3h D3 | C3w", 2),
        ("Vla", "A5h B5 | A5w", "A4h B4 | A4w", 1),
        ("Vn I", "A6h B6 | A6w", "A5h B5 | A5w", 1),  # 8va reads both
        ("Vn I", "B6h C7 | B6w", "A4h B4 | A4w", 2),
        ("Vc", "A4h C3 | C3w", "C2h D2 | C2w", 1),  # a single note is borne
    ],
)
def test_lines_too_far_apart_have_a_staff_each(
    section: str, upper: str, lower: str, staves: int
) -> None:
    parts = accompanying(f"4/4 | {upper} |", f"4/4 | {lower} |", section)
    assert (f"{section} 2" in parts) == (staves == 2)


def test_only_passages_that_need_it_have_the_second_staff() -> None:
    """Octaves on one stem stay on the upper staff, also beside a passage on two."""
    data = sketch(
        "4/4 | C4h D4 | E4w | C5h D5 |",
        tune="Melody",
        others={"Bass": "4/4 | C3w | E3w | C3w |"},
    )
    over = layout("half Vc loco", "[[with]]", 'from = "Bass"', 'to = "half Vc loco"')
    made = by_plan(
        data,
        'bars = "1-2"\nlayout = "over.toml"',
        'bars = "3"\nstack = "half Vc loco / half Vc"',
        over=over,
    )
    parts = said(made.score)
    assert parts["Vc"] == '"div." C4h D4h | E4w | C5+C4h D5+D4h'
    assert parts["Vc 2"] == "C3w | E3w | R"


def test_the_border_between_staves_lies_between_tune_and_accompaniment() -> None:
    data = sketch("4/4 | C5h D5 | E5w |", others={"Bass": "4/4 | C3w | E3w |"})
    text = layout(
        "third Vc loco / third Vc", "[[with]]", 'from = "Bass"', 'to = "third Vc loco"'
    )
    parts = said(by_layout(data, text, tune="Flute").score)
    assert parts["Vc"].endswith("C5+C4h D5+D4h | E5+E4w")
    assert parts["Vc 2"].endswith("C3w | E3w")


def test_two_staves_are_one_section_under_one_name() -> None:
    score = with_bass("4/4 | C3h F4 | E3w |")
    assert faults(score) == []
    assert voice_faults(score) == []
    text = score.decode()
    found = re.findall(r'<score-part id="(\w+)"|<part-group [^>]*type="(\w+)"', text)
    order = [part or kind for part, kind in found]
    assert order == ["start", "P1", "P2", "P3", "start", "P4", "P4b", "stop", "P5", "stop"]
    assert re.findall(r"<group-(?:name|symbol)>(\w+)", text) == [
        "bracket",
        "Violoncellos",
        "square",
    ]
    names = re.findall(r"<part-name([^>]*)>Violoncellos<", text)
    assert names == [' print-object="no"'] * 2
    assert "Violoncellos 2" not in text


@pytest.mark.parametrize("heard", [heard_by_music21, heard_by_partitura, heard_by_verovio])
def test_readers_hear_both_staves(heard) -> None:
    score = with_bass("4/4 | C3h F4 | E3w |")
    assert heard(score) == heard_by_reference(score)


def test_the_upper_line_by_sound_is_the_first() -> None:
    """The second half of the section carries the higher voice."""
    data = sketch("4/4 | C3h D3 | E3w |", others={"High": "4/4 | C4h D4 | E4w |"})
    text = layout("half Vc loco", "[[with]]", 'from = "High"', 'to = "half Vc loco"')
    parts = said(by_layout(data, text, tune="Flute").score)
    assert parts["Vc"] == '"div." C4+C3h D4+D3h | E4+E3w'


def test_the_lower_staff_has_the_clefs_of_its_own_line() -> None:
    """A tune high above the stave for all but the last bar, where the bass crosses it."""
    music = "4/4 | C5h D5 | D5h E5 | E5h F5 | D3w |"
    data = sketch(music, others={"Bass": "4/4 | C3w | D3w | C3w | G3w |"})
    text = layout("half Vc loco", "[[with]]", 'from = "Bass"', 'to = "half Vc loco"')
    score = by_layout(data, text, tune="Flute").score.decode()
    lower = score.partition('<part id="P4b">')[2]
    assert re.findall(r"<sign>(\w)", lower.partition("</part>")[0]) == ["F"]
