"""A fermata stands in every part at its moment, on the note or the rest there.

Common practice, no source: all parts hold together. W3C MusicXML 4.0: ``<fermata>`` stands on
notes, rests and barlines.
"""

import pytest
from lxml import etree

import rewriter
from tests.outside.schema import assert_valid
from tests.outside.spans import voice_faults
from tests.planned import by_layout, layout
from tests.shorthand import sketch


def written(score: bytes) -> dict[str, list[str]]:
    """By part, its bars: lengths in divisions, rests as ``r``, ``^`` for a fermata."""
    said = {}
    root = etree.fromstring(score)
    for entry, part in zip(root.iter("score-part"), root.findall("part"), strict=True):
        bars = []
        for measure in part:
            notes = [
                ("r" if note.find("rest") is not None else "")
                + (note.findtext("duration") or "0")
                + ("^" if note.find("notations/fermata") is not None else "")
                for note in measure.findall("note")
            ]
            bars.append(" ".join(notes))
        said[entry.findtext("part-abbreviation") or ""] = bars
    return said


def expanded(music: str, lines: str = "", **others: str) -> dict[str, list[str]]:
    data = sketch(music, others=others)
    made = by_layout(data, layout("Vn I loco", *lines.splitlines()), tune="P1").score
    assert_valid(made)
    assert voice_faults(made) == []
    return written(made)


@pytest.mark.parametrize(
    ("music", "resting"),
    [
        ("4/4 | F5h G5h^fermata |", "r2 r2^"),
        ("4/4 | F5w^fermata |", "r4^"),
        ("4/4 | F5q^fermata G5q A5h |", "r4^"),  # at its beginning the bar's rest will do
        ("4/4 | F5q G5h^fermata A5q |", "r1 r1^ r2"),
        ("4/4 | F5q G5h.^fermata |", "r1 r1^ r2"),
        ("4/4 | F5h rh^fermata |", "r2 r2^"),
        ("6/8 | F5q. G5q.^fermata |", "r3 r3^"),
        ("4/4 pickup | F5q^fermata | G5w |", "r1^"),
        # a third of a beat cannot be rested for, so the pause is shown with its beat
        ("4/4 | F5h 3{ F5e G5e^fermata A5e } G5q |", "r6 r6^"),
    ],
)
def test_who_rests_has_it_on_a_rest(music: str, resting: str) -> None:
    assert expanded(music)["Vc"][0] == resting


WITH = '[[with]]\nfrom = "Bass"\nto = "Vc loco"'


@pytest.mark.parametrize(
    ("tune", "bass", "first", "second"),
    [
        ("F5h G5h^fermata", "C3w", "2 2^", "4^"),
        ("F5h G5h^fermata", "C3h. D3q", "2 2^", "3^ 1"),
        ("F5h G5h^fermata", "R", "2 2^", "r2 r2^"),
        ("F5h G5h^fermata", "C3q rh.", "2 2^", "1 r1 r2^"),
        ("F5w", "C3h D3h^fermata", "4^", "2 2^"),
        ("R", "C3h D3h^fermata", "r2 r2^", "2 2^"),
        # both hold from where the later has begun
        ("F5h G5h^fermata", "C3h D3q E3q^fermata", "2 2^", "2 1 1^"),
        ("F5q G5h.^fermata", "R^fermata", "1 3^", "r4^"),
    ],
)
def test_two_staves_hold_together(tune: str, bass: str, first: str, second: str) -> None:
    found = expanded(f"4/4 | {tune} | G5w |", WITH, Bass=f"4/4 | {bass} | C3w |")
    assert (found["Vn I"][0], found["Vc"][0]) == (first, second)


def test_two_staves_that_hold_one_after_the_other_are_two_pauses() -> None:
    found = expanded("4/4 | F5h^fermata G5h |", Bass="4/4 | C3h D3h^fermata |")
    assert found["Vn I"] == ["2^ 2^"]
    assert found["Vla"] == ["r2^ r2^"]


def test_fermatas_of_staves_nobody_plays_and_of_cue_notes_count() -> None:
    assert expanded("4/4 | F5w |", Bass="4/4 | C3w^fermata |")["Vn I"] == ["4^"]
    assert expanded("4/4 | F5h cue:F5h^fermata |")["Vn I"] == ["2 r2^"]
    assert expanded("4/4 | F5w & C5h D5h^fermata |")["Vn I"] == ["4^"]


def test_a_fermata_on_another_staffs_barline_stands_on_every_barline() -> None:
    plain = sketch("4/4 | F5w | G5w :|", others={"Bass": "4/4 | C3w | D3w :|"})
    said = b"<barline location='right'><bar-style>light-light</bar-style><fermata/></barline>"
    at = plain.rindex(b"</measure><measure")
    data = plain[:at] + said + plain[at:]
    at = plain.rindex(b"<repeat")
    data = data.replace(plain[at:], b"<fermata/>" + plain[at:])
    made = rewriter.expand(data, "Vn I", tune="P1").score
    assert_valid(made)
    for part in etree.fromstring(made).findall("part"):
        lines = [[child.tag for child in line] for line in part.iter("barline")]
        assert lines == [["fermata"], ["bar-style", "fermata", "repeat"]]
    assert "^" not in "".join(bar for bars in written(made).values() for bar in bars)


def test_whoever_hands_over_holds_on_the_rest() -> None:
    tune = sketch("4/4 | A3q B3 C4 D4 | C5h( D5h^fermata | E5w) | C4w | A3w |")
    over = layout("Vc loco", '[line."Vc"]', 'handover = { above = "B4", to = "Vla" }')
    made = by_layout(tune, over).score
    found = written(made)
    assert found["Vla"][1] == "2 2^"
    assert found["Vc"][1] == "r2 r2^"


def test_two_voices_on_a_staff_have_one_each_the_lower_turned_round() -> None:
    staves = {"Bass": "4/4 | C3q E3 G3 C4 | C3w |", "Pad": "4/4 | E4h G4h | E4w |"}
    both = [
        line
        for name in staves
        for line in ("[[with]]", f'from = "{name}"', 'to = "half Vc loco"')
    ]
    tune = sketch("4/4 | C5h G5h^fermata | C5w |", others=staves)
    made = by_layout(tune, layout("Vn I loco", *both), tune="P1").score
    part = etree.fromstring(made).findall("part")[3]
    fermatas = [
        (note.findtext("voice"), note.find("notations/fermata").get("type"))
        for note in part.iter("note")
        if note.find("notations/fermata") is not None
    ]
    assert fermatas == [("1", None), ("2", "inverted")]
