"""What the players of a section's part play, line by line.

A voice with chords is as many lines as its fullest chord has notes, counted from the top; what
is written as one note is everybody's and stands in the first.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from rewriter.placing.facts import Player
from rewriter.rulefiles.stack_lines import Share
from rewriter.sketch.model import Sounding
from rewriter.theory.numbers import decimal, whole
from rewriter.theory.pitch import midi, name_of_midi, note_name

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.rulefiles.ensembles import Section
    from rewriter.scores.voices import Joined, VoiceNote

_OCTAVE = 12
_WHOLE = Share()


class PartLine:
    """One line of a part.

    Attributes:
        part: index in score order.
        voice: as the file names it.
        runs: what it plays, tied notes as one, in the order of time; no cue notes.
    """

    def __init__(self, part: int, voice: str, runs: Sequence[Joined]) -> None:
        self.part = part
        self.voice = voice
        self.runs = runs

    @cached_property
    def notes(self) -> list[Sounding]:
        """The same in numbers; no note knows its slur (group -1)."""
        return [
            Sounding(run.notes[0].bar, run.time, run.length, run.notes[0].sounding or 0, -1, at)
            for at, run in enumerate(self.runs)
        ]

    def name(self, note: Sounding) -> str:
        """The spelled name of one of its notes."""
        return spelled(self.runs[note.index].notes[0])

    def player(self, section: Section) -> Player:
        """Who plays it."""
        return Player(section, _WHOLE, 0, self)


def spelled(note: VoiceNote) -> str:
    """The name of a note as it is spelled, at the octave in which it sounds.

    A part that transposes by more than octaves is named by what sounds.
    """
    pitch = note.pitch
    if pitch is None or note.sounding is None:
        return ""
    alter, octave = decimal(pitch.alter or "0"), whole(pitch.octave)
    if alter is None or octave is None:
        return name_of_midi(note.sounding)
    away = note.sounding - midi(pitch.step, float(alter), octave)
    if away % _OCTAVE:
        return name_of_midi(note.sounding)
    return note_name(pitch.step, float(alter), octave + round(away / _OCTAVE))


def lines_of(score: Finished, part: int) -> list[PartLine]:
    """The lines of a part, voice by voice, from the top.

    Args:
        score: it is in.
        part: index in score order.
    """
    found: dict[tuple[str, int], list[Joined]] = {}
    for voice, run in _by_voice(score, part):
        ranks = found.setdefault((voice, 0), [])
        rank = 0
        while ranks and ranks[-1].time == run.time and _struck(ranks[-1]) and _struck(run):
            rank += 1
            ranks = found.setdefault((voice, rank), [])
        ranks.append(run)
    return [PartLine(part, voice, runs) for (voice, _), runs in found.items()]


def _struck(run: Joined) -> bool:
    return not run.notes[0].form.grace


def _by_voice(score: Finished, part: int) -> Iterator[tuple[str, Joined]]:
    """What sounds, each with its voice, in the order of time and from the top."""
    runs = [run for run in score.joined(part) if not run.notes[0].form.cue]
    runs.sort(key=lambda run: (run.time, -(run.notes[0].sounding or 0)))
    return ((run.notes[0].form.voice, run) for run in runs)
