"""The tune of a finished score note by note, with who carries it."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter, defaultdict
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.hearing.stacks import HeardLevel

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.hearing.lines import HeardNote, Place
    from rewriter.hearing.tune import HeardTune, TuneStretch

_ONE_IN: Final = 8
"""One note in so many may differ, as in doublings."""
_OCTAVE: Final = 12


class CarriedNote(NamedTuple):
    """A note of the tune.

    Attributes:
        time: divisions from the start of the piece.
        end: likewise.
        midi: sounding MIDI number at the tune's own octave.
        stretch: it lies in: who carries the tune there, in which octaves, in which key.
        levels: those of the stretch, as far as sections play them; top first.
        heard: in one of the lines that carry it.
    """

    time: int
    end: int
    midi: float
    stretch: TuneStretch
    levels: tuple[HeardLevel, ...]
    heard: HeardNote

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
            found[note.time] = CarriedNote(note.time, note.end, midi, stretch, own, note)
    return [found[time] for time in sorted(found)]


def with_short_lines(score: Finished, notes: Sequence[CarriedNote]) -> tuple[CarriedNote, ...]:
    """The notes of a passage, with who has all of it though it is too short to be heard.

    What a section plays for less than a doubling lasts, in the midst of other music, counts for
    the tune nowhere else; in a passage that is looked at it does.

    Args:
        score: they are in.
        notes: of the tune, one after the other.
    """
    begun = _begun(score)
    found: Counter[tuple[Place, int]] = Counter()
    for note in notes:
        for place, sounding in begun[note.time]:
            if (sounding - note.midi) % _OCTAVE == 0:
                found[place, int(sounding - note.midi) // _OCTAVE] += 1
    whole = [
        one for one, count in found.items() if count * _ONE_IN >= len(notes) * (_ONE_IN - 1)
    ]
    return tuple(_with(note, whole) for note in notes)


def _begun(score: Finished) -> dict[int, list[tuple[Place, float]]]:
    begun: dict[int, list[tuple[Place, float]]] = defaultdict(list)
    for line in score.heard.lines:
        if score.players[line.place.part].sections:
            for note in line.notes:
                begun[note.time].append((line.place, note.sounding))
    return begun


def _with(note: CarriedNote, whole: Sequence[tuple[Place, int]]) -> CarriedNote:
    there = {line for level in note.levels for line in level.lines}
    lines = {level.depth: [*level.lines] for level in note.levels}
    for place, octave in whole:
        if place not in there:
            lines.setdefault(note.stretch.top_octave - octave, []).append(place)
    levels = (HeardLevel(depth, tuple(sorted(lines[depth]))) for depth in sorted(lines))
    return note._replace(levels=tuple(levels))


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
