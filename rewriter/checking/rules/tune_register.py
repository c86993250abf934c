"""A section that has the tune where it does not sing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, NamedTuple

from msgspec import Meta

from rewriter.checking.rule import Parameters, Rule, Said
from rewriter.checking.tune_passages import (
    CELLOS,
    TuneLine,
    TunePassage,
    notes_between,
    spot_of,
    until_bar,
)
from rewriter.placing.fitness import fitness, never_carries
from rewriter.theory.pitch import name_of_midi

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.hearing.lines import HeardNote


class Settings(Parameters, frozen=True):
    """How much of it, and how badly."""

    most: Annotated[
        float, Meta(ge=0, lt=1, description="share of a section's tune that may lie badly")
    ] = 1 / 3
    fitness: Annotated[
        float,
        Meta(
            gt=0,
            le=1,
            description="fitness of a register below which it lies badly, as the ensemble has "
            "it for the strength of the music there",
        ),
    ] = 0.5


class BadlyPlaced(NamedTuple):
    """A section's tune, much of which lies where it does not sing.

    Attributes:
        line: that has it.
        stop: where this stretch of it ends, in divisions from the start of the piece.
        share: of its time that lies badly.
        lowest: MIDI number of the lowest note that does.
        highest: likewise.
        time: of the first.
    """

    line: TuneLine
    stop: int
    share: float
    lowest: float
    highest: float
    time: int


def find(score: Finished, settings: Settings) -> Iterator[BadlyPlaced]:
    """Lines of the tune, as long as a section has it without a rest of more than a bar."""
    for stretch in _stretches(score):
        whole, bad = 0, []
        for passage, line in stretch:
            for note, length, value in _valued(score, passage, line):
                whole += length
                if value < settings.fitness:
                    bad.append((note, length))
        badly = sum(length for _, length in bad)
        if whole and badly > settings.most * whole:
            sounding = [note.sounding for note, _ in bad]
            passage, line = stretch[-1]
            yield BadlyPlaced(
                line, passage.stop, badly / whole, min(sounding), max(sounding), bad[0][0].time
            )


def _stretches(score: Finished) -> Iterator[list[tuple[TunePassage, TuneLine]]]:
    """What each section has of the tune, one after the other."""
    open_ones: dict[str, list[tuple[TunePassage, TuneLine]]] = {}
    for passage in score.tune_passages:
        for line in passage.lines:
            if never_carries(line.section):
                continue
            key = f"{line.section.key} {line.place.voice} {line.place.member}"
            own = open_ones.get(key)
            if own and score.heard.bars.longer_than_a_bar(own[-1][0].stop, passage.start):
                yield own
                own = None
            if own is None:
                own = open_ones[key] = []
            own.append((passage, line))
    yield from open_ones.values()


def _valued(
    score: Finished, passage: TunePassage, line: TuneLine
) -> Iterator[tuple[HeardNote, int, float]]:
    """Notes, how long each sounds, and how well; of cellos none where they are bass."""
    strengths = score.strengths(line.place)
    registers = line.section.registers
    lowest = registers[1].from_midi if line.section.sound == CELLOS and registers[1:] else 0
    for note in notes_between(score, line.place, passage.start, passage.stop):
        if note.sounding >= lowest:
            value = fitness(
                line.section, note.sounding, len(passage.levels), strengths.at(note.time)
            )
            yield note, note.end - note.time, value


def say(fact: BadlyPlaced, at: Finished, settings: Settings) -> Said:
    """Say how much of it lies badly, and between which pitches."""
    low, high = name_of_midi(fact.lowest), name_of_midi(fact.highest)
    where = low if low == high else f"{low} to {high}"
    until = until_bar(at, fact.line.place.part, fact.time, fact.stop)
    return Said(
        spot_of(at, fact.line.place, fact.time),
        f"{round(100 * fact.share)}% of the tune in this section{until} lies where it does not "
        f"sing ({where}); give it another octave or another section",
        sounds=where,
        wants=f"fitness {settings.fitness:g} or more for most of it",
    )


RULE = Rule(
    id="tune-register",
    title="tune where a section does not sing",
    why="Each section carries a tune well in part of its compass only, and in another part "
    "when it is soft than when it is loud.",
    instead="Give the section another octave, or the octave another section; or hand over.",
    source="the registers of the ensemble file, each with its own source",
    severity="advice",
    about=BadlyPlaced,
    say=say,
    parameters=Settings(),
    find=find,
    needs_tune=True,
)
