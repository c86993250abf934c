"""Music given to a bar: notes and signs at exact moments, in no file's way to write them."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from fractions import Fraction

    from rewriter.musicxml.note_shapes import Notation
    from rewriter.theory.pitch import Pitch


class Note(NamedTuple):
    """A note or rest.

    Attributes:
        onset: quarters from the start of the bar.
        length: quarters; 0 for a grace note.
        pitch: sounding; None for a rest, or for what `more` has instead.
        chord: True when it sounds with the note before it.
        staff: counted from the top, as text; empty where it is not said.
        starts_tie: True when a tie begins here.
        stops_tie: True when one ends here.
        accidental: ``<accidental>`` it should print though it need not; left out where it does
            not mean the pitch. Signs it needs are found without.
        notations: signs such as slurs and articulations.
        more: other children of the ``<note>``, as bytes, in any order: ``<grace>``, ``<cue>``,
            ``<rest measure="yes"/>``, ``<unpitched>``, beams, lyrics ...
        opening: the ``<note>`` tag.
        spelled: True where `more` has all that says how length and ties are written; else
            type, dots, tuplets and ties are written from `length` and the ties above.
    """

    onset: Fraction
    length: Fraction
    pitch: Pitch | None = None
    chord: bool = False
    staff: str = ""
    starts_tie: bool = False
    stops_tie: bool = False
    accidental: bytes = b""
    notations: tuple[Notation, ...] = ()
    more: tuple[bytes, ...] = ()
    opening: bytes = b"<note>"
    spelled: bool = False

    @property
    def end(self) -> Fraction:
        """Quarters from the start of the bar."""
        return self.onset + self.length


class Sign(NamedTuple):
    """What takes no time: a direction, a harmony, a clef in its ``<attributes>``.

    Attributes:
        onset: quarters from the start of the bar.
        data: the element; an ``<offset>`` in it counts in the divisions of the bar.
    """

    onset: Fraction
    data: bytes


def tag_of(data: bytes) -> str:
    """Name of an element given as bytes; empty for a comment or processing instruction.

    >>> tag_of(b'<rest measure="yes"/>'), tag_of(b"<cue/>"), tag_of(b"<!-- x -->")
    ('rest', 'cue', '')
    """
    if data.startswith((b"<!", b"<?")):
        return ""
    end = min(at for at in map(data.find, (b" ", b">", b"/", b"\n", b"\t", b"\r")) if at > 0)
    return data[1:end].decode()
