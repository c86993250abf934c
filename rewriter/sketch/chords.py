"""Chords: one note of them alone, or some of them to be divided among a section."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, NamedTuple

import msgspec

from rewriter.sketch.shaping import kind_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.musicxml.note_shapes import Notation, NoteShape
    from rewriter.rulefiles.words import Chords
    from rewriter.sketch.model import Note

_OF_CHORDS = frozenset(("arpeggiate", "non-arpeggiate"))
LOWER_NOTES = "lower notes of chords"
_OF_ONE_NOTE = frozenset(("tied", "accidental-mark"))


def gather(notes: Sequence[Note], chords: Chords) -> Note:
    """One note out of the members of a chord, first in the document first.

    ``top`` keeps the highest note, ``divide`` keeps them all.
    """
    if chords == "divide":
        notes[0].chord = tuple(notes[1:])
        return notes[0]
    return as_chord(notes, [max(notes, key=_height)])


def as_chord(notes: Sequence[Note], chosen: Sequence[Note]) -> Note:
    """Some notes of a chord in its place in the rhythm.

    Every slur, articulation and sign that any note of the chord had stays; ties stay with
    their notes.

    Args:
        notes: all of the chord, first in the document first.
        chosen: those that are played, at least one.
    """
    first, *others = chosen
    shapes = [note.shape for note in notes]
    first.shape = _with_all_signs(notes[0].shape, first.shape, shapes, alone=not others)
    first.onset, first.length = notes[0].onset, notes[0].length
    for other in others:
        kept = [n for n in other.shape.notations if n.tag in _OF_ONE_NOTE and not n.family]
        other.shape = other.shape.derived(without={"beam"}, notations=kept, chord=True)
    first.chord = tuple(others)
    return first


class SettledChord(msgspec.Struct, frozen=True):
    """A chord of the sketch, and what of it is not played, kind → count.

    Attributes:
        bar: index from 0.
        onset: divisions from the start of the bar.
        merged: signs that several of its notes had and that now stand once.
        dropped: notes, and signs that went with them.
    """

    bar: int
    onset: int
    merged: Counter[str]
    dropped: Counter[str]


class Settled(NamedTuple):
    """Kind → count: what is still there, and what has gone with notes of chords."""

    carried: Counter[str]
    gone: Counter[str]


def settled_chord(bar: int, shapes: Sequence[NoteShape], settled: Note) -> SettledChord:
    """Compare a chord of the sketch with what was made of it.

    Args:
        bar: index from 0.
        shapes: of its notes, as they were.
        settled: what is played.
    """
    played = (settled, *settled.chord)
    lower = len(shapes) - len(played)
    if not any(shape.notations for shape in shapes):
        return SettledChord(bar, settled.onset, Counter(), +Counter({LOWER_NOTES: lower}))
    kept = [notation for note in played for notation in note.shape.notations]
    before = Counter(kind for shape in shapes for kind in map(kind_of, shape.notations) if kind)
    after = Counter(filter(None, map(kind_of, kept)))
    names = {(notation.tag, notation.type) for notation in kept}
    gone = Counter(
        kind_of(notation)
        for shape in shapes
        for notation in shape.notations
        if (notation.tag, notation.type) not in names and kind_of(notation)
    )
    merged = before - after - gone
    gone[LOWER_NOTES] = lower
    return SettledChord(bar, settled.onset, merged, +gone)


def less_chords(carried: dict[str, int], chords: Sequence[SettledChord]) -> Settled:
    """Counts of a voice, less what stands once or not at all where its chords were settled.

    Args:
        carried: kind → count, as the sketch has it.
        chords: of the voice, or of stretches of it.
    """
    gone: Counter[str] = Counter()
    merged: Counter[str] = Counter()
    for chord in chords:
        merged.update(chord.merged)
        gone.update(chord.dropped)
    return Settled(Counter(carried) - merged - gone, gone)


def _height(note: Note) -> float:
    return note.pitch.midi if note.pitch else -1.0


def _with_all_signs(
    first: NoteShape, chosen: NoteShape, shapes: Sequence[NoteShape], *, alone: bool
) -> NoteShape:
    """The first note's place in the rhythm, the chosen one's ties, everybody's signs."""
    notations: list[Notation] = []
    seen: set[tuple[str, str, str, str]] = set()
    for shape in shapes:
        before = frozenset(seen)  # a note may have several of a kind
        for notation in shape.notations:
            key = (notation.family, notation.tag, notation.type, notation.number)
            own = notation.tag in _OF_ONE_NOTE and not notation.family
            if (alone and notation.tag in _OF_CHORDS) or (own and shape is not chosen):
                continue
            if key not in before:
                seen.add(key)
                notations.append(notation)
    own_children = {"tie-start", "tie-stop", "notehead", "notehead-text"}
    single = first.derived(
        without=own_children,
        notations=notations,
        add=[child for child in chosen.children if child[0] in own_children],
        chord=False,
    )
    single.printed = chosen.printed
    return single
