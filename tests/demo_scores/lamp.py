"""The demo score with faults: ``python -m tests.demo_scores.lamp`` writes it.

Forty bars of our own, from an invented play, for strings, flute and clarinet: `CLEAN` is the
score as it should be, in the notation of ``tests.shorthand``, `FAULTS` what a tired copyist has
made of some of its bars. It goes to ``scores/ferrymans-lamp.musicxml``.
"""

from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from lxml import etree

from tests.shorthand import finished_score

FILE = Path(__file__).resolve().parents[2] / "scores" / "ferrymans-lamp.musicxml"
TITLE = "The Ferryman's Lamp"
HEAD = b'<?xml version="1.0" encoding="UTF-8"?>\n'
MAKER = '<creator type="composer">from The Winter Ferry, an invented play</creator>'
BRACKET = (
    '<part-group type="start" number="{}"><group-symbol>bracket</group-symbol>'
    "<group-barline>yes</group-barline></part-group>"
)

SHORT = {
    "Flute": "Fl.",
    "Clarinet in B♭": "Cl.",
    "Violin I": "Vn. I",
    "Violin II": "Vn. II",
    "Viola": "Vla.",
    "Violoncello": "Vc.",
    "Double Bass": "Db.",
}
SOUNDS = (
    "wind.flutes.flute",
    "wind.reed.clarinet.bflat",
    "strings.violin",
    "strings.violin",
    "strings.viola",
    "strings.cello",
    "strings.contrabass",
)
FL, CL, VN1, VN2, VLA, VC, DB = SHORT

