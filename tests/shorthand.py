r"""A tiny notation for test music, and the MusicXML it stands for.

    sketch("3/4 key=-2 | G4q (A4e Bb4e) C5q~ | C5h. |", tune="Flute")

A text is bars between `|`; what stands before the first `|` belongs to the first bar.

    G4q  Bb4e  F#5h.     pitch and length: b w h q e s t x (breve to 64th), dots; the length
                         may stand apart (`G4 q`) and, left out, is that of the note before
    Cn5q  F#4?q          `n` a printed natural, `?` a courtesy accidental, `##` `bb` double ones
    F#4-q  F4=#q         its sign left out; a sign of another pitch printed
    rq  R  Xq            rest, whole-bar rest, unpitched note
    [A3 C4 E4]q          chord                   cue:G4q    cue note; hidden:G4q one not printed
    `G4e  `/G4s          grace note, slashed grace note
    ~                    after a note: tied to the next one of that pitch
    ( )  )(              slurs: before the first and after the last note; `)(` chains on a note
    ^accent ^trill ^3    after the note: articulation, ornament, technical, fermata, tremolo,
                         a dynamic of the note's own (`C5q^f`)
    ^begin-slur-2 ^end-wavy-line-1        one end of a sign by its number
    ^diamond             a note that is only touched; of a chord, the upper one
    _la                  after the note: a syllable
    3{ }  5:4{ }         tuplets; they nest
    < > !                hairpins open and close      p mf sfz   dynamics
    "dolce"  tempo=96  mark=A  harmony=G:minor        words, metronome, rehearsal, chord symbol
    8va 15ma 8vb  loco   octave line opens and closes; pitches are the true ones
    3/4 key=-2 key=-2,minor clef=alto transpose=-1,-2   attributes, diatonic and chromatic steps
    pickup  bar=12a  ending=1  numbers=measure        about the bar as a whole
    again=measure  again=beat                         what follows stands for the one before
    |:  :|  :|:          repeats
    &                    the bar's next voice
"""

import re
from collections.abc import Mapping
from math import lcm
from xml.sax.saxutils import escape

from tests.shorthand_staff import TOKEN, Staff
from tests.shorthand_xml import Sound, bar_xml, barline_xml, numbering_xml


def _bars(text: str) -> list[tuple[str, str, str]]:
    """Bars of a staff, each between the signs to its left and right."""
    pieces = re.split(r"(:\|:|:\||\|:|\|)", text.strip())
    texts, signs = pieces[0::2], ["", *pieces[1::2], ""]
    bars = list(zip(signs, texts, signs[1:], strict=False))
    if not bars[-1][1].strip():
        bars.pop()
    if len(bars) > 1 and not any(token["note"] for token in TOKEN.finditer(bars[0][1])):
        bars[:2] = [(bars[1][0], bars[0][1] + bars[1][1], bars[1][2])]
    return bars


def _part(texts: tuple[str, ...]) -> str:
    readers = [Staff(n, len(texts)) for n in range(1, len(texts) + 1)]
    columns = list(zip(*(_bars(text) for text in texts), strict=True))
    read, about = [], []
    for column in columns:
        read.append([r.read(text) for r, (_, text, _) in zip(readers, column, strict=True)])
        about.append(readers[0].bar)
    sounds = [one for bar in read for staff in bar for voice in staff for one in voice]
    lengths = [one.length for one in sounds if isinstance(one, Sound)]
    divisions = lcm(1, *(length.denominator for length in lengths))
    said, number = "", 0
    for column, staves, bar in zip(columns, read, about, strict=True):
        number += "pickup" not in bar
        named = bar.get("bar", str(number))
        implicit = ' implicit="yes"' if "pickup" in bar else ""
        left, _, right = column[0]
        ending = bar.get("ending", "")
        said += (
            f'<measure number="{named}"{implicit}>'
            + numbering_xml(bar.get("numbers", ""))
            + barline_xml(
                "left",
                "forward",
                "heavy-light",
                ending,
                repeat=left.endswith("|:") or left == ":|:",
            )
            + bar_xml(staves, divisions, first=not said)
            + barline_xml(
                "right", "backward", "light-heavy", ending, repeat=right.startswith(":|")
            )
            + "</measure>"
        )
    return said


def sketch(
    music: str | tuple[str, ...],
    *,
    tune: str = "Flute",
    others: Mapping[str, str | tuple[str, ...]] | None = None,
    title: str = "",
) -> bytes:
    """A MusicXML 4.0 score in the notation of this module.

    Args:
        music: the tune's part; a tuple for a part of several staves, upper first.
        tune: name of the tune's part, which gets the id P1.
        others: further parts by name, P2 and on, in order.
        title: movement title; none when empty.
    """
    parts = {tune: music, **(others or {})}
    names, bodies = "", ""
    for number, (name, text) in enumerate(parts.items(), start=1):
        names += (
            f'<score-part id="P{number}"><part-name>{escape(name)}</part-name></score-part>'
        )
        body = _part((text,) if isinstance(text, str) else text)
        bodies += f'<part id="P{number}">{body}</part>'
    head = f"<movement-title>{escape(title)}</movement-title>" if title else ""
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0">'
        f"{head}<part-list>{names}</part-list>{bodies}</score-partwise>\n"
    ).encode()


_BRACKET = (
    b'<part-group number="1" type="start"><group-symbol>bracket</group-symbol></part-group>',
    b'<part-group number="1" type="stop"/>',
)


def finished_score(
    parts: Mapping[str, str | tuple[str, ...]],
    *,
    title: str = "",
    listed: Mapping[str, str] | None = None,
    bracket: bool = False,
) -> bytes:
    """A score of several parts of equal standing, by name, in the notation of this module.

    Args:
        parts: music by the name of the part, P1 and on, in order.
        title: movement title; none when empty.
        listed: by that name, what stands in the part's entry behind it, as XML.
        bracket: True for one around all parts.
    """
    (first, music), *others = parts.items()
    data = sketch(music, tune=first, others=dict(others), title=title)
    for name, more in (listed or {}).items():
        own = f"<part-name>{escape(name)}</part-name>".encode()
        data = data.replace(own, own + more.encode(), 1)
    if bracket:
        start, stop = _BRACKET
        data = data.replace(b"<part-list>", b"<part-list>" + start)
        data = data.replace(b"</part-list>", stop + b"</part-list>")
    return data
