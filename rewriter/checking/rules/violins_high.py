"""All violins high for long, or before the last statement of the tune."""

from collections.abc import Iterator
from typing import Annotated, NamedTuple

from msgspec import Meta

from rewriter.checking.finished import Finished
from rewriter.checking.rule import Parameters, Rule, Said
from rewriter.checking.tune_passages import VIOLINS, bars_of, notes_between, until_bar
from rewriter.theory.pitch import name_of_midi

_E6 = 88


class Settings(Parameters, frozen=True):
    """What is high, and for how long it may be."""

    above: Annotated[
        int, Meta(ge=55, le=107, description="MIDI number above which violins are high")
    ] = _E6
    bars: Annotated[
        float, Meta(gt=0, description="bars they may stay there, also in the last statement")
    ] = 8
    shortest: Annotated[
        float,
        Meta(ge=0, description="bars of it that count before the last statement, no mere peak"),
    ] = 1


class ViolinsHigh(NamedTuple):
    """A stretch in which all violins have the tune and are high.

    Attributes:
        start: divisions from the start of the piece.
        stop: likewise.
        bars: how long it is.
        last: bar of the last statement, where that is still to come; -1 where it is too long.
        part: of the first violins.
    """

    start: int
    stop: int
    bars: float
    last: int
    part: int


def find(score: Finished, settings: Settings) -> Iterator[ViolinsHigh]:
    """Stretches in which the tune is nowhere but high in the violins, too long or too early."""
    parts = [
        one.part
        for one in score.players
        if any(section.sound == VIOLINS for section in one.sections)
    ]
    last = max(
        (tune[-1].start * score.reading.divisions for tune in score.statements), default=None
    )
    for start, stop in _high(score, parts, settings.above):
        bars = bars_of(score, start, stop)
        if bars > settings.bars:
            yield ViolinsHigh(start, stop, bars, -1, parts[0])
        elif last is not None and start < last and bars >= settings.shortest:
            bar = score.heard.bars.bar_at(int(last))
            yield ViolinsHigh(start, stop, bars, bar, parts[0])


def _high(score: Finished, parts: list[int], above: int) -> Iterator[tuple[int, int]]:
    """Stretches without a lower note, in which all violins have the tune above a pitch."""
    stretch: tuple[int, int] | None = None
    for time, end, high in sorted(_notes(score, parts, above)):
        rests = stretch and score.heard.bars.longer_than_a_bar(stretch[1], time)
        if stretch and (rests or not high):
            yield stretch
            stretch = None
        if high:
            stretch = (stretch[0], max(stretch[1], end)) if stretch else (time, end)
    if stretch:
        yield stretch


def _notes(score: Finished, parts: list[int], above: int) -> Iterator[tuple[int, int, bool]]:
    """Moments of the tune, and whether all violins have it there, above a pitch."""
    for passage in score.tune_passages:
        lines = [line.place for line in passage.lines if line.section.sound == VIOLINS]
        together = {line.part for line in lines} == {*parts}
        found: dict[int, tuple[int, bool]] = {}
        for line in lines or [one.place for one in passage.levels[0]]:
            for note in notes_between(score, line, passage.start, passage.stop):
                end, high = found.get(note.time, (note.end, together))
                found[note.time] = max(end, note.end), high and note.sounding > above
        yield from ((time, end, high) for time, (end, high) in found.items())


def say(fact: ViolinsHigh, at: Finished, settings: Settings) -> Said:
    """Say how long it is, or what is still to come."""
    until = until_bar(at, fact.part, fact.start, fact.stop)
    bar = at.heard.bars.bar_at(fact.start)
    limit = name_of_midi(settings.above)
    if fact.last < 0:
        text = (
            f"all violins are above {limit} for {fact.bars:.2g} bars{until}; give them relief, "
            "or the lower octave to some of them"
        )
    else:
        text = (
            f"all violins are above {limit}{until} before the last statement "
            f"({at.bar_text(fact.last, bar)}); keep that for the last one"
        )
    return Said(at.place(fact.part, bar, fact.start), text, wants=f"{limit} or below")


RULE = Rule(
    id="violins-high",
    title="all violins at the top, for long or too early",
    why="Violins at the top are piercing and tire soon; once they have been there, nothing is "
    "left for the end.",
    instead="Give some of them the octave below, and keep the height for the last statement.",
    source="common practice, no source",
    severity="advice",
    about=ViolinsHigh,
    say=say,
    parameters=Settings(),
    find=find,
    needs_tune=True,
)