# Bars of eight: the lamp is lit (Vn I), the ferryman answers (Vc), both banks (doubled), fog
# (muted, in three), the lamp again.
CLEAN: dict[str, str] = {
    FL: """
        4/4 key=2 clef=treble tempo=72 "Quietly, like breathing" R | R | R | R |
        R | R | R | R |
        mark=A R | R | R | R |
        R | R | R | R |
        mark=B f (D6q F#6 A6. G6e) | (F#6h E6q) rq | (E6q G6 B6. A6e) | (G6h F#6q) rq |
        (A6q B6) (A6 F#6) | (G6h E6h) | (F#6q E6) (D6 E6) | D6h. rq |
        mark=C 3/4 R | R | p (A5q B5 D6) | A5h. |
        R | R | (F#5q A5 B5) | A5h. |
        mark=D 4/4 ff (A5q D6) F#6h^accent | (G6q F#6) E6h | (F#6q A6) D6h | E6h. rq |
        f (B5q D6) (F#6 E6) | > D6h A5h~ | A5w ! | p A5h. rq |""",
    CL: """
        4/4 key=4 clef=treble transpose=-1,-2 R | R | R | R |
        R | R | R | R |
        R | R | R | R |
        R | R | R | R |
        f (E4w | F#4h.) rq | (A4w | G#4h.) rq |
        (B4h A4) | (G#4h F#4) | (G#4h F#4) | E4h. rq |
        3/4 R | R | p G#4h.~ | G#4h. |
        R | R | F#4h.~ | F#4h. |
        4/4 ff (B4h G#4) | (A4h B4) | (G#4h E4) | F#4h. rq |
        f (C#5h A4) | > G#4h (F#4 | E4h.) rq ! | p E4h. rq |""",
    VN1: """
        4/4 key=2 clef=treble p (D5q F#5 A5. G5e) | (F#5h E5q) rq |
        (E5q G5 B5. A5e) | (G5h F#5q) rq |
        (A5q G#5 A5. B5e) | (A5h F#5h) | (G5q F#5 E5 G5) | F#5h. rq |
        R | R | R | R |
        R | R | mp (A4q B4 C#5 D5) | < (E5q F#5 G#5 A5) ! |
        f (D5q F#5 A5. G5e) | (F#5h E5q) rq | (E5q G5 B5. A5e) | (G5h F#5q) rq |
        (A5q^accent B5) (A5 F#5) | (G5h E5h) | (F#5q^accent E5) (D5 E5) | D5h. rq |
        3/4 R | "con sord." p (D5h E5q) | F#5h. | R |
        (G5h F#5q) | (E5h D5q) | F#5h. | R |
        4/4 "senza sord." ff (A5q D6) F#6h^accent | (G6q F#6) E6h | (F#6q A6) D6h | E6h. rq |
        f (B5q D6) (F#6 E6) | > D6h A5h~ | A5w ! | p A5h. rq |""",
    VN2: """
        4/4 key=2 clef=treble p A4w | A4h. rq | (B4h G4) | A4h. rq |
        (E4h G#4) | (A4h F#4) | (B4h C#5) | A4h. rq |
        "pizz." mp rq A4 rq A4 | rq G4 rq A4 | rq B4 rq B4 | rq A4 rq A4 |
        rq C#5 E5 rq | rq A4 rq A4 | rq B4 rq rq | R |
        "arco" f (D5q F#5 A5. G5e) | (F#5h E5q) rq | (E5q G5 B5. A5e) | (G5h F#5q) rq |
        (A5q^accent B5) (A5 F#5) | (G5h E5h) | (F#5q^accent E5) (D5 E5) | D5h rh |
        3/4 rh. | "con sord." p (B4h C#5q) | D5h. | (A4h B4q) |
        (B4h A4q) | (G4h A4q) | A4h. | R |
        4/4 "senza sord." ff (F#5q A5) D6h^accent | (E6q D6) C#6h | (D6q F#6) B5h | C#6h. rq |
        f (G5q B5) (D6 C#6) | > F#5h F#5h~ | F#5w ! | p F#5h. rq |""",
    VLA: """
        4/4 key=2 clef=alto p F#4w | C#4h. rq | (G4h E4) | D4h. rq |
        (C#4h E4) | (F#4h A4) | (E4h A4) | D4h. rq |
        "pizz." mp rq F#4 rq F#4 | rq E4 rq E4 | rq G4 rq G4 | rq D4 rq D4 |
        rq E4 rq G4 | rq F#4 rq F#4 | rq E4 rq rq | R |
        "arco" f (D4q F#4 A4. G4e) | (F#4h E4q) rq | (E4q G4 B4. A4e) | (G4h F#4q) rq |
        (A4q^accent B4) (A4 F#4) | (G4h E4h) | (F#4q^accent E4) (D4 E4) | D4h. rq |
        3/4 p (D4h C#4q) | (G3h A3q) | "div." [A3 D4]h. | "unis." (D4h C#4q) |
        (D4h B3q) | (E4h F#4q) | (D4h C#4q) | D4h. |
        4/4 ff (D4q F#4) A4h^accent | (B4q A4) G4h | (A4q D5) F#4h | E4h. rq |
        f (D4q G4) (B4 A4) | > A4h D4h~ | D4w ! | p D4h. rq |""",
    VC: """
        4/4 key=2 clef=bass p D3w | A2h. rq | (E3h C#3) | D3h. rq |
        A2w | D3h. rq | (G2h A2) | D3h. rq |
        mp (D3q F#3 A3. G3e) | (F#3h E3q) rq | (E3q G3 B3. A3e) | (G3h F#3h~) |
        F#3q (B3 C#4. B3e) | (A3h F#3h) | (G3q F#3 E3 G3) | F#3h. rq |
        f D3w | A2h. rq | C#3w | D3h. rq |
        (F#3h D3) | (E3h A2) | (A2h A2) | D3h. rq |
        3/4 p D3h. | G2h. | D3h.~ | D3h. |
        (E3h D3q) | C#3h. | D4h.^harmonic | R |
        4/4 ff D3h D3h^accent | G2h A2 | F#3h G2 | A2h. rq |
        f (G2h A2) | > D3h D3~ | D3w ! | p D3h. rq |""",
    DB: """
        4/4 key=2 clef=bass transpose=0,0,-1 p D3w | A2h. rq | (E3h C#3) | D3h. rq |
        A2w | D3h. rq | (G2h A2) | D3h. rq |
        "pizz." mp D3h rh | D3h rh | C#3h rh | D3h rh |
        A2h rh | D3h rh | E3h rh | R |
        "arco" f D3w | A2h. rq | C#3w | D3h. rq |
        (F#3h D3) | (E3h A2) | (A2h A2) | D3h. rq |
        3/4 R | p G2h. | D3h.~ | D3h. |
        R | A2h. | D3h. | R |
        4/4 ff D3h D3h^accent | G2h A2 | A3h G2 | A2h. rq |
        f (G2h A2) | > D3h D3~ | D3w ! | p D3h. rq |""",
}  # fmt: skip


class Fault(NamedTuple):
    """What was made of a bar, or some.

    Attributes:
        part: by name.
        bar: the first, counted from 1.
        music: of it and the bars that follow, as they are now.
        rule: that finds it.
        says: a piece of what it says.
        mended: True where the tool can put it right.
    """

    part: str
    bar: int
    music: tuple[str, ...]
    rule: str
    says: str
    mended: bool = False


