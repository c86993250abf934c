"""What the other parts of the sketch say for the whole score, and how long their bars are."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.note_reading import serialised
from rewriter.scores.children import element_of
from rewriter.scores.events import EventReader, common_divisions
from rewriter.sketch.directions import read_direction
from rewriter.sketch.model import Sign
from rewriter.sketch.music import LEFT_ON_THE_PAGE
from rewriter.sketch.sounds import JUMPS, for_strings, scope_of_sound

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator

    from rewriter.scores.events import BarEvents, Event
    from rewriter.scores.score import Part

_JUMPS: Final = "|".join(sorted(JUMPS)).encode()
_SPEAKING: Final = re.compile(
    rb'<direction [^>]*(?:directive="yes"|system="(?!none"))'
    rb"|<direction[ >](?:(?!</direction>).)*?(?:<(?:metronome|rehearsal|segno|coda)[ />]"
    rb"|<sound [^>]*\b(?:tempo|" + _JUMPS + rb")=)"
    rb"|<sound [^>]*\b(?:tempo|" + _JUMPS + rb")=",
    re.DOTALL,
)


class OtherPart:
    """A part of the sketch that is not the tune."""

    def __init__(self, part: Part, divisions: int) -> None:
        """Take the part, and the output's divisions per quarter."""
        self._part = part
        self._output = divisions

    def bar_lengths(self, wanted: Collection[int]) -> dict[int, int]:
        """How long some of its bars are, in output divisions, by their indexes."""
        return {index: int(bar.end * unit) for index, bar, unit in self._read(wanted)}

    def signs(self) -> Iterator[tuple[int, Sign]]:
        """Tempo, rehearsal marks and the like: index of the bar, and the sign in its place."""
        speaking = {
            index
            for index, bar in enumerate(self._part.bars)
            if (b"<direction" in bar or b"<sound" in bar) and _SPEAKING.search(bar)
        }
        for index, bar, unit in self._read(speaking):
            scale = bar.scale
            for event in bar.events:
                scale = bar.scales.get(event.place, scale)
                for sign in _signs(event, int(event.onset * unit), scale * unit):
                    yield index, sign

    def _read(self, wanted: Collection[int]) -> Iterator[tuple[int, BarEvents, Fraction]]:
        """Some bars, counted in divisions of the part's own, with one of those in output's."""
        if wanted:
            own = common_divisions([self._part])
            reader = EventReader(self._part, own, without=LEFT_ON_THE_PAGE)
            for index, bar in reader.some(wanted):
                yield index, bar, Fraction(self._output, own)


def _signs(event: Event, onset: int, scale: Fraction) -> Iterator[Sign]:
    if event.tag == "direction":
        for shape in read_direction(element_of(event.data), 1).shapes:
            if shape.scope != "line":
                offset = round(shape.detail.offset * scale)
                detail = shape.detail._replace(offset=offset)
                yield Sign(onset, shape.scope, detail.at(0), "direction", detail)
    elif event.tag == "sound":
        sound, _ = for_strings(element_of(event.data), float(scale))
        if sound is not None and scope_of_sound(sound) != "line":
            yield Sign(onset, scope_of_sound(sound), serialised(sound) + b"\n", "sound")
