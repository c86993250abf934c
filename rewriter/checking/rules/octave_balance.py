"""A tune in three or more octaves of which one drowns the others."""

from collections.abc import Iterator, Sequence
from typing import Annotated, NamedTuple

from msgspec import Meta

from rewriter.checking.finished import Finished
from rewriter.checking.rule import Parameters, Rule, Said
from rewriter.checking.tune_passages import BASSES, TuneLine, TunePassage, spot_of, until_bar


class Settings(Parameters, frozen=True):
    """How uneven is too uneven."""

    most: Annotated[
        float, Meta(gt=0, le=1, description="share of the players that one octave may have")
    ] = 0.75
    times: Annotated[
        float,
        Meta(
            ge=1,
            description="how many times the players of one whole section another may have; "
            "desks, solos and basses do not count",
        ),
    ] = 3.0
    levels: Annotated[int, Meta(ge=2, description="octaves from which on it is asked")] = 3


class Unbalanced(NamedTuple):
    """A passage in which one octave, or one section, has too many players."""

    passage: TunePassage
    line: TuneLine
    text: str


def find(score: Finished, settings: Settings) -> Iterator[Unbalanced]:
    """Passages in which the players are not spread over the octaves."""
    for passage in score.tune_passages:
        if len(passage.levels) < settings.levels:
            continue
        counts = [sum(line.players for line in level) for level in passage.levels]
        most = max(counts)
        if most > settings.most * sum(counts):
            level = passage.levels[counts.index(most)]
            text = f"{most:g} of {sum(counts):g} players are in one octave"
            yield Unbalanced(passage, level[0], text)
            continue
        whole = [one for level in passage.levels for one in _whole_sections(level)]
        large = max(whole, key=lambda one: one[1], default=None)
        small = min(whole, key=lambda one: one[1], default=None)
        if large and small and large[1] > settings.times * small[1]:
            text = (
                f"{large[0].section.key} has {large[1]:g} players where "
                f"{small[0].section.key} has {small[1]:g} in another octave"
            )
            yield Unbalanced(passage, small[0], text)


def _whole_sections(level: Sequence[TuneLine]) -> Iterator[tuple[TuneLine, float]]:
    """The sections that play a level with all their players: a line of each, and how many."""
    found: dict[str, tuple[TuneLine, float]] = {}
    for line in level:
        if line.whole and line.section.sound != BASSES:
            first, players = found.get(line.section.key, (line, 0.0))
            found[line.section.key] = first, players + line.players
    yield from found.values()


def say(fact: Unbalanced, at: Finished, _: Settings) -> Said:
    """Say how the players are spread, and where."""
    start, stop = fact.passage.start, fact.passage.stop
    until = until_bar(at, fact.line.place.part, start, stop)
    return Said(
        spot_of(at, fact.line.place, start),
        f"of the tune ({fact.passage.text}){until} {fact.text}; double the weaker octaves, or "
        "thin out the strong one",
        sounds=fact.passage.text,
    )


RULE = Rule(
    id="octave-balance",
    title="one octave of the tune outweighs the others",
    why="Where most players are in one octave, the others are colour at best, and the octaves "
    "are not heard as one line.",
    instead="Spread the sections over the octaves, unless that weight is what is wanted.",
    source="common practice, no source",
    severity="advice",
    about=Unbalanced,
    say=say,
    parameters=Settings(),
    find=find,
    needs_tune=True,
)
