"""Basses whose part does not say that they sound an octave lower than they read."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.checking.listed import whole_score, whole_sections
from rewriter.checking.rule import NONE, Parameters, Rule, Said

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished


class Transposes(NamedTuple):
    """A part that is read at another distance from what sounds than its section reads.

    Attributes:
        part: index in score order.
        bar: index of the first bar in which it is so.
        octaves: that it sounds below what is read.
        wanted: that it should.
    """

    part: int
    bar: int
    octaves: float
    wanted: int


def find(score: Finished, _: Parameters) -> Iterator[Transposes]:
    """Sections that are written an octave away, and do not transpose so where they play."""
    for part, section in whole_sections(score):
        if not section.written_octave:
            continue
        in_force = score.in_force(part)
        for run in score.joined(part):
            note = run.notes[0]
            now = in_force.at(note.time, note.form.staff)
            # a clef with an eight is read so, whatever the file's pitches are said to be
            clef = now.clef.octaves if now.clef else 0
            octaves = -now.transposition.semitones / 12 or -clef
            if octaves != section.written_octave:
                yield Transposes(part, note.bar, octaves, section.written_octave)
                break


def say(fact: Transposes, at: Finished, _: Parameters) -> Said:
    """Say how it sounds, and how it should."""
    place = at.place(fact.part, fact.bar) if fact.octaves else whole_score(at, fact.part)
    if fact.octaves:
        text = "sounds at another distance below what is read than an octave"
    else:
        text = "sounds as it is written, and players read it an octave higher"
    return Said(place, f"{text}; look at its transposition", wants="an octave lower")


RULE = Rule(
    id="bass-transposition",
    title="basses that do not sound an octave below what they read",
    why="Basses read an octave higher than they sound. A file that does not say so plays them "
    "in the octave of the cellos; or, if it is right, they would play an octave too low.",
    instead="Find out which octave is meant, and let the part say that it transposes.",
    source="common practice, no source",
    severity="warning",
    about=Transposes,
    say=say,
    parameters=NONE,
    find=find,
)
