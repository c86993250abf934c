"""Where the tune is in a finished score: told, never guessed.

By a part (``Vn I``, ``P3``, ``P1 staff 2 voice 1``) or by the notes of a sketch, which are
looked for in all voices.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, NamedTuple

from rewriter.hearing.carrying import long_stretches, short_stretches, whole_line
from rewriter.hearing.searching import Placed, Placement, placed
from rewriter.hearing.stacks import HeardLevel, at_a_time, levels_of
from rewriter.hearing.tune_notes import DueNote, due_in, from_to, moved
from rewriter.problems import Refused
from rewriter.scores.choosing import part_named, read_choice, require_staff
from rewriter.scores.naming import parts_called, said_part
from rewriter.theory.numbers import in_number_order

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from rewriter.hearing.carrying import Carrying, Short
    from rewriter.hearing.lines import Heard, HeardLine, Place
    from rewriter.hearing.tune_notes import TuneNote


class TuneStretch(NamedTuple):
    """A stretch in which the same lines carry the tune.

    Attributes:
        start: divisions from the start of the piece.
        stop: likewise.
        placement: where it has the tune from, and in which key.
        top_octave: of the top level, from the tune in that key, upward positive.
        levels: top first, empty octaves left out.
    """

    start: int
    stop: int
    placement: Placement
    top_octave: int
    levels: tuple[HeardLevel, ...]


class HeardTune(NamedTuple):
    """Where the tune is.

    Attributes:
        stretches: in the order of time.
        carrying: by placement, the stretches of each line, in score order.
    """

    stretches: list[TuneStretch]
    carrying: dict[Placement, list[Carrying]]


def line_chosen(
    heard: Heard, choice: str, sections: Callable[[str], Sequence[int]] = lambda _: ()
) -> HeardLine:
    """The line somebody calls the tune: the top notes of a voice.

    Args:
        heard: the score.
        choice: a part by name or id, and perhaps ``staff 2`` and ``voice 1``; the first voice
            of the first staff where it does not say.
        sections: the parts a section plays, by what it may be called, where no part is called
            so; the first that has notes is taken.

    Raises:
        Refused: nothing answers to it.
    """
    parts = heard.reading.score.parts
    wanted = read_choice(parts, choice)
    number = _part_chosen(heard, wanted.part, sections)
    part, staff = parts[number], wanted.staff or "1"
    require_staff(part, staff)
    own = {
        line.place.voice: line
        for line in reversed(heard.lines)
        if line.place.part == number and line.notes
    }
    voices = heard.voices[number]
    names = {voices[at].name: line for at, line in own.items() if voices[at].staff == staff}
    if not names:
        what = f"{said_part(part)}, staff {staff} has no notes"
        raise Refused(what, "choose another with --tune")
    listed = sorted(names, key=in_number_order)
    if wanted.voice and wanted.voice not in names:
        what = f"{said_part(part)}, staff {staff} has no voice {wanted.voice}"
        raise Refused(what, f"it has {', '.join(listed)}")
    return names[wanted.voice or listed[0]]


def _part_chosen(heard: Heard, name: str, sections: Callable[[str], Sequence[int]]) -> int:
    parts = heard.reading.score.parts
    playing = [] if parts_called(parts, name) else [*sections(name)]
    sounding = {line.place.part for line in heard.lines if line.notes}
    for number in [number for number in playing if number in sounding] or playing:
        return number
    return parts.index(part_named(parts, name))


def tune_told_by_part(
    heard: Heard, choice: str, sections: Callable[[str], Sequence[int]] = lambda _: ()
) -> HeardTune:
    """Where the tune is when a part has it whenever it plays.

    Args:
        heard: the score.
        choice: of the part, see :func:`line_chosen`.
        sections: likewise.

    Raises:
        Refused: nothing answers to the choice.
    """
    line = line_chosen(heard, choice, sections)
    tune = [DueNote(note.time, note.end, note.sounding) for note in line.notes]
    found = whole_line(line, heard.bars)
    for other in heard.lines:
        if other is not line:
            long = long_stretches(tune, other, heard.bars)
            taken = {at for one in long for at in _notes_of(one)}
            found += [*long, *short_stretches(tune, other, heard.bars, taken, "lines")]
    found.sort(key=lambda one: (one.line, one.start))
    return _heard_tune({Placement(0, 0): found})


def tune_told_by_sketch(heard: Heard, notes: Sequence[TuneNote]) -> HeardTune:
    """Where the tune of a sketch is: as it stands, in other keys, and at other times.

    Args:
        heard: the score.
        notes: of the tune, in the order of time.
    """
    tune = due_in(notes, heard.reading.divisions)
    taken: dict[Place, set[int]] = defaultdict(set)
    found: dict[Placement, list[Carrying]] = defaultdict(list)

    def keep(placement: Placement, all_of_it: Sequence[Carrying]) -> None:
        for one in all_of_it:
            if taken[one.line].isdisjoint(_notes_of(one)):
                taken[one.line].update(_notes_of(one))
                found[placement].append(one)

    there = _where_due(tune, placed(tune, heard.lines, heard.bars))
    for placement, notes_there in there.items():
        for line in heard.lines:
            keep(placement, long_stretches(notes_there, line, heard.bars))
    for placement, notes_there in there.items():
        for line in heard.lines:
            own, short = taken[line.place], _short(placement)
            keep(placement, short_stretches(notes_there, line, heard.bars, own, short))
    for all_of_it in found.values():
        all_of_it.sort(key=lambda one: (one.line, one.start))
    return _heard_tune(found)


def _where_due(
    tune: Sequence[DueNote], places: Sequence[Placed]
) -> dict[Placement, list[DueNote]]:
    """The notes of a tune where they are due, the surest placement first.

    At its own time it is in one key at a time: who moves with it in fifths has not the tune.
    """
    due: dict[Placement, list[DueNote]] = {}
    sure: set[int] = set()  # times at which the tune is due in a key that is surer
    for placement, spans in places or [Placed(Placement(0, 0), ())]:  # of a few notes only
        notes = moved(tune, *placement)
        if placement != Placement(0, 0):
            notes = [note for note in from_to(notes, spans) if note.time not in sure]
        due[placement] = notes
        if placement.later == 0:
            sure.update(note.time for note in from_to(notes, spans))
    return due


def _notes_of(one: Carrying) -> range:
    """Indexes of all notes of its line from the first to the last."""
    return range(one.agreeing[0][1], one.agreeing[-1][1] + 1)


def _short(placement: Placement) -> Short:
    """What counts of short stretches: the less, the less sure the tune is there at all."""
    if placement.later:
        return "none"
    return "lines" if placement.semitones else "phrases"


def _heard_tune(found: dict[Placement, list[Carrying]]) -> HeardTune:
    stretches = [
        stretch for placement, all_of_it in found.items()
        for stretch in _stretches(placement, all_of_it)
    ]  # fmt: skip
    stretches.sort(key=lambda one: (one.start, one.stop, one.placement))
    return HeardTune(stretches, found)


def _stretches(placement: Placement, found: Sequence[Carrying]) -> list[TuneStretch]:
    stretches: list[TuneStretch] = []
    before: dict[Place, int] = {}
    since = 0
    for time, there in at_a_time([(one.start, one.stop) for one in found]):
        now = {found[at].line: found[at].octaves for at in there}
        if now == before:
            continue
        if before:
            levels = levels_of({line: -octaves for line, octaves in before.items()})
            top = max(before.values())
            stretches.append(TuneStretch(since, time, placement, top, levels))
        before, since = now, time
    return stretches
