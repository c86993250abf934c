"""Accidentals of ornaments, moved to another key with the notes they belong to.

The mark over a trill or turn names the alteration of the note above, one under it that of the
note below. In another key the same neighbour may need another sign.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.accidentals import alteration_of, name_of
from rewriter.musicxml.escaping import word
from rewriter.theory.fifths import transpose
from rewriter.theory.pitch import STEPS, Pitch

if TYPE_CHECKING:
    from rewriter.musicxml.note_shapes import Notation, NoteShape
    from rewriter.sketch.model import SketchPitch
    from rewriter.theory.fifths import Interval

MARK: Final = "accidental-mark"
_TEXT: Final = re.compile(rb">([^<]*)<")
_BELOW: Final = b'placement="below"'


def has_marks(shape: NoteShape) -> bool:
    """True when an ornament of a note has an accidental."""
    return any(notation.tag == MARK for notation in shape.notations)


def with_moved_marks(shape: NoteShape, pitch: SketchPitch, interval: Interval) -> NoteShape:
    """A shape with the accidentals of its ornaments as the new key wants them.

    Args:
        shape: of a note.
        pitch: of the note, moved already.
        interval: it was moved by.
    """
    moved = [
        _moved(notation, pitch, interval) if notation.tag == MARK else notation
        for notation in shape.notations
    ]
    return shape.derived(notations=moved)


def _moved(notation: Notation, pitch: SketchPitch, interval: Interval) -> Notation:
    match = _TEXT.search(notation.data)
    alter = alteration_of(match[1].decode().strip()) if match else None
    if match is None or alter is None:
        return notation
    before = transpose(Pitch(pitch.step, pitch.alter, pitch.octave), interval.reversed())
    way = -1 if _BELOW in notation.data else 1
    neighbour = Pitch(STEPS[(STEPS.index(before.step) + way) % len(STEPS)], alter, 4)
    name = name_of(transpose(neighbour, interval).alter)
    if not name:
        return notation
    data = _TEXT.sub(b">%b<" % word(name), notation.data, count=1)
    return notation._replace(data=data)