FAULTS: tuple[Fault, ...] = (
    Fault(VLA, 3, ("(G4h [C#3 E3]h)",), "unplayable-chord", "C#3", mended=True),
    Fault(VN2, 5, ("(E3h G#3)",), "below-lowest-string", "E3", mended=True),
    Fault(VN1, 5, ("(A5q G#5- A5. B5e)",), "accidental-differs", "G#5", mended=True),
    Fault(VC, 12, ("(G3h F#3h^begin-tied-1)",), "open-tie", "F#3", mended=True),
    Fault(VN2, 13, ("rq (C#5 E5) rq",), "plucked-as-bowed", "slur"),
    Fault(VN1, 15, ("(A4q B4 C#5 D5)",), "entry-without-dynamic", "6 bars"),
    Fault(VN1, 16, ("< (E5q F#5 G#5 A5)",), "open-span", "hairpin", mended=True),
    Fault(VLA, 19, ("(E4q G#4 B4. A4e)",), "doubling-alteration", "G#4"),
    Fault(CL, 20, ("G#4h) rq",), "bar-length", "3 quarters"),
    Fault(VLA, 21, ("(A4q^accent B4) (G4 F#4)",), "doubling-notes", "G4", mended=True),
    Fault(VN2, 22, ("(G5h Fb5h)",), "doubling-spelling", "Fb5", mended=True),
    Fault(VLA, 23, ("(F#4q E4) (D4 E4)",), "doubling-marks", "accent", mended=True),
    Fault(VLA, 25, ("p (D4h C#4q)",), "parts-disagree", "3/4", mended=True),
    Fault(VN2, 26, ("p (B4h C#5q)", '"con sord." D5h.'), "quick-mute", "mutes on"),
    Fault(VLA, 28, ("(D4h C#4q)",), "division-not-cancelled", "unis.", mended=True),
    Fault(VC, 31, ("F4h.^harmonic",), "not-a-node", "F4"),
    Fault(FL, 34, ("(G6q F#6) E6h^begin-slur-1",), "open-span", "slur"),
    Fault(DB, 35, ("A4h G2",), "beyond-range", "A3", mended=True),
    Fault(VC, 37, ('f "div. a 3" ([G2 D3 B3]h "unis." A2)',), "divided-by-three", "3"),
    Fault(DB, 40, ("p D2h. rq",), "needs-extension", "D1"),
)


def bars_of(part: str) -> list[str]:
    """The bars of a part of the clean score."""
    return [bar.strip() for bar in CLEAN[part].strip().rstrip("|").split("|")]


def lamp(faults: Iterable[Fault] = FAULTS) -> bytes:
    """The score with some faults.

    Args:
        faults: of those there are; none for the clean score.
    """
    music = {part: bars_of(part) for part in CLEAN}
    for fault in faults:
        music[fault.part][fault.bar - 1 : fault.bar - 1 + len(fault.music)] = fault.music
    texts = {part: " | ".join(bars) + " |" for part, bars in music.items()}
    return _laid_out(finished_score(texts, title=TITLE))


def _laid_out(data: bytes) -> bytes:
    """With all that a part list says, words above the staff, and an element a line."""
    root = etree.fromstring(data)
    title = root.find("movement-title")
    title.addnext(etree.fromstring(f"<identification>{MAKER}</identification>"))
    listed = root.find("part-list")
    entries = listed.findall("score-part")
    for entry, sound in zip(entries, SOUNDS, strict=True):
        name = entry.findtext("part-name")
        for said in (
            f"<part-abbreviation>{SHORT[name]}</part-abbreviation>",
            f'<score-instrument id="{entry.get("id")}-I1"><instrument-name>{name}'
            f"</instrument-name><instrument-sound>{sound}</instrument-sound></score-instrument>",
        ):
            entry.append(etree.fromstring(said))
    for number, (first, last) in enumerate(((0, 1), (2, len(entries) - 1)), start=1):
        entries[first].addprevious(etree.fromstring(BRACKET.format(number)))
        entries[last].addnext(etree.fromstring(f'<part-group type="stop" number="{number}"/>'))
    for direction in root.iter("direction"):
        below = direction.xpath("direction-type/dynamics | direction-type/wedge")
        direction.set("placement", "below" if below else "above")
    etree.indent(root)
    return HEAD + etree.tostring(root, encoding="UTF-8") + b"\n"


if __name__ == "__main__":
    FILE.write_bytes(lamp())
