"""The demo score in which somebody has worked: ``python -m tests.demo_scores.corrected``.

`HAND` is what an orchestrator has done by hand to the strings of *The Last Ferry*, eight things
of different kinds, written in ``scores/last-ferry-corrected.mxl``. Meanwhile the composer has
changed the sketch: `scores/last-ferry-longer.musicxml`, with four bars more before bar 21,
another note in bar 19 and another dynamic in bar 17. It is to be written again whenever
``expand`` writes other bytes.
"""

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from lxml import etree

import rewriter
from rewriter.musicxml.containers import write_musicxml_zip

SCORES = Path(__file__).resolve().parents[2] / "scores"
SKETCH = SCORES / "last-ferry.musicxml"
CORRECTED = SCORES / "last-ferry-corrected.mxl"
LONGER = SCORES / "last-ferry-longer.musicxml"
LAYOUT = "Vn I / Vn II + Vla / Vc"
HEAD = b'<?xml version="1.0" encoding="UTF-8"?>\n'

Element = etree._Element


class Correction(NamedTuple):
    """Something done by hand.

    Attributes:
        kind: as reports name it.
        part: id.
        bar: as printed.
        do: it, to the notes of the bar.
    """

    kind: str
    part: str
    bar: str
    do: Callable[[list[Element]], None]


def _lower(notes: list[Element]) -> None:
    octave = notes[0].find("pitch/octave")
    octave.text = str(int(octave.text) - 1)  # type: ignore[union-attr, arg-type]


def _another_step(notes: list[Element]) -> None:
    notes[-1].find("pitch/step").text = "G"  # type: ignore[union-attr]


def _sign(family: str, sign: str) -> Callable[[list[Element]], None]:
    def put(notes: list[Element]) -> None:
        notations = _sign_of(notes[0])
        group = notations.find(family)
        if group is None:
            group = etree.SubElement(notations, family)
        group.append(etree.fromstring(sign))

    return put


def _direction(inside: str) -> Callable[[list[Element]], None]:
    def put(notes: list[Element]) -> None:
        said = f"<direction><direction-type>{inside}</direction-type></direction>"
        notes[0].addprevious(etree.fromstring(said))

    return put


def _slur(notes: list[Element]) -> None:
    for note, end in zip(notes, ("start", "stop"), strict=False):
        _sign_of(note).append(etree.Element("slur", type=end, number="4"))


def _sign_of(note: Element) -> Element:
    found = note.find("notations")
    return etree.SubElement(note, "notations") if found is None else found


def _softer(notes: list[Element]) -> None:
    bar = notes[0].getparent()
    bar.find("direction/direction-type/dynamics")[:] = [etree.Element("f")]  # type: ignore[union-attr, index]


HAND = (
    Correction("notes", "P4", "8", _lower),
    Correction("technical", "P1", "9", _sign("technical", "<up-bow/>")),
    Correction("words", "P2", "9", _direction("<words>sul tasto</words>")),
    Correction(
        "articulation", "P3", "14", _sign("articulations", '<strong-accent type="up"/>')
    ),
    Correction("dynamic", "P3", "17", _softer),
    Correction("notes", "P2", "19", _another_step),
    Correction("rehearsal mark", "P1", "21", _direction("<rehearsal>C</rehearsal>")),
    Correction("slur", "P4", "22", _slur),
)
CONFLICTS = ("dynamic", "notes")
"""Kinds of what the composer has changed too, in the order of bars."""

MORE = (
    (("C", 0, 5, 2), ("A", 0, 4, 1)),
    (("B", -1, 4, 1), ("G", 0, 4, 2)),
    (("A", 0, 4, 1), ("F", 0, 4, 1), ("G", 0, 4, 1)),
    (("C", 0, 5, 3),),
)
"""The four bars: step, alteration, octave, quarters."""


def base() -> bytes:
    """The score as the tool makes it."""
    return rewriter.expand(SKETCH, LAYOUT).score


def corrected(hand: tuple[Correction, ...] = HAND) -> bytes:
    """The score after some corrections, not zipped."""
    root = etree.fromstring(base())
    for one in hand:
        (bar,) = root.xpath(f"part[@id='{one.part}']/measure[@number='{one.bar}']")
        one.do([note for note in bar.findall("note") if note.find("pitch") is not None])
    return HEAD + etree.tostring(root) + b"\n"


def longer() -> bytes:
    """The sketch as the composer has it now."""
    root = etree.fromstring(SKETCH.read_bytes())
    bars = {bar.get("number"): bar for bar in root.iter("measure")}
    bars["17"].find("direction/direction-type/dynamics")[:] = [etree.Element("mf")]  # type: ignore[index, union-attr]
    bars["19"].findall("note")[1].find("pitch/step").text = "D"  # type: ignore[union-attr]
    divisions = int(root.findtext(".//divisions") or 1)
    for number in range(21, 25):
        bars[str(number)].set("number", str(number + 4))
    for place, notes in enumerate(MORE):
        bars["21"].addprevious(_bar(str(21 + place), notes, divisions))
    return HEAD + etree.tostring(root) + b"\n"


def _bar(number: str, notes: tuple[tuple[str, int, int, int], ...], divisions: int) -> Element:
    types = {1: "quarter", 2: "half", 3: "half"}
    bar = etree.Element("measure", number=number)
    for step, alter, octave, quarters in notes:
        altered = f"<alter>{alter}</alter>" if alter else ""
        bar.append(
            etree.fromstring(
                f"<note><pitch><step>{step}</step>{altered}<octave>{octave}</octave></pitch>"
                f"<duration>{quarters * divisions}</duration><voice>1</voice>"
                f"<type>{types[quarters]}</type>{'<dot/>' * (quarters == 3)}</note>"
            )
        )
    bar.tail = "\n"
    return bar


if __name__ == "__main__":
    CORRECTED.write_bytes(write_musicxml_zip(corrected(), "last-ferry-corrected.musicxml"))
    LONGER.write_bytes(longer())
