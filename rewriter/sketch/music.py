"""What happens in the parts of a sketch, read once in one number of divisions."""

from __future__ import annotations

import re
from collections import Counter
from fractions import Fraction
from functools import cached_property
from math import lcm
from typing import TYPE_CHECKING, Final

import msgspec

from rewriter.musicxml.faults import shown
from rewriter.musicxml.note_reading import POSITIONS, FractionalDuration
from rewriter.problems import Refused
from rewriter.scores.events import (
    FINEST,
    BarEvents,
    EventReader,
    divisions_said,
)
from rewriter.scores.leaving import ASIDES, attributes, leaving
from rewriter.scores.movements import bar_text
from rewriter.sketch.pauses import pauses_in
from rewriter.sketch.tempo_marks import Measures, tempo_marks

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.scores.events import Slip
    from rewriter.scores.notes import NoteForm
    from rewriter.scores.score import Part, Score
    from rewriter.sketch.pauses import BarPauses
    from rewriter.sketch.tempo_marks import TempoMarks

LEFT_ON_THE_PAGE: Final = (
    *ASIDES,
    leaving(attributes(*POSITIONS, "color", "id", "xml:id")),
    leaving(rb"<stem[^>]*(?:/>|>[^<]*</stem>)"),
)
"""What only says where and how a sign stood on the old page. Stems go at once with it, since
notes that differ in nothing else are then the same."""

_COUNTED: Final = {
    b' default-x="': "positions on the page",
    b' color="': "colours",
    b' id="': "element ids",
}
_BEAT_TYPES: Final = re.compile(rb"<beat-type[^>]*>\s*(\d{1,4})\s*</beat-type>")


class PartMusic(msgspec.Struct, frozen=True):
    """What happens in a part.

    Attributes:
        part: where it was read.
        bars: in order.
        forms: every form of note in it.
        divisions: of a quarter, in which it is counted.
        marks: words in it that are tempo by what stands around them.
        attributes_left: how many attributes of it only belong to the page.
        stems_left: how many stems it has.
    """

    part: Part
    bars: Sequence[BarEvents]
    forms: Sequence[NoteForm]
    divisions: int
    marks: TempoMarks
    attributes_left: int
    stems_left: int


class SketchMusic:
    """The parts of a sketch in the divisions of its tune.

    Attributes:
        score: the sketch.
        divisions: of a quarter; the fewest that hold all lengths.
    """

    def __init__(self, score: Score, tune: Part, *, whole: bool) -> None:
        """Read the tune's part, and find divisions on the way.

        Args:
            score: the sketch.
            tune: the part its tune is in.
            whole: other parts will be read too, so the divisions must hold for all of them.

        Raises:
            Refused: a length or a number of divisions cannot be; the place is named.
        """
        self.score = score
        parts = score.parts if whole else [tune]
        self.divisions = lcm(
            *(value.numerator for part in parts for value in divisions_said(part)),
            *(_unit(int(text)) for part in parts for text in _beat_types(part)),
        )
        self._read: dict[Part, PartMusic] = {}
        self._counted: set[Part] = set()
        self._measures = Measures(score.parts)
        self._marks: dict[Part, TempoMarks] = {}
        while tune not in self._read:
            try:
                self.of(tune)
            except FractionalDuration as more:
                self.divisions *= more.denominator
                if self.divisions > FINEST:
                    raise Refused(
                        "its durations have no common division", "export the sketch again"
                    ) from None

    def of(self, part: Part) -> PartMusic:
        """What happens in a part.

        Raises:
            FractionalDuration: a length does not fit the divisions.
            Refused: something in it cannot be; the bar is named.
        """
        if part not in self._read:
            reader = EventReader(part, self.divisions, without=LEFT_ON_THE_PAGE)
            bars = []
            for bar in reader.bars():
                for slip in bar.slips:
                    raise _refusal(slip, part)
                bars.append(bar)
            *_, attributes_left, stems_left = reader.left_out
            self._read[part] = PartMusic(
                part, bars, reader.forms, self.divisions, self.marks_of(part),
                attributes_left, stems_left,
            )  # fmt: skip
        return self._read[part]

    @cached_property
    def pauses(self) -> dict[int, BarPauses]:
        """Where everybody holds, by bar."""
        return pauses_in(self.score.parts, self.divisions)

    def marks_of(self, part: Part) -> TempoMarks:
        """Words of a part that are tempo by what stands around them in the sketch."""
        if part not in self._marks:
            self._marks[part] = tempo_marks(part, self._measures)
        return self._marks[part]

    def left_on_the_page(self, part: Part) -> Counter[str]:
        """What only belongs to the page of a part, kind → count; a second time nothing."""
        if part in self._counted:
            return Counter()
        self._counted.add(part)
        music = self.of(part)
        counts = {"stems": music.stems_left}
        if music.attributes_left:
            whole = b"\0".join(part.bars)
            counts |= {kind: whole.count(sign) for sign, kind in _COUNTED.items()}
        return Counter({kind: count for kind, count in counts.items() if count})


def _beat_types(part: Part) -> Iterator[bytes]:
    for at in part.saying(b"<beat-type"):
        yield from _BEAT_TYPES.findall(part.bars[at])


def _unit(beat_type: int) -> int:
    """Divisions of a quarter that a beat of this type needs."""
    return Fraction(beat_type, 4).numerator if beat_type else 1


def _refusal(slip: Slip, part: Part) -> Refused:
    """What stops the reading of a sketch: the line would be wrong from here on."""
    said = shown(slip.said)
    if slip.kind == "before-the-bar":
        refusal = Refused("a <backup> leads before the bar", "export the sketch again")
    elif slip.kind == "divisions":
        refusal = Refused(
            f'"{said}" divisions in a quarter note cannot be', "export the sketch again"
        )
    else:
        note = f'a duration of "{said}"' if said else "a note without duration"
        refusal = Refused(
            f"{note} cannot be played", "correct it in the sketch and export again"
        )
    refusal.place = bar_text(part, slip.bar)
    return refusal
