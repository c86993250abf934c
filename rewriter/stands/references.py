"""What in a part names something by its id that only another part of the score has.

A part by itself has its own instruments and players alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.musicxml.note_reading import serialised
from rewriter.scores.references import forget_strangers, names_strangers, own_names

if TYPE_CHECKING:
    from rewriter.stands.copying import PartCopy


def forget_other_parts(part: PartCopy) -> None:
    """Leave out what names instruments and players of other parts.

    Args:
        part: its bars are changed.
    """
    own = own_names(part.of.entry)
    for index, bar in enumerate(part.bars):
        if names_strangers(bar, own):
            measure = part.tree(index)
            forget_strangers(measure, own)
            part.bars[index] = serialised(measure)
