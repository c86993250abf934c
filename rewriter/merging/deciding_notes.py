"""What becomes of edits of notes: a voice in a bar is one thing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.comparing.contents import UNMOVED
from rewriter.merging.decisions import Decision
from rewriter.merging.steps import Sung
from rewriter.theory.fifths import Interval, transpose

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Iterator, Sequence

    from rewriter.comparing.things import Note
    from rewriter.merging.decisions import Prefer, Spot
    from rewriter.merging.edits import Edit
    from rewriter.merging.three import Three

_OCTAVE: Final = 12
_STEPS: Final = 7


class NotesOfBar:
    """The notes of an edit in the three scores."""

    def __init__(self, three: Three, edit: Edit, spot: Spot) -> None:
        if edit.part is None or edit.bar is None or edit.made is None:
            raise ValueError(f"an edit of notes is in a part and a bar: {edit}")
        self.made_part, self.made = edit.part.b or 0, edit.made
        part, bar = edit.part.a or 0, edit.bar
        self._spot = spot
        self._edit = edit
        self._by = three.move(bar)
        self._hand = three.hand_pair(edit.part, bar).voices
        self._now = {one: two for two, one in three.new_pair(part, bar).voices.items()}
        self._base = three.bar(three.moved, part, bar).notes
        self._edited = three.bar(three.edited, self.made_part, self.made).notes
        bar_now = three.bar(three.new, spot.part, spot.bar)
        self._new = bar_now.notes
        self._signs = [thing for thing in bar_now.things if thing.voice]
        self._signs_before = {thing[:3] for thing in three.bar(three.moved, part, bar).things}

    @property
    def made_voices(self) -> frozenset[str]:
        """Voices of the edited score that it is about."""
        known = {two for two, one in self._hand.items() if one in self._edit.voices}
        return self._edit.others | known

    def octaves(self) -> int | None:
        """How many octaves higher the new score has the base's notes; None for other notes."""
        found = {
            _octaves(
                [note for note in self._base if note.thing.voice == voice],
                [note for note in self._new if note.thing.voice == self._now.get(voice)],
            )
            for voice in self._edit.voices
        }
        if self._edit.others and any(note.thing.voice in self._added for note in self._new):
            return None
        told = found - {0}
        if None in found or len(told) > 1:
            return None
        return next((one for one in told if one), 0)

    @property
    def _added(self) -> set[str]:
        """Voices of the new score that the base has not."""
        return {note.thing.voice for note in self._new} - set(self._now.values())

    @property
    def _answering(self) -> set[str]:
        """Voices of the new score that it is about."""
        voices = {self._now[voice] for voice in self._edit.voices if voice in self._now}
        return voices | (self._added if self._edit.others else set())

    def is_there(self) -> bool:
        """True where the new score has what the hand made; of beams it is not known."""
        if any(one.kind == "beam" for one in self._edit.differences):
            return False
        made = [note for note in self._edited if note.thing.voice in self.made_voices]
        wanted = sorted(map(repr, (_said(note, self._by) for note in made)))
        there = [note for note in self._new if note.thing.voice in self._answering]
        return wanted == sorted(map(repr, (_said(note, UNMOVED) for note in there)))

    def bare_sign(self) -> bool:
        """True where a sign that the new score has added would lose its note."""
        made = {
            note.thing.at[1:] for note in self._edited if note.thing.voice in self.made_voices
        }
        return any(
            thing.voice in self._answering
            and thing.at[1:] not in made
            and (thing.kind, thing.what, thing.at._replace(bar=self._edit.bar or 0))
            not in self._signs_before
            for thing in self._signs
        )

    def steps(self, octaves: int) -> Iterator[Sung]:
        """The notes put in, voice by voice."""
        by = Interval(self._by.steps + _STEPS * octaves, self._by.semitones + _OCTAVE * octaves)
        voices = [
            (self._now.get(voice, ""), [two for two, one in self._hand.items() if one == voice])
            for voice in sorted(self._edit.voices)
        ]
        voices += [("", [voice]) for voice in sorted(self._edit.others)]
        for voice, made in voices:
            staff = self._staff(voice, made)
            yield Sung(
                self._spot.part, self._spot.bar, voice, staff,
                self.made_part, self.made, tuple(made), by,
            )  # fmt: skip

    def _staff(self, voice: str, made: Sequence[str]) -> str:
        notes = [note for note in self._edited if note.thing.voice in made]
        notes += [note for note in self._new if note.thing.voice == voice]
        notes += [note for note in self._base if note.thing.voice in self._edit.voices]
        return notes[0].thing.staff if notes else "1"

    @property
    def theirs(self) -> str:
        """What the new score has."""
        return notes_text(note for note in self._new if note.thing.voice in self._answering)

    @property
    def mine(self) -> str:
        """What the hand made."""
        return notes_text(note for note in self._edited if note.thing.voice in self.made_voices)


def decide_notes(three: Three, edit: Edit, spot: Spot, prefer: Prefer) -> Decision:
    """Decide about notes of a voice in a bar.

    Args:
        three: the scores.
        edit: of notes.
        spot: where it belongs.
        prefer: whose version stands in a conflict; the new one where it is not said.
    """
    notes = NotesOfBar(three, edit, spot)
    if notes.is_there():
        return Decision(edit, "carried", "the new score has it too", bar=spot.bar)
    octaves = None if spot.is_another else notes.octaves()
    if octaves is not None and not notes.bare_sign():
        return Decision(edit, "carried", steps=tuple(notes.steps(octaves)), bar=spot.bar)
    why = "another bar stands there now" if spot.is_another else "its notes are others now"
    if octaves is not None:
        why = "a new sign stands on one of its notes"
    won = prefer or "new"
    steps = tuple(notes.steps(octaves or 0)) if won == "hand" else ()
    return Decision(edit, "conflict", why, steps, bar=spot.bar, won=won, theirs=notes.theirs)


def notes_text(notes: Iterable[Note], by: Interval = UNMOVED) -> str:
    """Notes in a row, such as ``C5 1, D5 1/2``: names and quarters; of grace notes the name.

    Args:
        notes: of a bar.
        by: they are told so much higher.
    """
    said = [
        " ".join(filter(None, (_name(note, by), note.says.get("length", ""))))
        for note in sorted(notes, key=lambda note: note.thing.at)
    ]
    return ", ".join(said) or "nothing"


def _said(note: Note, by: Interval) -> Hashable:
    """All that a note says, but what is its voice."""
    says = tuple(sorted(note.says.items()))
    return note.thing.at[1:], _name(note, by), note.length, says


def _name(note: Note, by: Interval) -> str:
    if note.pitch and by != UNMOVED:
        return str(transpose(note.pitch, by))
    return note.thing.what


def _octaves(base: Sequence[Note], new: Sequence[Note]) -> int | None:
    """Octaves from some notes to others that are the same but for them; None for others."""
    if len(base) != len(new):
        return None
    octaves = set()
    for one, two in zip(sorted(base, key=_in_order), sorted(new, key=_in_order), strict=True):
        if one.thing.at[1:] != two.thing.at[1:] or one.length != two.length:
            return None
        if one.says != two.says:
            return None
        if one.pitch is None or two.pitch is None:
            if one.thing.what != two.thing.what:
                return None
        elif one.pitch[:2] != two.pitch[:2]:
            return None
        else:
            octaves.add(two.pitch.octave - one.pitch.octave)
    return octaves.pop() if len(octaves) == 1 else None if octaves else 0


def _in_order(note: Note) -> tuple[object, ...]:
    return note.thing.at[1:], note.pitch.midi if note.pitch else 0
