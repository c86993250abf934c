"""Chords in the tune: the top note alone, or all notes to be divided among the section."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.musicxml.note_shapes import Notation, NoteShape
    from rewriter.sketch.model import Note

Chords = Literal["top", "divide"]

_OF_CHORDS = frozenset(("arpeggiate", "non-arpeggiate"))
_OF_ONE_NOTE = frozenset(("tied", "accidental-mark"))


def gather(notes: Sequence[Note], chords: Chords) -> Note:
    """One note out of the members of a chord, first in the document first.

    ``top`` keeps the highest note, with every slur, articulation and sign any member had and
    the ties of its own. ``divide`` keeps them all, the others as `chord` of the first.
    """
    first = notes[0]
    if chords == "divide":
        first.chord = tuple(notes[1:])
        return first
    top = max(notes, key=lambda note: note.pitch.midi if note.pitch else -1.0)
    first.shape = _as_single(first.shape, top.shape, [note.shape for note in notes])
    first.pitch = top.pitch
    return first


def member(notes: Sequence[Note], place: int) -> Note:
    """One note of a chord, counted from the top; its lowest where there are fewer."""
    by_height = sorted(notes, key=lambda note: -(note.pitch.midi if note.pitch else -1.0))
    chosen = by_height[min(place, len(by_height) - 1)]
    first = notes[0]
    first.shape = _as_single(first.shape, chosen.shape, [note.shape for note in notes])
    first.pitch = chosen.pitch
    return first


def _as_single(first: NoteShape, top: NoteShape, shapes: Sequence[NoteShape]) -> NoteShape:
    """The first member's place in the rhythm, the chosen note's ties, everybody's signs."""
    notations: list[Notation] = []
    seen: set[tuple[str, str, str, str]] = set()
    for shape in shapes:
        for notation in shape.notations:
            key = (notation.family, notation.tag, notation.type, notation.number)
            own = notation.tag in _OF_ONE_NOTE
            if notation.tag in _OF_CHORDS or (own and shape is not top) or key in seen:
                continue
            seen.add(key)
            notations.append(notation)
    ties = [child for child in top.children if child[0] in {"tie-start", "tie-stop"}]
    heads = [child for child in top.children if child[0] in {"notehead", "notehead-text"}]
    single = first.derived(
        without={"tie-start", "tie-stop", "notehead", "notehead-text"},
        notations=notations,
        add=[*ties, *heads],
        chord=False,
    )
    single.printed = top.printed
    return single
