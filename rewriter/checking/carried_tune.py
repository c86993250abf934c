"""The tune of a finished score note by note, with who carries it."""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.hearing.lines import HeardNote, Place
    from rewriter.hearing.stacks import HeardLevel
    from rewriter.hearing.tune import HeardTune, TuneStretch


class CarriedNote(NamedTuple):
    """A note of the tune.

    Attributes:
        time: divisions from the start of the piece.
        end: likewise.
        midi: sounding MIDI number at the tune's own octave.
        stretch: it lies in: who carries the tune there, in which octaves, in which key.
        levels: those of the stretch, as far as sections play them; top first.
    """

    time: int
    end: int
    midi: float
    stretch: TuneStretch
    levels: tuple[HeardLevel, ...]

    @property
    def leading(self) -> Place:
        """The line whose dynamics count: of a section, if one plays; of the top level."""
        return (self.levels or self.stretch.levels)[0].lines[0]


def carried_notes(score: Finished, tune: HeardTune) -> list[CarriedNote]:
    """The notes of the tune in the order of time, each moment once.

    Args:
        score: a score.
        tune: where it is in it.
    """
    found: dict[int, CarriedNote] = {}
    levels: dict[int, tuple[HeardLevel, ...]] = {}
    for stretch, note, octaves in _notes(score, tune):
        if note.time not in found:
            own = levels.setdefault(id(stretch), _of_sections(score, stretch))
            midi = note.sounding - 12 * octaves
            found[note.time] = CarriedNote(note.time, note.end, midi, stretch, own)
    return [found[time] for time in sorted(found)]


def _notes(score: Finished, tune: HeardTune) -> Iterator[tuple[TuneStretch, HeardNote, int]]:
    lines = {line.place: line for line in score.heard.lines}
    for placement, carrying in tune.carrying.items():
        stretches = [one for one in tune.stretches if one.placement == placement]
        starts = [one.start for one in stretches]
        for one in carrying:
            notes = lines[one.line].notes
            for _, at in one.agreeing:
                stretch = stretches[bisect_right(starts, notes[at].time) - 1]
                yield stretch, notes[at], one.octaves


def _of_sections(score: Finished, stretch: TuneStretch) -> tuple[HeardLevel, ...]:
    """The levels of a stretch without who is no section."""
    own = (
        level._replace(
            lines=tuple(line for line in level.lines if score.players[line.part].sections)
        )
        for level in stretch.levels
    )
    return tuple(level for level in own if level.lines)
