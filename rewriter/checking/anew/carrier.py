"""Which voice of a finished score the music of a passage is taken from."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.carried_tune import CarriedNote
    from rewriter.checking.finished import Finished
    from rewriter.checking.scoring_facts import Passage
    from rewriter.hearing.lines import Place

_OCTAVE: Final = 12


class Carrier(NamedTuple):
    """A line that has the music of a passage from end to end.

    Attributes:
        line: of the score.
        octaves: that it sounds above the tune.
    """

    line: Place
    octaves: int = 0


class Turn(NamedTuple):
    """Some notes of a passage, and a line that has them.

    Attributes:
        carrier: the line.
        notes: of the tune, one after the other.
        lacking: how many of them the line has not.
    """

    carrier: Carrier
    notes: Sequence[CarriedNote]
    lacking: int


def turns_in(score: Finished, notes: Sequence[CarriedNote]) -> list[Turn]:
    """The lines that have the tune one after the other, as few as can be.

    Of several a section's, the top notes of its voice, the nearest to the tune's own octave,
    the highest, in this order. A note no line has is passed over.

    Args:
        score: they are in.
        notes: of the tune.
    """
    having = _having(score, notes)
    sections = {line for note in notes for level in note.levels for line in level.lines}

    def worth(one: Carrier) -> tuple[bool, bool, int, int, Place]:
        line, octaves = one
        return line not in sections, line.member > 0, abs(octaves), -octaves, line

    turns: list[Turn] = []
    first, common = 0, having[0] or set(_carrying(notes[0]))
    for at, here in enumerate(having):
        if here and not common & here:
            turns.append(_turn(notes, having, (first, at), min(common, key=worth)))
            first, common = at, here
        elif here:
            common &= here
    return [*turns, _turn(notes, having, (first, len(notes)), min(common, key=worth))]


def _turn(
    notes: Sequence[CarriedNote],
    having: Sequence[set[Carrier]],
    span: tuple[int, int],
    carrier: Carrier,
) -> Turn:
    first, behind = span
    lacking = sum(carrier not in here for here in having[first:behind])
    return Turn(carrier, notes[first:behind], lacking)


def _having(score: Finished, notes: Sequence[CarriedNote]) -> list[set[Carrier]]:
    """The lines that have each note, at whatever octave."""
    begun: dict[int, list[tuple[Place, float]]] = {note.time: [] for note in notes}
    for line in score.heard.lines:
        for note in line.notes:
            if note.time in begun:
                begun[note.time].append((line.place, note.sounding))
    return [
        {
            Carrier(place, int(sounding - note.midi) // _OCTAVE)
            for place, sounding in begun[note.time]
            if (sounding - note.midi) % _OCTAVE == 0
        }
        for note in notes
    ]


def _carrying(note: CarriedNote) -> Iterator[Carrier]:
    for level in note.stretch.levels:
        for line in level.lines:
            yield Carrier(line, note.stretch.top_octave - level.depth)


def line_of_section(score: Finished, parts: Sequence[int], passage: Passage) -> Carrier | None:
    """The line of some parts that plays most in a passage; the first of equals.

    Args:
        score: they are in.
        parts: indexes in score order.
        passage: where.
    """
    count = {
        line.place: sum(passage.start <= note.time < passage.stop for note in line.notes)
        for line in score.heard.lines
        if line.place.part in parts and line.place.member == 0
    }
    best = max(count, key=lambda place: count[place], default=None)
    return Carrier(best) if best is not None and count[best] else None
