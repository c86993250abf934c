"""Bars of a made-up sketch: metres, pickups, split bars, numbers, and what fills them."""

from fractions import Fraction
from random import Random

from tests.property.music import Bar, Note, Pitch

METRES = ("4/4", "3/4", "2/4", "6/8", "5/8", "2/2", "7/16", "3+2/8")
SHAPES = {
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "16th": Fraction(1, 4),
}
SHORTER = {"quarter": "half", "eighth": "quarter", "16th": "eighth", "32nd": "16th"}
TUPLETS = {(3, 2): "eighth", (5, 4): "16th", (6, 4): "16th", (2, 3): "eighth", (7, 8): "16th"}
ODD_NUMBERS = ("12a", "i", "X7", "A-3", "1", "bis", "007")
SIGNS = {
    0: "natural", 1: "sharp", -1: "flat", 2: "double-sharp", -2: "flat-flat",
    0.5: "quarter-sharp", -0.5: "quarter-flat",
}  # fmt: skip


def metre_length(metre: str) -> Fraction:
    """Quarters in a bar: ``3+2/8`` is two and a half."""
    beats, unit = metre.split("/")
    return Fraction(4 * sum(int(one) for one in beats.split("+")), int(unit))


def time_xml(metre: str) -> str:
    beats, unit = metre.split("/")
    return f"<time><beats>{beats}</beats><beat-type>{unit}</beat-type></time>"


def key_xml(rng: Random) -> str:
    mode = rng.choice(("", "<mode>major</mode>", "<mode>minor</mode>"))
    return f"<key><fifths>{rng.randint(-7, 7)}</fifths>{mode}</key>"


def empty_bars(rng: Random, features: frozenset[str], count: int) -> list[Bar]:
    """Bars with lengths, numbers, time signatures and repeats, and nothing in them yet."""
    metre = rng.choice(METRES)
    bars = []
    for place in range(count):
        attributes = {}
        if place == 0 or ("time changes" in features and rng.random() < 0.4):
            metre = rng.choice(METRES)
            attributes["time"] = time_xml(metre)
        length = metre_length(metre)
        if "senza misura" in features and place == count // 2:
            attributes["time"] = "<time><senza-misura/></time>"
            length, metre = Fraction(rng.randint(1, 6)), "4/4"
        elif "senza misura" in features and place == count // 2 + 1:
            attributes["time"] = time_xml(metre)
        bars.append(Bar(length, str(place + 1), attributes=attributes))
    if "pickup" in features:
        short = Fraction(rng.randint(1, max(1, int(2 * bars[0].length) - 1)), 2)
        bars[0].length = min(short, bars[0].length)
        bars[0].implicit = True
        for place, bar in enumerate(bars):
            bar.number = str(place)
    if "split bars" in features:
        _split(rng, bars)
    if "odd bar numbers" in features:
        for bar, number in zip(bars, rng.sample(ODD_NUMBERS, len(ODD_NUMBERS)), strict=False):
            bar.number = number
    return bars


def _split(rng: Random, bars: list[Bar]) -> None:
    place = rng.randrange(len(bars))
    bar = bars[place]
    if bar.length < 2:
        return
    second = Bar(bar.length - 1, "X1", implicit=True)
    bar.length = Fraction(1)
    bar.right = ["<bar-style>light-heavy</bar-style>", '<repeat direction="backward"/>']
    bars.insert(place + 1, second)


def fill(rng: Random, features: frozenset[str], length: Fraction) -> list[Note]:
    """Notes that last exactly as long as asked, a multiple of a 16th note."""
    if "bar rests" in features and rng.random() < 0.15:
        return [Note("bar rest", length, "whole")]
    return _filled(rng, features, length, Fraction(1), longest=Fraction(4))


