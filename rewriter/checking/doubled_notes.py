"""Notes of a line made those of the lines it doubles, where that is certain."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from typing import TYPE_CHECKING, Final

from rewriter.checking.rule import Mend, Unmended
from rewriter.editing.edits import InBar
from rewriter.editing.repitching import repitched
from rewriter.editing.setting import written
from rewriter.theory.pitch import Pitch, midi, parse_pitch

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rewriter.checking.doubled import Unlike
    from rewriter.checking.finished import Finished
    from rewriter.editing.edits import Edit
    from rewriter.hearing.lines import HeardNote, Place
    from rewriter.theory.fifths import Interval

NOBODY_LEADS: Final = Unmended("nothing tells which is right; the house may say who leads")


def note_at(score: Finished, line: Place, time: int) -> HeardNote | None:
    """The note of a line that begins at a moment; None where none does.

    Args:
        score: it is in.
        line: of a part.
        time: divisions from the start of the piece.
    """
    notes = score.line_at[line].notes
    at = bisect_left(notes, time, key=lambda note: note.time)
    return notes[at] if at < len(notes) and notes[at].time == time else None


def as_the_others(score: Finished, fact: Unlike) -> Mend | Unmended:
    """Give notes of a line letter and alteration of those it doubles.

    Args:
        score: it is in.
        fact: notes that have another pitch, or are spelled otherwise.
    """
    if not fact.led:
        return NOBODY_LEADS
    pitches: dict[int, dict[int, Pitch]] = defaultdict(dict)
    for moment in fact.moments:
        own, model = (note_at(score, line, moment.time) for line in (fact.line, fact.others[0]))
        if own is None or model is None:
            return Unmended("notes of its own would have to go")
        pitch = _nearest(parse_pitch(model.name), own.sounding)
        for note in own.tied.notes:
            pitches[note.bar][note.event.place] = pitch
    edits: list[Edit] = []
    for bar, by_place in pitches.items():
        edits += _edits(score, InBar(fact.line.part, bar), by_place)
    names = dict.fromkeys(
        str(one) for by_place in pitches.values() for one in by_place.values()
    )
    return Mend(f"write {', '.join(names)}", tuple(edits))


def _nearest(pitch: Pitch, sounding: float) -> Pitch:
    """A pitch in the octave in which it is nearest to what sounds."""
    octaves = round((sounding - midi(*pitch)) / 12)
    return pitch._replace(octave=pitch.octave + octaves)


def _edits(score: Finished, where: InBar, pitches: Mapping[int, Pitch]) -> list[Edit]:
    def pitch_of(place: int, _: Pitch, interval: Interval) -> Pitch:
        return written(pitches[place], interval)

    return list(repitched(score.score, where, pitches, pitch_of))
