"""A known fault of each rule, planted into a clean score: the one table of them.

The score is `tests.demo_scores.lamp` without its faults; what is planted is bars in shorthand,
or bytes put in where shorthand cannot say it. Tunes that are told need other scores: a sketch
expanded by a layout that is as it should be, and by one that is not.
"""

import re
from collections.abc import Callable, Iterator
from typing import NamedTuple

from lxml import etree

from rewriter.checking.rules import RULES
from tests.demo_scores.lamp import CLEAN, DB, FAULTS, FL, VC, VLA, VN1, VN2, Fault, lamp

REPEAT = (
    b'<barline location="right"><bar-style>light-heavy</bar-style>'
    b'<repeat direction="backward"/></barline>'
)


class Seed(NamedTuple):
    """A fault to plant.

    Attributes:
        fault: which bars of which part become what, which rule finds it, and what it says.
        at: printed bar at which it is found; empty for the whole part.
        also: done to the bytes besides.
    """

    fault: Fault
    at: str
    also: Callable[[bytes], bytes] = bytes

    @property
    def place(self) -> tuple[str, str, str]:
        """Rule, part and bar of the one finding."""
        return self.fault.rule, f"P{[*CLEAN].index(self.fault.part) + 1}", self.at

    def __str__(self) -> str:
        return f"{self.fault.rule}, bar {self.fault.bar}"


def planted(*seeds: Seed) -> bytes:
    """The clean score with these faults."""
    data = lamp([seed.fault for seed in seeds])
    for seed in seeds:
        data = seed.also(data)
    return data


def _repeated(data: bytes) -> bytes:
    """Bars 1 to 24 repeated, in all parts."""
    return re.sub(
        rb'(<measure number="24">.*?)(</measure>)',
        rb"\1" + REPEAT + rb"\2",
        data,
        flags=re.DOTALL,
    )


def _gone(pattern: str, instead: str = "") -> Callable[[bytes], bytes]:
    """Takes a piece out of the bytes, or puts another there."""
    return lambda data: re.sub(pattern.encode(), instead.encode(), data, flags=re.DOTALL)


def _changed_places(data: bytes) -> bytes:
    """Viola and cello each where the other was."""
    root = etree.fromstring(data)
    for ids in ("part-list/score-part", "part"):
        upper, lower = root.findall(ids)[4:6]
        upper.addprevious(lower)
    return etree.tostring(root)


