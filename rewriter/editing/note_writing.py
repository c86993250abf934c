"""A ``<note>`` from what it is: children in the order of the schema."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.editing.music import tag_of
from rewriter.musicxml.escaping import escaped, word
from rewriter.musicxml.note_shapes import HIGHEST_OCTAVE
from rewriter.musicxml.schema_order import ORDER, place

if TYPE_CHECKING:
    from fractions import Fraction

    from rewriter.editing.music import Note
    from rewriter.theory.pitch import Pitch


def note_bytes(
    note: Note, voice: str, duration: Fraction, written: Pitch | None, accidental: bytes
) -> bytes:
    """The element.

    Args:
        note: its length and ties already told by `more`.
        voice: its name; empty where it is not said.
        duration: divisions.
        written: pitch as the staff shows it.
        accidental: the element it prints; empty for none.
    """
    children = list(note.more)
    tags = {tag_of(child) for child in children}
    if note.chord:
        children.append(b"<chord/>")
    if written is not None:
        children.append(pitch_bytes(written))
    elif not tags & {"rest", "unpitched", "pitch"}:
        children.append(b"<rest/>")
    if note.length:
        children.append(b"<duration>%b</duration>" % number(duration))
    if voice:
        children.append(b"<voice>%b</voice>" % escaped(voice))
    if note.staff:
        children.append(b"<staff>%b</staff>" % escaped(note.staff))
    if accidental:
        children.append(accidental)
    return note.opening + b"".join(_in_order(children)) + b"</note>"


def _in_order(children: list[bytes]) -> list[bytes]:
    """Sorted as the schema wants; what it does not know stays behind what it stood behind."""
    at = 0
    keyed = []
    for child in children:
        tag = tag_of(child)
        at = place("note", tag) if tag in ORDER["note"] else at
        keyed.append((at, child))
    return [child for _, child in sorted(keyed, key=lambda pair: pair[0])]


def pitch_bytes(pitch: Pitch) -> bytes:
    """The ``<pitch>`` of a written pitch.

    Raises:
        ValueError: its octave has no digit in MusicXML.
    """
    if not 0 <= pitch.octave <= HIGHEST_OCTAVE:
        raise ValueError(f"{pitch} lies in no octave that can be written")
    alter = b"<alter>%b</alter>" % word(f"{pitch.alter:g}") if pitch.alter else b""
    return b"<pitch><step>%b</step>%b<octave>%d</octave></pitch>" % (
        word(pitch.step), alter, pitch.octave,
    )  # fmt: skip


def number(value: Fraction) -> bytes:
    """A number as MusicXML writes it.

    >>> from fractions import Fraction
    >>> number(Fraction(12)), number(Fraction(5, 2))
    (b'12', b'2.5')
    """
    whole = value.denominator == 1
    return b"%d" % value.numerator if whole else word(f"{float(value):.12g}")
