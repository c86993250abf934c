"""Cellos that carry the tune in their bass register, with nobody in enough octaves above."""

from collections.abc import Iterator
from typing import Annotated, NamedTuple

from msgspec import Meta

from rewriter.checking.finished import Finished
from rewriter.checking.rule import Parameters, Rule, Said
from rewriter.checking.treatise_layouts import TREATISE, layouts_saying
from rewriter.checking.tune_passages import (
    CELLOS,
    FOUR_LEVELS,
    TuneLine,
    TunePassage,
    notes_between,
    spot_of,
    until_bar,
)
from rewriter.theory.pitch import name_of_midi


class Settings(Parameters, frozen=True):
    """How low is too low."""

    most: Annotated[
        float,
        Meta(ge=0, lt=1, description="share of a passage's time that may lie so low"),
    ] = 1 / 3
    levels: Annotated[
        int, Meta(ge=2, description="octaves of the tune from which on cellos may be low")
    ] = FOUR_LEVELS


class CellosLow(NamedTuple):
    """A passage in which cellos have the tune where they are bass."""

    passage: TunePassage
    line: TuneLine
    share: float
    time: int


def find(score: Finished, settings: Settings) -> Iterator[CellosLow]:
    """Passages in which cellos have the tune below their tenor register."""
    for passage in score.tune_passages:
        if len(passage.levels) >= settings.levels or _is_low_by_rule(score, passage):
            continue
        for line in passage.lines:
            registers = line.section.registers
            if line.section.sound != CELLOS or len(registers) < 2:  # noqa: PLR2004 - bass, tenor
                continue
            notes = notes_between(score, line.place, passage.start, passage.stop)
            low = [note for note in notes if note.sounding < registers[1].from_midi]
            whole = sum(note.end - note.time for note in notes)
            share = sum(note.end - note.time for note in low) / whole if whole else 0
            if share > settings.most:
                yield CellosLow(passage, line, share, low[0].time)


def _is_low_by_rule(score: Finished, passage: TunePassage) -> bool:
    """True for a treatise's doubling with basses, whose sound is that of low cellos."""
    layout = layouts_saying(TREATISE, score.ensemble).get(passage.shape)
    return layout is not None and any(
        score.ensemble.section(member.section).sound == "strings.contrabass"
        for member in layout.stack.members
    )


def say(fact: CellosLow, at: Finished, _: Settings) -> Said:
    """Say how much of it is so low."""
    line, passage = fact.line, fact.passage
    limit = name_of_midi(line.section.registers[1].from_midi)
    until = until_bar(at, line.place.part, passage.start, passage.stop)
    return Said(
        spot_of(at, line.place, fact.time),
        f"{round(100 * fact.share)}% of the tune lies below {limit}{until} ({passage.text}), "
        "where cellos are bass; put them an octave higher, or carry it in four octaves",
        sounds=passage.text,
        wants=f"{limit} or above",
    )


RULE = Rule(
    id="cellos-low",
    title="cellos carry the tune in their bass register",
    why="In their lowest octave cellos are heard as bass; a tune is found there only where it "
    "is in three octaves above as well.",
    instead="Put it an octave higher, or carry it in four octaves.",
    source="common practice, no source",
    severity="advice",
    about=CellosLow,
    say=say,
    parameters=Settings(),
    find=find,
    needs_tune=True,
)
