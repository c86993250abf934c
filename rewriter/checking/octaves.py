"""Notes out of range put an octave up or down, with the slur they are under."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.checking.rule import Mend, Unmended
from rewriter.editing.edits import InBar
from rewriter.editing.repitching import repitched
from rewriter.placing.limits import PlayedLine, beyond
from rewriter.placing.relief import Relief, relieve

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.checking.finished_lines import PartLine
    from rewriter.editing.edits import Edit
    from rewriter.placing.facts import NoteBeyond
    from rewriter.scores.voices import Joined, VoiceNote
    from rewriter.sketch.model import Sounding
    from rewriter.theory.fifths import Interval
    from rewriter.theory.pitch import Pitch

_OCTAVE: Final = 12


def brought_into_range(score: Finished, fact: NoteBeyond) -> Mend | Unmended:
    """Put a note an octave up or down, with the slur it is under, where that is certain.

    Args:
        score: it is in.
        fact: a note out of range.
    """
    line: PartLine = fact.player.voice
    relief = _relief(line, fact)
    if relief is None:
        return Unmended("an octave away it is not in range, or what goes with it is not")
    moved = line.notes[relief.first : relief.last + 1]
    if why := _not_certain(score, line, moved, relief.shift or 0):
        return Unmended(why)
    runs = [line.runs[note.index] for note in moved]
    what = "put an octave up" if relief.shift == 1 else "put an octave down"
    return Mend(what, tuple(_edits(score, line.part, runs, relief.shift or 0)))


def _relief(line: PartLine, fact: NoteBeyond) -> Relief | None:
    """What moves the note by one octave, its slur and neighbours out of range with it."""
    notes, section = line.notes, fact.player.section
    reliefs = relieve(PlayedLine(fact.player, notes, 0), "octave")
    found = [one for one in reliefs if one.first <= fact.note.index <= one.last]
    if not found or found[0].shift not in {1, -1}:
        return None
    first, last, shift = found[0]
    for one in reliefs:
        if one.shift == shift and one.first == last + 1 and _follows(notes, last):
            last = one.last
    for one in reversed(reliefs):
        if one.shift == shift and one.last == first - 1 and _follows(notes, first - 1):
            first = one.first
    beside = [notes[first - 1]] if first and _follows(notes, first - 1) else []
    beside += [notes[last + 1]] if _follows(notes, last) else []
    groups = {note.group for note in notes[first : last + 1]} - {-1}
    if any(beyond(section, note.midi) or note.group in groups for note in beside):
        return None
    return Relief(first, last, shift)


def _follows(notes: Sequence[Sounding], at: int) -> bool:
    """True where the next note begins when this one ends."""
    return at + 1 < len(notes) and notes[at + 1].start <= notes[at].end


def _not_certain(score: Finished, line: PartLine, moved: Sequence[Sounding], shift: int) -> str:
    """Why notes are not moved; empty where they are."""
    part = line.part
    if len(score.players[part].sections) > 1:
        return "the part is that of several sections"
    times, bars = {note.start for note in moved}, {note.bar for note in moved}
    section = score.players[part].sections[0]
    for other in score.lines(part):
        if other is line:
            continue
        if any(note.start in times for note in other.notes):
            return "it does not stand alone in its part"
        if any(note.bar in bars and beyond(section, note.midi) for note in other.notes):
            return "a chord beside it stays out of range"
    if any(line.is_harmonic(note) for note in moved):
        return "harmonics are no notes an octave away"
    struck = score.struck
    for note in moved:
        doubled = struck.get((note.start, note.midi + _OCTAVE * shift), set()) - {part}
        if doubled:
            return f"it would double {score.who(min(doubled))} at that octave"
    return ""


def _edits(score: Finished, part: int, runs: Sequence[Joined], shift: int) -> Iterator[Edit]:
    def moved(_: int, pitch: Pitch, __: Interval) -> Pitch:
        return pitch._replace(octave=pitch.octave + shift)

    by_bar: dict[int, list[VoiceNote]] = {}
    for run in runs:
        for note in run.notes:
            by_bar.setdefault(note.bar, []).append(note)
    for bar, notes in sorted(by_bar.items()):
        places = {note.event.place for note in notes}
        yield from repitched(score.score, InBar(part, bar), places, moved)
