"""What the players of a section's part play, line by line.

A voice with chords is as many lines as its fullest chord has notes, counted from the top; what
is written as one note is everybody's and stands in the first.
"""

from __future__ import annotations

from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from rewriter.checking.harmonics import is_harmonic, is_touched, sound_of_touched
from rewriter.placing.facts import Player
from rewriter.rulefiles.stack_lines import Share
from rewriter.sketch.model import Sounding
from rewriter.theory.numbers import decimal, whole
from rewriter.theory.pitch import midi, name_of_midi, note_name

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.rulefiles.ensembles import Section
    from rewriter.scores.voices import Joined, VoiceNote

_NEVER: Final = (1 << 62, 1 << 62)
"""A slur behind all others."""
_OCTAVE = 12
_WHOLE = Share()


class PartLine:
    """One line of a part.

    Attributes:
        part: index in score order.
        voice: as the file names it.
        runs: what it plays, tied notes as one, in the order of time; no cue notes.
    """

    def __init__(
        self,
        part: int,
        voice: str,
        runs: Sequence[Joined],
        slurs: Sequence[tuple[int, int]] = (),
        harmonics: Mapping[int, float] = MappingProxyType({}),
    ) -> None:
        self.part = part
        self.voice = voice
        self.runs = runs
        self._slurs = slurs
        self._harmonics = harmonics

    @cached_property
    def notes(self) -> list[Sounding]:
        """The same in numbers; harmonics by their sound, slurs that share a note one group."""
        found = []
        slur, slurs = 0, (*self._slurs, _NEVER)
        for at, run in enumerate(self.runs):
            first = run.notes[0]
            while slurs[slur][1] < first.time:
                slur += 1
            group = slur if slurs[slur][0] <= first.time else -1
            midi = self._harmonics.get(id(first), first.sounding or 0)
            found.append(Sounding(first.bar, first.time, run.length, midi, group, at))
        return found

    def is_harmonic(self, note: Sounding) -> bool:
        """True for one of its notes that sounds as a harmonic."""
        return id(self.runs[note.index].notes[0]) in self._harmonics

    def name(self, note: Sounding) -> str:
        """The spelled name of one of its notes; of a harmonic, that of what sounds."""
        first = self.runs[note.index].notes[0]
        return spelled(first) if note.midi == first.sounding else name_of_midi(note.midi)

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
    harmonics = _harmonics(score, part)
    slurs = _slurs(score, part)
    for voice, run in _by_voice(score, part):
        ranks = found.setdefault((voice, 0), [])
        rank = 0
        while ranks and ranks[-1].time == run.time and _struck(ranks[-1]) and _struck(run):
            rank += 1
            ranks = found.setdefault((voice, rank), [])
        ranks.append(run)
    return [
        PartLine(part, voice, runs, slurs.get(voice, ()), harmonics)
        for (voice, _), runs in found.items()
    ]


def _slurs(score: Finished, part: int) -> dict[str, list[tuple[int, int]]]:
    """Of each voice: where slurs begin and end, those that share a note as one."""
    found: dict[str, list[tuple[int, int]]] = {}
    slurs = [span for span in score.spans(part).paired if span.start.kind == "slur"]
    for span in sorted(slurs, key=lambda span: span.start.time):
        known = found.setdefault(span.start.voice, [])
        start, stop = span.start.time, span.stop.time
        if known and start <= known[-1][1]:
            known[-1] = known[-1][0], max(stop, known[-1][1])
        else:
            known.append((start, stop))
    return found


def _harmonics(score: Finished, part: int) -> dict[int, float]:
    """What harmonics sound, by the identity of the note."""
    data = score.score.parts[part]
    if not data.having(b"<harmonic") and not data.having(b">diamond<"):
        return {}
    strings = score.players[part].sections[0].strings
    found: dict[int, float] = {}
    for voice in score.voices(part):
        for chord in voice.chords:
            stopped = [n.sounding or 0 for n in chord.notes if not is_harmonic(n.form)]
            for note in chord.notes:
                if note.sounding is not None and is_harmonic(note.form):
                    touched = is_touched(note.form)
                    found[id(note)] = (
                        sound_of_touched(note.sounding, stopped, strings)
                        if touched
                        else note.sounding
                    )
    return found


def _struck(run: Joined) -> bool:
    return not run.notes[0].form.grace


def _by_voice(score: Finished, part: int) -> Iterator[tuple[str, Joined]]:
    """What sounds, each with its voice, in the order of time and from the top."""
    runs = [run for run in score.joined(part) if not run.notes[0].form.cue]
    runs.sort(key=lambda run: (run.time, -(run.notes[0].sounding or 0)))
    return ((run.notes[0].form.voice, run) for run in runs)
