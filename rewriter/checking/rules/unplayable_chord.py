"""A chord of everybody in a section that one hand cannot stop."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.checking.dividing import one_player, told_before, who_judges, why_not_divided
from rewriter.checking.hands import Hands, hard_for_one, named
from rewriter.checking.rule import Mend, Rule, Said, Unmended

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.editing.edits import Edit
    from rewriter.scores.voices import Chord, Voice, VoiceNote


class HardChords(NamedTuple):
    """Chords in bars that follow each other.

    Attributes:
        part: index in score order.
        voice: they are in.
        chords: those that cannot be played, as places among those of the voice.
        what: is wrong with the first.
    """

    part: int
    voice: Voice
    chords: list[int]
    what: str

    def notes(self, which: int) -> tuple[VoiceNote, ...]:
        """Notes of one of them, counted as in ``chords``."""
        return self.voice.chords[self.chords[which]].notes


def find(score: Finished, parameters: Hands) -> Iterator[HardChords]:
    """Chords that one player cannot play, where the section is not divided."""
    for part in score.of_sections:
        sections = score.players[part].sections
        # Cellos and basses on one staff have a note each.
        if len(sections) == 1 and score.score.parts[part].having(b"<chord"):
            for voice in score.voices(part):
                yield from _in_voice(score, part, voice, parameters)


def _in_voice(score: Finished, part: int, voice: Voice, hands: Hands) -> Iterator[HardChords]:
    section, divisions = score.players[part].sections[0], score.divisions(part)
    run: HardChords | None = None
    for at, chord in enumerate(voice.chords):
        notes = chord.notes
        if len(notes) == 1 or not _is_struck(chord):
            continue
        what = hard_for_one(notes, section, hands)
        if not what or divisions.divided(notes[0].time, notes[0].form.staff):
            continue
        if run and notes[0].bar <= run.notes(-1)[0].bar + 1:
            run.chords.append(at)
            continue
        if run:
            yield run
        run = HardChords(part, voice, [at], what)
    if run:
        yield run


def _is_struck(chord: Chord) -> bool:
    """True for what is played anew and for all: neither a cue, nor tied on, nor hidden."""
    first = chord.notes[0].form
    return not (first.cue or first.hidden) and not all(n.form.stops_tie for n in chord.notes)


def say(fact: HardChords, at: Finished, _: Hands) -> Said:
    """Say which notes, and how many chords more."""
    notes, section = fact.notes(0), at.players[fact.part].sections[0]
    more = len(fact.chords) - 1
    rest = f", and so with {more} more {'chord' if more == 1 else 'chords'}" if more else ""
    last = fact.notes(-1)[0].bar
    until = f" up to bar {at.printed(fact.part, last)}" if last != notes[0].bar else ""
    divide = "" if one_player(section) else "print div., or "
    return Said(
        at.place(fact.part, notes[0].bar, notes[0].time, notes[0].form.voice),
        f"{fact.what}{rest}{until}; {divide}let {who_judges(section)} judge",
        named(notes),
        "a chord for one hand",
    )


def mend(score: Finished, fact: HardChords, _: Hands) -> Mend | Unmended:
    """Print div. over the first, and unis. over the single note behind them."""
    first = fact.notes(0)[0]
    if refusal := why_not_divided(score, fact.part, first):
        return refusal
    behind, divided = _behind(fact), fact.voice.chords[fact.chords[0] : fact.chords[-1] + 1]
    if any(len(chord.notes) > 2 for chord in divided):  # noqa: PLR2004 - two lines
        return Unmended("chords of more than two notes can be divided in several ways")
    if _beside_others(score, fact, first.time, behind):
        return Unmended("there is another voice on the staff")
    edits: list[Edit] = [told_before(score, fact.part, first, "div")]
    if behind is None or score.movement(behind.bar) != score.movement(first.bar):
        return Mend("print div.", tuple(edits))
    edits.append(told_before(score, fact.part, behind, "unis"))
    return Mend("print div., and unis. behind it", tuple(edits))


def _behind(fact: HardChords) -> VoiceNote | None:
    """The first note behind the chords that is not one of two."""
    for chord in fact.voice.chords[fact.chords[-1] + 1 :]:
        first = chord.notes[0]
        tied = all(note.form.stops_tie for note in chord.notes)
        if first.sounding is not None and not tied and len(chord.notes) != 2:  # noqa: PLR2004
            return first
    return None


def _beside_others(
    score: Finished, fact: HardChords, start: int, behind: VoiceNote | None
) -> bool:
    end = behind.time if behind else fact.notes(-1)[0].end
    others: Sequence[Voice] = [v for v in score.voices(fact.part) if v is not fact.voice]
    return any(
        start <= note.time < end
        for voice in others
        for note in voice.notes
        if note.sounding is not None
    )


RULE = Rule(
    id="unplayable-chord",
    title="chord that one hand cannot stop",
    why="Without div. every player of a section plays all notes of a chord. They must lie on "
    "neighbouring strings, and the stopped ones within reach of one hand.",
    instead="Print div., move a note by an octave, or let the section leader judge.",
    source="acoustics of the string for how the reach grows up the fingerboard; how far a hand "
    "reaches: from memory",
    severity="warning",
    about=HardChords,
    say=say,
    parameters=Hands(),
    mends="certain",
    find=find,
    mend=mend,
)
