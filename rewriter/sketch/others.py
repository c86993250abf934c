"""What the other parts of the sketch say for the whole score, and how long their bars are."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.note_reading import serialised
from rewriter.scores.children import element_of
from rewriter.scores.quarters import in_quarters
from rewriter.sketch.directions import read_direction
from rewriter.sketch.model import Sign
from rewriter.sketch.music import LEFT_ON_THE_PAGE
from rewriter.sketch.sounds import JUMPS, for_strings, scope_of_sound

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator
    from fractions import Fraction

    from rewriter.scores.events import Event
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
        return {
            index: int(bar.end * self._output)
            for index, bar in in_quarters(self._part, wanted).items()
        }

    def signs(self) -> Iterator[tuple[int, Sign]]:
        """Tempo, rehearsal marks and the like: index of the bar, and the sign in its place."""
        speaking = {
            index
            for index, bar in enumerate(self._part.bars)
            if (b"<direction" in bar or b"<sound" in bar) and _SPEAKING.search(bar)
        }
        bars = in_quarters(self._part, speaking, without=LEFT_ON_THE_PAGE)
        for index, bar in bars.items():
            for event in bar.events:
                if event.tag in {"direction", "sound"}:
                    onset = int(bar.onset(event) * self._output)
                    scale = self._output / bar.divisions_at(event.place)
                    for sign in _signs(event, onset, scale):
                        yield index, sign


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
