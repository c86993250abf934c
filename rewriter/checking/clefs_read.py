"""How the notes of a section's part stand on their staff: in which clef, under which lines."""

from __future__ import annotations

from bisect import bisect_right
from itertools import groupby
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.scores.attributes import changes_in
from rewriter.scores.staff_signs import USUAL_LINES

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.rulefiles.ensembles import ClefUse, Section
    from rewriter.scores.in_force import PartInForce
    from rewriter.scores.staff_signs import ClefSaid
    from rewriter.scores.voices import VoiceNote

_OCTAVE: Final = 12
_SIZES: Final = {b'size="15"': 2, b'size="22"': 3}


class Came(NamedTuple):
    """Where a clef comes.

    Attributes:
        time: divisions from the start of the piece.
        bar: index.
        place: of the element that says it, as ``Event.place`` counts.
    """

    time: int
    bar: int
    place: int


class InClef(NamedTuple):
    """Notes of a line that follow each other in one clef.

    Attributes:
        part: index in score order.
        clef: as the file says it.
        since: where that clef came, in divisions from the start of the piece.
        notes: at least one.
        written: their MIDI numbers as they stand on the staff, octave lines counted.
    """

    part: int
    clef: ClefSaid
    came: Came
    notes: tuple[VoiceNote, ...]
    written: tuple[float, ...]


def clef_named(clef: ClefSaid) -> str:
    """A clef for people: ``alto clef``, ``C clef on line 1``, ``bass clef an octave lower``."""
    line = clef.line or str(USUAL_LINES.get(clef.sign, ""))
    name = _NAMES.get((clef.sign, line))
    said = f"{name} clef" if name else f"{clef.sign} clef on line {line}"
    if not clef.octaves:
        return said
    return f"{said} an octave {'higher' if clef.octaves > 0 else 'lower'}"


_NAMES: Final = {
    ("G", "2"): "treble",
    ("C", "3"): "alto",
    ("C", "4"): "tenor",
    ("F", "4"): "bass",
}


def use_of(clef: ClefSaid, section: Section) -> ClefUse | None:
    """The section's own clef that one is; None for a foreign one.

    Args:
        clef: as the file says it.
        section: whose clefs hold.
    """
    line = clef.line or str(USUAL_LINES.get(clef.sign, ""))
    if clef.octaves and not (
        section.written_octave and clef.octaves == -section.written_octave
    ):
        return None
    for use in section.clefs:
        if (use.sign, str(use.line)) == (clef.sign, line):
            return use
    return None


def in_clefs(score: Finished, part: int) -> Iterator[InClef]:
    """The notes of a section's part, clef by clef; what stands in no clef yet is left out.

    Args:
        score: it is in.
        part: index in score order.
    """
    in_force = score.in_force(part)
    shifts = _shifts(score, part)
    changes = _clefs(score, part)
    notes = sorted(
        (note for run in score.joined(part) for note in run.notes if not note.form.cue),
        key=lambda note: (note.form.staff, note.time),
    )

    def came(note: VoiceNote) -> tuple[str, Came | None]:
        told = changes.get(note.form.staff, [])
        at = bisect_right(told, note.time, key=lambda one: one.time)
        return note.form.staff, told[at - 1] if at else None

    for (staff, place), group in groupby(notes, key=came):
        here = tuple(group)
        clef = in_force.at(here[0].time, staff).clef
        if clef is not None and place is not None:
            written = tuple(as_written(note, in_force, shifts, clef) for note in here)
            yield InClef(part, clef, place, here, written)


def _clefs(score: Finished, part: int) -> dict[str, list[Came]]:
    """By staff, where clefs come."""
    found: dict[str, set[Came]] = {}
    for bar in score.score.parts[part].saying(b"<clef"):
        start = score.reading.timeline.starts[bar]
        for event in score.reading.bars(part)[bar].events:
            for change in changes_in(event.data) if event.tag == "attributes" else ():
                if change.kind == "clef":
                    came = Came(start + event.onset, bar, event.place)
                    found.setdefault(change.staff, set()).add(came)
    return {staff: sorted(places) for staff, places in found.items()}


def as_written(
    note: VoiceNote,
    in_force: PartInForce,
    shifts: Sequence[tuple[int, int, int]],
    clef: ClefSaid,
) -> float:
    """Where a note stands, as the MIDI number of what is read there in the clef without an 8.

    Args:
        note: that sounds.
        in_force: of its part.
        shifts: octave lines of its part: from, to, octaves it is read lower by.
        clef: it is read in.
    """
    transposition = in_force.transposition(note.time, note.form.staff)
    lower = sum(octaves for start, stop, octaves in shifts if start <= note.time < stop)
    away = transposition.semitones + _OCTAVE * (lower + clef.octaves)
    return (note.sounding or 0) - away


def _shifts(score: Finished, part: int) -> list[tuple[int, int, int]]:
    """Octave lines: from, to, octaves that their notes are read lower than they are."""
    if not score.score.parts[part].saying(b"<octave-shift"):
        return []
    found = []
    for start, stop in score.spans(part).paired:
        if start.kind == "octave-shift":
            octaves = next((n for said, n in _SIZES.items() if said in start.event.data), 1)
            lower = octaves if start.type == "down" else -octaves
            found.append((start.time, max(stop.time, start.time + 1), lower))
    return found
