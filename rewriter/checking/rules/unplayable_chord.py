"""A chord of everybody in a section that one hand cannot stop."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.checking.dividing import divided, who_judges
from rewriter.checking.hands import Hands, hard_for_one, named, parts_of_hands
from rewriter.checking.rule import Rule, Said

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.checking.rule import Mend, Unmended
    from rewriter.scores.voices import Chord, Voice, VoiceNote


_BARS_APART = 2
"""Bars with single notes between chords, in which a section stays divided."""


class HardChords(NamedTuple):
    """Chords that a section would divide for once, were it told.

    They lie no more than two bars apart, or have only chords between them.

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
    for part in parts_of_hands(score):
        if score.score.parts[part].having(b"<chord"):
            for voice in score.voices(part):
                yield from _in_voice(score, part, voice, parameters)


def _in_voice(score: Finished, part: int, voice: Voice, hands: Hands) -> Iterator[HardChords]:
    section, divisions = score.players[part].sections[0], score.divisions(part)
    run: HardChords | None = None
    single = False
    for at, chord in enumerate(voice.chords):
        notes = chord.notes
        if len(notes) == 1 or not _is_struck(chord):
            single = single or (len(notes) == 1 and notes[0].sounding is not None)
            continue
        what = hard_for_one(notes, section, hands)
        if not what or divisions.divided(notes[0].time, notes[0].form.staff):
            continue
        if run and _goes_on(score, run, notes[0], single=single):
            run.chords.append(at)
            single = False
            continue
        if run:
            yield run
        run, single = HardChords(part, voice, [at], what), False
    if run:
        yield run


def _goes_on(score: Finished, run: HardChords, note: VoiceNote, *, single: bool) -> bool:
    """True where a chord is divided with those before it, words being as they are.

    Args:
        score: they are in.
        run: those before it.
        note: of the chord.
        single: True where a single note lies between.
    """
    last, divisions = run.notes(-1)[0], score.divisions(run.part)
    if single and note.bar > last.bar + _BARS_APART:
        return False
    staff = note.form.staff
    told = divisions.last(last.time, staff) == divisions.last(note.time, staff)
    return told and score.movement(note.bar) == score.movement(last.bar)


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
    return Said(
        at.place(fact.part, notes[0].bar, notes[0].time, notes[0].form.voice),
        f"{fact.what}{rest}{until}; {who_judges(section)}",
        named(notes),
        "a chord for one hand",
    )


def mend(score: Finished, fact: HardChords, _: Hands) -> Mend | Unmended:
    """Print div. over the first, and unis. over the single note behind them."""
    return divided(score, fact.part, fact.notes(0)[0], fact.notes(-1)[0].end)


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
