"""Basses that carry the tune, but not as the floor under four levels."""

from collections.abc import Iterator
from typing import NamedTuple

from rewriter.checking.finished import Finished
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.checking.treatise_layouts import TREATISE, layouts_saying
from rewriter.checking.tune_passages import (
    BASSES,
    FOUR_LEVELS,
    TuneLine,
    TunePassage,
    spot_of,
    until_bar,
)


class BassesCarry(NamedTuple):
    """A passage in which basses carry the tune."""

    passage: TunePassage
    line: TuneLine


def find(score: Finished, _: Parameters) -> Iterator[BassesCarry]:
    """Passages in which basses carry the tune, in no doubling that the treatise names."""
    for passage in score.tune_passages:
        low = passage.levels[-1] if len(passage.levels) >= FOUR_LEVELS else ()
        lines = [line for line in passage.lines if line.section.sound == BASSES]
        wrong = [line for line in lines if line not in low]
        if wrong and passage.shape not in layouts_saying(TREATISE, score.ensemble):
            yield BassesCarry(passage, wrong[0])


def say(fact: BassesCarry, at: Finished, _: Parameters) -> Said:
    """Say where, and with whom."""
    start, stop = fact.passage.start, fact.passage.stop
    part = fact.line.place.part
    return Said(
        spot_of(at, fact.line.place, start),
        f"the tune is in the basses{until_bar(at, part, start, stop)} ({fact.passage.text}); "
        "give it to the cellos, or keep the basses for the floor under four levels",
        sounds=fact.passage.text,
    )


RULE = Rule(
    id="basses-on-the-tune",
    title="basses carry the tune",
    why="Basses speak slowly and sound an octave below what is read; a tune is heavy there "
    "and has no floor.",
    instead="Give it to the cellos; let basses have the bass, or the lowest of four levels.",
    source="common practice, no source; the doublings with basses that Rimsky-Korsakov names "
    "are left out, Principles of Orchestration (1922), ch. II",
    severity="advice",
    about=BassesCarry,
    say=say,
    parameters=NONE,
    find=find,
    needs_tune=True,
)
