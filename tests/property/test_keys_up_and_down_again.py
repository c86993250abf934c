"""Up an interval and down again restores pitches, spelling, keys and chord symbols.

Wherever nothing had to be respelled: keys within seven accidentals, notes within double ones.
"""

from fractions import Fraction

from hypothesis import assume, given
from hypothesis import strategies as st

import rewriter
from tests.outside.reference import score_root
from tests.property.expanding import expand
from tests.property.strategies import Sketch, sketches

# Their place on the line of fifths: C to G is 1, C to F is -1; so is F to C.
FIFTHS_UP = {
    "A1": 7, "m2": -5, "M2": 2, "m3": -3, "M3": 4, "P4": -1, "A4": 6, "d5": -6, "P5": 1,
    "m6": -4, "M6": 3, "m7": -2, "M7": 5, "P8": 0,
}  # fmt: skip
ON_THE_LINE = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}
OTHER_WAY = {"up": "down", "down": "up"}

Spelled = tuple[str, float, str]


def _pitches(score: bytes) -> list[Spelled]:
    return [
        (
            pitch.findtext("step", ""),
            float(pitch.findtext("alter", "0")),
            pitch.findtext("octave", ""),
        )
        for pitch in score_root(score).iterfind("part[1]/measure/note/pitch")
    ]


def _keys(score: bytes) -> list[int]:
    return [int(str(one.text)) for one in score_root(score).iterfind("part[1]//key/fifths")]


def _symbols(score: bytes) -> list[tuple[str, float]]:
    found = []
    for kind in ("root", "bass"):
        for one in score_root(score).iter(kind):
            alter = float(one.findtext(f"{kind}-alter", "0"))
            found.append((one.findtext(f"{kind}-step", ""), alter))
    return found


def _is_readable(step: str, alter: float, fifths: int) -> bool:
    place = ON_THE_LINE[step] + 7 * Fraction(alter) + fifths
    return -2 <= (place + 1) // 7 <= 2 and abs(alter) <= 2


@given(sketches(), st.sampled_from(sorted(FIFTHS_UP)), st.sampled_from(sorted(OTHER_WAY)))
def test_up_and_down_again(sketch: Sketch, name: str, way: str) -> None:
    fifths = FIFTHS_UP[name] if way == "up" else -FIFTHS_UP[name]
    plain = expand(sketch, "Vn I loco", keep_harmony=True).score
    assume(all(-7 <= key + fifths <= 7 for key in _keys(plain)))
    away = expand(sketch, "Vn I loco", by=f"{way} {name}", keep_harmony=True).score
    back = rewriter.expand(
        away, "Vn I loco", tune="P1", by=f"{OTHER_WAY[way]} {name}", keep_harmony=True
    ).score
    assert _keys(back) == _keys(plain)
    assert _symbols(back) == _symbols(plain)
    for before, after in zip(_pitches(plain), _pitches(back), strict=True):
        if _is_readable(before[0], before[1], fifths):
            assert before == after
