"""What is asked of a part of the sketch, and its bars as they were read."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import msgspec

if TYPE_CHECKING:
    from collections.abc import Callable

    from rewriter.musicxml.note_shapes import NoteShape
    from rewriter.sketch.frame import FrameBar
    from rewriter.sketch.model import Note, Sign


class Wanted(NamedTuple):
    """Which notes of a part make the voice.

    Attributes:
        voice: its name; empty where the part has one voice only.
        staff: it stands on.
        signs: staff whose dynamics and hairpins count, where its own has none; else empty.
        only_staff: True where the voice name is used on two staves for two voices.
    """

    voice: str = ""
    staff: str = "1"
    only_staff: bool = False
    signs: str = ""

    def takes(self, shape: NoteShape) -> bool:
        """True when a note belongs to the voice."""
        return (not self.voice or shape.voice == self.voice) and (
            not self.only_staff or shape.staff == self.staff
        )


class RawBar(NamedTuple):
    """A bar as read: its frame, the voice's notes and all signs, and how far the music goes.

    Attributes:
        frame: what all parts share.
        items: in document order.
        end: divisions; the furthest any voice of the part reaches.
        sorted: False where items must be put in order of their onsets.
        silenced: True where notes were made rests (cue and unpitched notes) or left out.
        loud: True where the voice has dynamics or ends of hairpins.
        rests: True where the voice has rests.
        chords: False where there are no chords for certain.
        signs: False where there are only notes and rests for certain.
    """

    frame: FrameBar
    items: list[Note | Sign]
    end: int
    sorted: bool
    silenced: bool
    loud: bool = False
    rests: bool = False
    chords: bool = True
    signs: bool = True


class Keep(msgspec.Struct, frozen=True):
    """What is carried only on request, and what is not for players.

    Attributes:
        lyrics: in the lines.
        harmony: chord symbols, on the top part.
        is_layout: says which words between square brackets are for the tool; the others are an
            editor's and are carried.
    """

    lyrics: bool = False
    harmony: bool = False
    is_layout: Callable[[str], bool] = bool