def _filled(
    rng: Random, features: frozenset[str], written: Fraction, ratio: Fraction, longest: Fraction
) -> list[Note]:
    notes: list[Note] = []
    while written > 0:
        if may_be_tuplet(rng, features, ratio):
            group, taken = _tuplet(rng, features, written, ratio)
            if group:
                notes += group
                written -= taken
                continue
        fitting = [name for name, one in SHAPES.items() if one <= min(written, longest)]
        shape = rng.choice(fitting[-3:] if rng.random() < 0.8 else fitting)
        dots, one = 0, SHAPES[shape]
        if rng.random() < 0.2 and shape != "16th" and one * 3 / 2 <= min(written, longest):
            dots, one = 1, one * Fraction(3, 2)
        notes.append(Note(_kind(rng, features), one * ratio, shape, dots, ratio, ratio != 1))
        written -= one
    return notes


def may_be_tuplet(rng: Random, features: frozenset[str], ratio: Fraction) -> bool:
    if ratio != 1:
        return "nested tuplets" in features and ratio.numerator < 4 and rng.random() < 0.3
    return "tuplets" in features and rng.random() < 0.3


def _tuplet(
    rng: Random, features: frozenset[str], written: Fraction, ratio: Fraction
) -> tuple[list[Note], Fraction]:
    """A tuplet that fits, and how much of the written length it takes; nothing if none does."""
    actual, normal = rng.choice(list(TUPLETS)[: 1 if ratio != 1 else None])
    unit = SHAPES[TUPLETS[actual, normal]]
    if unit * normal > written or (ratio != 1 and unit * normal == written):
        return [], Fraction(0)
    inner = ratio * Fraction(normal, actual)
    notes = _filled(rng, features, unit * actual, inner, longest=unit)
    level = 1 if ratio == 1 else 2
    if level == 2 or rng.random() < 0.9:  # some programs give the ratio and draw no tuplet
        bracket = rng.choice(("", ' bracket="yes"', ' bracket="no"', ' show-number="both"'))
        start = f'<tuplet type="start" number="{level}"{bracket}/>'
        notes[0].spans.insert(0, start)
        notes[-1].spans.append(f'<tuplet type="stop" number="{level}"/>')
    return notes, unit * normal


def _kind(rng: Random, features: frozenset[str]) -> str:
    chance = rng.random()
    if "rests" in features and chance < 0.12:
        return "rest"
    if "cue notes" in features and chance < 0.2:
        return "cue"
    if "unpitched notes" in features and chance < 0.28:
        return "unpitched"
    return "note"


def give_pitches(rng: Random, features: frozenset[str], notes: list[Note], low: int) -> None:
    """A line that wanders by steps and leaps over two octaves from ``low`` (C = 0, by step)."""
    place = low + rng.randint(0, 14)
    for note in notes:
        if note.kind not in {"note", "cue"}:
            continue
        place = min(max(place + rng.randint(-4, 4), low), low + 14)
        note.pitches = [_pitch(rng, features, place)]
        if "chords" in features and rng.random() < 0.3 and note.sounds:
            for third in range(1, rng.randint(2, 3)):
                note.pitches.append(_pitch(rng, features, place - 2 * third))


def _pitch(rng: Random, features: frozenset[str], place: int) -> Pitch:
    choices: list[float] = [0, 0, 0, 1, -1]
    if "double accidentals" in features:
        choices += [2, -2]
    if "quarter tones" in features:
        choices += [0.5, -0.5]
    alter = rng.choice(choices)
    sign = f"<accidental>{SIGNS[alter]}</accidental>" if alter else ""
    if "courtesy accidentals" in features and rng.random() < 0.3:
        how = rng.choice(('cautionary="yes"', 'parentheses="yes"', 'editorial="yes"'))
        sign = f"<accidental {how}>{SIGNS[alter]}</accidental>"
    elif "naturals" in features and alter == 0 and rng.random() < 0.3:
        sign = "<accidental>natural</accidental>"
    return Pitch("CDEFGAB"[place % 7], alter, place // 7, sign)