def _more() -> Iterator[Seed]:
    """What the demo score has not."""
    first = "4/4 key=2 clef=treble"
    for part, bar, music, rule, says, mended, at in (
        (VC, 34, ("G2h F6",), "beyond-extreme", "F6", True, "34"),
        (VLA, 30, ("E3h. & D3h.",), "two-voices-undivided", "D3", True, "30"),
        (VN1, 1, (f"{first} (D5q F#5 A5. G5e)",), "no-first-dynamic", "dynamic", False, "1"),
        (VN1, 20, ("numbers=none (G5h F#5q) rq",), "bars-unnumbered", "number", True, "20"),
        (VN1, 26, ('"con sord." p A6h.', "A6h.", "A6h.", "B6h.", "A6h.", "A6h."),
         "long-at-the-top", "bars", False, "26"),
        (VN2, 1, (f"{first} p (A4w", "B4h. C#5q", "B4h) G4h"),
         "slur-longer-than-bow", "slur", False, "1"),
        (VN2, 15, ('rq rq re B4e "arco" B4q',), "quick-change", "0.4 s", False, "15"),
        (VLA, 29, ('"sul tasto" (D4h B3q)',), "never-cancelled", "sul tasto", False, "29"),
        (VLA, 29, ('"div." [E3 E4]q [F#3 F#4] [G3 G4]', "[F#3 F#4]q [E3 E4] [D3 D4]",
         '"unis." (D4h C#4q)'), "divided-in-octaves", "octaves", False, "29"),
        (VC, 14, ("p (G4h B4h", "B4h G4)"), "leger-lines", "leger lines", True, "14"),
        (VLA, 10, ("clef=tenor rq E4 rq E4", "clef=alto rq G4 rq G4"),
         "foreign-clef", "tenor clef", True, "10"),
        (VN2, 17, ('"arco" mf (D5q F#5 A5. G5e)',), "doubling-dynamics", "mf", True, "17"),
        (VC, 11, ("clef=treble (B5q C#6 B5. A5e)", "clef=bass (G3h F#3h~)"),
         "old-cello-notation", "old notation", False, "11"),
    ):  # fmt: skip
        yield Seed(Fault(part, bar, music, rule, says, mended), at)
    for part, at, rule, says, mended, also in (
        (FL, "24", "repeats-not-written-out", "repeat", False, _repeated),
        (VLA, "", "part-name", "no name", True, _gone("<part-name>Viola<", "<part-name><")),
        (VLA, "", "part-abbreviation", "no abbreviation", True,
         _gone("<part-abbreviation>Vla.</part-abbreviation>")),
        (VLA, "", "instrument-sound", "strings.violin", True,
         _gone("strings.viola<", "strings.violin<")),
        (VN1, "", "part-groups", "bracket", True,
         _gone(r'<part-group type="(start|stop)" number="2".*?(/>|</part-group>)')),
        (VC, "", "part-order", "above", True, _changed_places),
    ):  # fmt: skip
        yield Seed(Fault(part, 1, (), rule, says, mended), at, also)
    low = Fault(DB, 35, ("F#3h G2",), "bass-transposition", "transposition")
    yield Seed(low, "", _gone(r"<transpose>\s*<diatonic>0.*?</transpose>"))


SEEDS = [
    *(Seed(one, str(one.bar + len(one.music) - 1)) for one in FAULTS),
    *_more(),
]

ELSEWHERE = {
    "scoring": "about what a house asks of layouts: tests/checking/cases/scoring.toml",
    "octave-balance": "of layouts over a whole tune: tests/checking/cases/octave-balance.toml",
    "widest-twice": "of layouts over a whole tune: tests/checking/cases/widest-twice.toml",
    "outside-condition": "of a treatise's layout: tests/checking/cases/outside-condition.toml",
    "part-files": "about parts beside the score: tests/cli/test_check_parts.py",
    "part-notes": "about parts beside the score: tests/cli/test_check_parts.py",
    "part-marks": "about parts beside the score: tests/cli/test_check_parts.py",
}
"""Rules about finished scores without a seed, and where their faults are planted."""

TUNE = (
    "4/4 {} | F5q G5 A5 G5 | F5 A5 G5 F5 | G5 F5 G5 A5 | G5w "
    "| F5q G5 A5 G5 | A5 G5 A5 F5 | G5 A5 G5 F5 | F5w | A5q G5 F5 G5 | F5w |"
)


class Scored(NamedTuple):
    """A tune that is told, by a layout that is as it should be, and by one that is not.

    Attributes:
        tune: in shorthand.
        sound: the first layout.
        faulty: the other.
    """

    tune: str
    sound: str
    faulty: str


SCORED = {
    "tune-register": Scored(TUNE.format("p"), "Vn I loco / Vn II", "Vn I 8va / Vn II"),
    "cellos-low": Scored(TUNE.format("p"), "Vn I loco / Vc", "Vn I loco /// Vc"),
    "basses-on-the-tune": Scored(TUNE.format("p"), "Vn I loco / Vla", "Vn I loco / Vla // Db"),
    "violins-high": Scored(TUNE.format("f"), "Vn I loco / Vla", "Vn I 8va + Vn II 8va / Vla"),
}
"""By rule about the tune."""

NEED = [
    rule
    for rule in RULES
    if (rule.find is not None or rule.find_asked is not None) and rule.id not in ELSEWHERE
]
"""Rules of which a fault is to be planted; those about the work of expanding find none here."""
