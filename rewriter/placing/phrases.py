"""Phrases: where a line breathes, so that somebody else may go on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import msgspec

from rewriter.placing.seams import at_barline
from rewriter.sketch.listening import notes_in, notes_of

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from rewriter.placing.seams import Notes
    from rewriter.sketch.frame import Frame

_BREATHS: Final = frozenset(("breath-mark", "caesura", "fermata"))
_SECTION_ENDS: Final = (b"light-light", b"heavy", b"<repeat", b"<fermata")


class Breathing(msgspec.Struct, frozen=True):
    """What bars tell of phrases.

    Attributes:
        closing: bars that end a section of the piece: by a double bar, a repeat, a pause on
            the barline.
        beats: for every bar the shortest beat felt, in divisions.
        eighth: divisions.
    """

    closing: Collection[int]
    beats: Sequence[float]
    eighth: float


def breathing(frame: Frame) -> Breathing:
    """What the bars of a frame tell of phrases."""
    bars = frame.bars
    closing = frozenset(
        at
        for at, bar in enumerate(bars)
        if (bar.right and any(sign in bar.right for sign in _SECTION_ENDS))
        or (at + 1 < len(bars) and b"<repeat" in bars[at + 1].left)
    )
    divisions = frame.divisions
    metres = {id(bar.metre): bar.metre for bar in bars}  # a metre is dear to compare
    beats = {
        at: divisions * float(min(metre.groups, default=1)) for at, metre in metres.items()
    }
    return Breathing(closing, [beats[id(bar.metre)] for bar in bars], divisions / 2)


def ends_phrase(notes: Notes, at: int) -> bool:
    """True where a phrase ends behind a note: the line breathes there or ends.

    By a rest of a beat, or of an eighth behind a longer note: shorter ones only detach. By a
    breath mark, a caesura, a fermata, a double bar, a repeat. The end of a slur alone is none:
    nothing tells a phrase from a bow.

    Source: common practice, no source.
    """
    if at + 1 == len(notes.soundings):
        return True
    before, after = notes.soundings[at : at + 2]
    if notes.bound[at] or before.group == after.group >= 0:
        return False
    voice, told, end = notes.voice, notes.breathing, notes.ends[at]
    rest, bar = after.start - end, voice.timeline.ending(end).bar
    if rest >= told.beats[bar] or (rest >= told.eighth and end - before.start > rest):
        return True
    if bar in told.closing and at_barline(notes, at):
        return True
    return any(
        sign.tag in _BREATHS
        for bar, place in notes_of(voice, notes.soundings, at, at)
        for sign in notes_in(voice, bar)[place].shape.notations
    )
