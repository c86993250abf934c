"""What a score is made of, for comparing: things of a kind, each at its place.

A thing says in plain text what it is, without anything that a notation program changes when it
saves: numbers that only connect two ends, places on the page, defaults spelled out.
"""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING, Any, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Hashable

    from rewriter.theory.metre import Metre
    from rewriter.theory.pitch import Pitch

NEARLY: Final = frozenset(
    ("dynamic", "hairpin", "words", "clef", "8va line", "pedal", "line", "rehearsal mark",
     "tempo", "jump", "chord symbol", "figures", "direction")
)  # fmt: skip
"""Signs of time: within half a beat they stand at the same place."""

AT_THE_EDGE: Final = frozenset(("barline", "repeat", "ending"))
"""What belongs to a bar and its edges; where in the bar is not asked."""

STANDS_ONCE: Final = frozenset(
    ("rehearsal mark", "tempo", "repeat", "ending", "page break", "system break")
)
"""What is one thing for the whole score, in however many parts a program writes it."""

BAR_SIGNS: Final = frozenset(("barline", "metre", "key", "fermata", "jump", "bar"))
"""What all parts have together: the same difference in all of them is told once."""


class Sign(NamedTuple):
    """Something a note, a direction or a barline says.

    Attributes:
        kind: as things have it.
        what: what it says.
        end: ``start`` or ``stop`` for one end of what spans; empty for the rest.
        number: what connects two ends.
    """

    kind: str
    what: str
    end: str = ""
    number: str = "1"


HEADING: Final = -1
"""Index of the bar in which names and the like stand: before the first."""


class Point(NamedTuple):
    """A place in time, told apart among grace notes.

    Attributes:
        bar: index from 0; :data:`HEADING` for what the part list and the title say.
        onset: divisions from the start of the bar.
        grace: 0 but for grace notes: -1 for the one just before the note, -2 before that.
    """

    bar: int
    onset: int = 0
    grace: int = 0


class Thing(NamedTuple):
    """One thing in a score.

    Attributes:
        kind: such as ``slur``; what is compared with what.
        what: what it says, as text; empty where the kind says it all.
        at: where it stands or begins.
        voice: as the file numbers it; empty for what belongs to no voice.
        staff: counted from the top, as text; empty for what belongs to all.
        until: where what spans ends; None for the rest, and where an end is missing.
        place: index among the bar's elements, as in ``scores.events``; -1 for none.
    """

    kind: str
    what: str
    at: Point
    voice: str = ""
    staff: str = ""
    until: Point | None = None
    place: int = -1


class Note(NamedTuple):
    """A note with all that is its own, not its chord's.

    Attributes:
        thing: where it is; `what` is its sounding pitch, or the line of one without pitch.
        pitch: as it sounds; None for a note without pitch.
        length: divisions; 0 for grace notes.
        says: kind and text of what else is told of it, such as ``tie``; `length` in quarters.
    """

    thing: Thing
    pitch: Pitch | None
    length: int
    says: dict[str, str]


class Twins:
    """Bars that say the same in the same surroundings: what is worked out of one holds for all.

    Attributes:
        known: what has been, by what it is; places in it are within the bar.
    """

    __slots__ = ("known",)

    def __init__(self) -> None:
        self.known: dict[Hashable, Any] = {}


class Bar(NamedTuple):
    """A bar and what is in it.

    Attributes:
        notes: in document order, rests left out.
        things: all else, what spans in the bar where it begins.
        length: divisions, as far as notes reach.
        beat: divisions of a beat as it is felt.
        metre: in force; None where none is.
        twins: the bars that say the same, what spans aside; None where nobody has looked.
    """

    notes: list[Note]
    things: list[Thing]
    length: int
    beat: int
    metre: Metre | None = None
    twins: Twins | None = None


def plain_text(text: str | None) -> str:
    r"""A text as it is read: trimmed, one space between words, letters in one encoding.

    >>> plain_text("  poco  a\n poco ")
    'poco a poco'
    """
    return unicodedata.normalize("NFC", " ".join((text or "").split()))
