"""What follows a change of key besides the notes: ornaments, courtesy signs, chord symbols.

Expected by hand.
"""

import re

import pytest

import rewriter
from tests.shorthand import sketch

MARK = b"<trill-mark/><accidental-mark%b>%b</accidental-mark>"


def top_part(data: bytes, **options: str) -> str:
    score = rewriter.expand(data, "Vn I loco", **options).score.decode()
    return score.split("</part>")[0]


def marked(music: str, name: str, side: str = "") -> bytes:
    attributes = f' placement="{side}"' if side else ""
    whole = MARK % (attributes.encode(), name.encode())
    return sketch(music).replace(b"<trill-mark/>", whole)


@pytest.mark.parametrize(
    ("music", "name", "side", "by", "expected"),
    [
        # A trill from A to B flat; up a whole tone from B to C natural.
        ("4/4 key=0 | A4w^trill |", "flat", "", "up M2", "natural"),
        # The same up a major third: C sharp to D natural.
        ("4/4 key=0 | A4w^trill |", "flat", "", "up M3", "natural"),
        # D to E flat down a whole tone: C to D flat.
        ("4/4 key=0 | D5w^trill |", "flat", "above", "down M2", "flat"),
        # E to F sharp up a minor third: G to A natural.
        ("4/4 key=0 | E5w^trill |", "sharp", "", "up m3", "natural"),
        # B to C sharp up a whole tone: C sharp to D sharp.
        ("4/4 key=0 | B4w^trill |", "sharp", "above", "up M2", "sharp"),
        # B to C natural up a whole tone: C sharp to D natural.
        ("4/4 key=2 | Bn4w^trill |", "natural", "", "up M2", "natural"),
        # Below: G with F sharp up a whole tone is A with G sharp.
        ("4/4 key=0 | G4w^trill |", "sharp", "below", "up M2", "sharp"),
        # C with B natural below, up a minor third: E flat with D natural.
        ("4/4 key=-3 | C5w^trill |", "natural", "below", "up m3", "natural"),
        # B to C sharp up an augmented unison: B sharp to C double sharp.
        ("4/4 key=-5 | B4w^trill |", "sharp", "", "up A1", "double-sharp"),
        # G to A flat down a minor third: E to F natural.
        ("4/4 key=-3 | G4w^trill |", "flat", "", "down m3", "natural"),
    ],
)
def test_an_ornament_keeps_its_neighbour(
    music: str, name: str, side: str, by: str, expected: str
) -> None:
    found = re.findall(
        r"<accidental-mark[^>]*>([^<]*)<", top_part(marked(music, name, side), by=by)
    )
    assert found == [expected]


def test_an_ornament_of_a_transposing_part_is_that_of_the_sound() -> None:
    """A clarinet in B flat reads B with C sharp above; it sounds A with B natural."""
    data = marked("4/4 key=2 transpose=-1,-2 | B4w^trill |", "sharp")
    assert re.findall(r"<accidental-mark[^>]*>([^<]*)<", top_part(data)) == ["natural"]


def test_an_octave_does_not_change_an_ornament() -> None:
    data = marked("4/4 | A4w^trill |", "flat")
    assert re.findall(r"<accidental-mark[^>]*>([^<]*)<", top_part(data)) == ["flat"]


@pytest.mark.parametrize(
    ("music", "by", "signs"),
    [
        # E flat major up a minor third is G flat major; the A natural is a C natural.
        ("4/4 key=-3 | An4q A4 Bb4 Ab4 |", "up m3", ["natural", "flat"]),
        # C major up a whole tone: the courtesy F natural becomes a courtesy G natural.
        ("4/4 | F#4q G4 A4 B4 | F4?w |", "up M2", ["sharp", "natural"]),
    ],
)
def test_printed_signs_follow(music: str, by: str, signs: list[str]) -> None:
    assert re.findall(r"<accidental[^>-]*>([^<]*)<", top_part(sketch(music), by=by)) == signs


def test_a_courtesy_sign_stays_one() -> None:
    part = top_part(sketch("4/4 | F#4q G4 A4 B4 | F4?w |"), by="up M2")
    assert re.findall("<accidental[^>]*>[^<]*<", part) == [
        "<accidental>sharp<",
        '<accidental cautionary="yes">natural<',
    ]


def test_chord_symbols_follow() -> None:
    data = sketch("4/4 key=-2,minor | harmony=G:minor G4h harmony=D:dominant D5 |")
    made = rewriter.expand(data, "Vn I loco", key="B minor", keep_harmony=True)
    roots = re.findall(
        r"<root-step>(.)</root-step>(?:<root-alter>([^<]*)</root-alter>)?</root><kind>(\w*)",
        made.score.decode(),
    )
    assert roots == [("B", "", "minor"), ("F", "1", "dominant")]


@pytest.mark.parametrize(
    ("key", "fifths", "first"),
    [
        ("F", "-1", "F4"),  # G to F is nearer down
        ("Bb", "-2", "B4"),  # and to B flat up
        ("Db", "-5", "D5"),  # a tritone goes up
        ("H-Dur", "5", "B4"),
        ("Gb", "-6", "G4"),
        ("F#", "6", "F4"),
    ],
)
def test_a_key_by_name(key: str, fifths: str, first: str) -> None:
    part = top_part(sketch("4/4 key=1,major | G4q A4 B4 D5 |"), key=key)
    assert re.findall("<fifths>([^<]*)<", part) == [fifths]
    step, octave = re.findall(r"<step>(.)</step>.*?<octave>(\d)<", part)[0]
    assert step + octave == first


@pytest.mark.parametrize(("direction", "first"), [("up", "F5"), ("down", "F4")])
def test_a_direction_is_obeyed(direction: str, first: str) -> None:
    part = top_part(sketch("4/4 key=1 | G4w |"), key="F", direction=direction)
    step, octave = re.findall(r"<step>(.)</step><octave>(\d)<", part)[0]
    assert step + octave == first


def test_a_change_of_key_within_the_sketch_follows() -> None:
    part = top_part(sketch("4/4 key=1 | G4w | key=-4 Ab4w |"), by="up M2")
    assert re.findall("<fifths>([^<]*)<", part) == ["3", "-2"]


def test_beyond_seven_sharps_is_respelled() -> None:
    """B major up an augmented unison is C major, not B sharp."""
    part = top_part(sketch("4/4 key=5 | B4h A#4 |"), by="up A1")
    assert re.findall("<fifths>([^<]*)<", part) == ["0"]
    assert re.findall(r"<step>(.)</step>(<alter>)?", part) == [("C", ""), ("B", "")]
