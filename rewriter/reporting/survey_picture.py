"""A tune drawn against the registers of every section, at each octave, in plain characters."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import msgspec

from rewriter.rulefiles.stack_lines import octave_word
from rewriter.theory.pitch import name_of_midi

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.reporting.survey import OctaveFit, SectionFit, Survey

COLUMNS: Final = 42
"""Of the pitches, at most; with what stands beside them a picture has 80 at most."""
NAME: Final = 8
"""Of a section's name."""
OCTAVE: Final = 10
"""Of the word for an octave."""

HALF, REST, BEYOND, EDGE = "=", "-", "x", "|"
LEGEND = (
    f"{HALF} half of the time  {REST} compass  {BEYOND} out of range  {EDGE} a register begins"
)
_OCTAVE: Final = 12


def picture_of(survey: Survey) -> Iterator[str]:
    """Rows: the pitches, the tune, then each section's registers and the tune at its octaves.

    Args:
        survey: of a tune.
    """
    ends = [survey.lowest.midi, survey.highest.midi]
    for section in survey.sections:
        ends += [section.low, section.high]
    drawer = _Drawer(survey, min(ends), max(ends))
    yield drawer.pitches()
    yield drawer.row("tune", "loco", drawer.tune(0, min(ends), max(ends)))
    drawn: list[SectionFit] = []
    for section in survey.sections:
        before = next((one for one in drawn if _alike(one, section)), None)
        if before is not None:
            yield drawer.row(section.section, f"as {before.section}", "")
            continue
        drawn.append(section)
        yield drawer.row(section.section, "", drawer.registers(section), "sings")
        for at in section.octaves:
            tune = drawer.tune(at.octave, section.low, section.high)
            yield drawer.row("", octave_word(at.octave), tune, _figures(at))
    yield f"  {LEGEND}"


def _alike(one: SectionFit, other: SectionFit) -> bool:
    """True where two sections have all but their names alike."""
    return msgspec.structs.replace(one, section=other.section) == other


def _figures(at: OctaveFit) -> str:
    out = f"  {at.out_of_range} out" if at.out_of_range else ""
    return f"{at.sings:5.2f}{out}"


class _Drawer:
    """Draws pitches, so many semitones to a column."""

    def __init__(self, survey: Survey, lowest: float, highest: float) -> None:
        self._survey = survey
        self._first = int(lowest // _OCTAVE) * _OCTAVE
        self._size = 1
        while (highest - self._first) // self._size >= COLUMNS:
            self._size += 1
        self._columns = self._column(highest) + 1

    def _column(self, midi: float) -> int:
        return int((midi - self._first) // self._size)

    def row(self, name: str, octave: str, drawn: str, behind: str = "") -> str:
        """A row, with what stands beside it."""
        shown = name if len(name) <= NAME else name[: NAME - 1] + "."
        return f"  {shown:<{NAME}} {octave:<{OCTAVE}}{drawn:<{self._columns}} {behind}".rstrip()

    def pitches(self) -> str:
        """Where each C is."""
        drawn = ""
        for midi in range(self._first, self._first + self._columns * self._size, _OCTAVE):
            drawn = drawn.ljust(self._column(midi)) + name_of_midi(midi)
        return self.row("", "", drawn)

    def tune(self, octave: int, low: float, high: float) -> str:
        """The tune some octaves from its own, within a range."""
        shift, lies = octave * _OCTAVE, self._survey.tessitura
        drawn = [" "] * self._columns
        for each in lies.pitches:
            midi = each.midi + shift
            if not low <= midi <= high:
                self._draw(drawn, midi, midi, BEYOND)
        inside = [
            each.midi + shift for each in lies.pitches if low <= each.midi + shift <= high
        ]
        if inside:
            self._draw(drawn, min(inside), max(inside), REST)
        half = max(lies.low_midi + shift, low), min(lies.high_midi + shift, high)
        if half[0] <= half[1]:
            self._draw(drawn, *half, HALF)
        return "".join(drawn).rstrip()

    def _draw(self, drawn: list[str], low: float, high: float, sign: str) -> None:
        """A sign from one pitch to another, as far as there are columns."""
        first, last = self._column(low), self._column(high)
        for column in range(max(first, 0), min(last, self._columns - 1) + 1):
            drawn[column] = sign

    def registers(self, section: SectionFit) -> str:
        """The registers of a section, each with as much of its name as there is room for."""
        drawn = [" "] * (self._columns + 1)
        starts = [max(each.from_midi, section.low) for each in section.registers]
        ends = [*starts[1:], section.high + 1]
        for each, start, end in zip(section.registers, starts, ends, strict=True):
            first, behind = self._column(start), self._column(end)
            for at, sign in enumerate((EDGE + each.register)[: max(behind - first, 1)]):
                drawn[min(first + at, self._columns)] = sign
        drawn[min(self._column(section.high) + 1, self._columns)] = EDGE
        return "".join(drawn).rstrip()
