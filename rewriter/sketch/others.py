"""What the other parts of the sketch say for the whole score, and how long their bars are."""

from __future__ import annotations

from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Final

from lxml import etree

from rewriter.musicxml.note_reading import POSITIONS, serialised
from rewriter.sketch.directions import read_direction
from rewriter.sketch.model import Sign
from rewriter.sketch.sounds import JUMPS, for_strings, scope_of_sound

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lxml.etree import _Element as Element

_JUMPS: Final = " or ".join(f"@{name}" for name in sorted(JUMPS))
_SPEAKING: Final = etree.XPath(
    "measure[direction[@directive='yes' or (@system and @system!='none') or sound/@tempo"
    " or direction-type/metronome or direction-type/rehearsal or direction-type/segno"
    f" or direction-type/coda or sound[{_JUMPS}]] or sound[@tempo or {_JUMPS}]]"
)


class OtherPart:
    """A part of the sketch that is not the tune."""

    def __init__(self, part: Element, divisions: int) -> None:
        """Take the part, and the output's divisions per quarter."""
        self._part = part
        self._output = divisions

    @cached_property
    def _measures(self) -> list[tuple[Element, Fraction]]:
        """Each bar with the divisions per quarter in force at its start."""
        measures, in_force = [], Fraction(1)
        for measure in self._part.iterchildren("measure"):
            measures.append((measure, in_force))
            for attributes in measure.iterchildren("attributes"):
                in_force = _divisions(attributes, in_force)
        return measures

    def bar_length(self, index: int) -> int:
        """How long a bar is, in output divisions; 0 where there is none."""
        if index >= len(self._measures):
            return 0
        end = Fraction(0)
        for at, child, in_force in _positions(*self._measures[index]):
            if child.tag in {"note", "forward"} and child.find("chord") is None:
                end = max(end, at + _length(child, in_force))
        return int(end * self._output)

    def signs(self) -> Iterator[tuple[int, Sign]]:
        """Tempo, rehearsal marks and the like: index of the bar, and the sign in its place."""
        found = _SPEAKING(self._part)
        speaking = set(found if isinstance(found, list) else ())
        for index, (measure, in_force) in enumerate(self._measures if speaking else ()):
            if measure in speaking:
                for at, child, divisions in _positions(measure, in_force):
                    scale = Fraction(self._output) / divisions
                    for sign in _signs(child, int(at * self._output), scale):
                        yield index, sign


def _signs(child: Element, onset: int, scale: Fraction) -> Iterator[Sign]:
    if child.tag == "direction":
        etree.strip_attributes(child, *POSITIONS, "color", "id")
        for shape in read_direction(child, 1).shapes:
            if shape.scope != "line":
                offset = round(shape.detail.offset * scale)
                detail = shape.detail._replace(offset=offset)
                yield Sign(onset, shape.scope, detail.at(0), "direction", detail)
    elif child.tag == "sound":
        sound, _ = for_strings(child, float(scale))
        if sound is not None and scope_of_sound(sound) != "line":
            yield Sign(onset, scope_of_sound(sound), serialised(sound) + b"\n", "sound")


def _positions(
    measure: Element, in_force: Fraction
) -> Iterator[tuple[Fraction, Element, Fraction]]:
    """Each child of a bar, with quarters from its start and divisions per quarter."""
    at = Fraction(0)
    for child in measure:
        if child.tag == "attributes":
            in_force = _divisions(child, in_force)
        yield at, child, in_force
        if child.tag == "backup":
            at -= _length(child, in_force)
        elif child.tag == "forward" or (child.tag == "note" and child.find("chord") is None):
            at += _length(child, in_force)


def _length(child: Element, divisions: Fraction) -> Fraction:
    """Quarters; grace notes have no duration."""
    try:
        return Fraction((child.findtext("duration") or "0").strip()) / divisions
    except ValueError:
        return Fraction(0)


def _divisions(attributes: Element, before: Fraction) -> Fraction:
    try:
        return Fraction((attributes.findtext("divisions") or "").strip()) or before
    except (ValueError, ZeroDivisionError):
        return before
