"""A section that is divided, and goes on as one line without being told."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, NamedTuple

from msgspec import Meta

from rewriter.checking.divided import under_division
from rewriter.checking.dividing import one_player, told_before
from rewriter.checking.rule import Mend, Parameters, Rule, Said

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.scores.voices import VoiceNote


class Settings(Parameters, frozen=True):
    """When a line goes on."""

    bars: Annotated[
        int,
        Meta(ge=1, description="bars with one line, from which on it is told"),
    ] = 3


class GoesOnDivided(NamedTuple):
    """One line where the section is still divided.

    Attributes:
        part: index in score order.
        note: the first of the line.
        told: index of the bar in which the section was told to divide.
    """

    part: int
    note: VoiceNote
    told: int


def find(score: Finished, parameters: Settings) -> Iterator[GoesOnDivided]:
    """Lines behind a division that is never cancelled, or told anew."""
    for part in score.of_sections:
        if one_player(score.players[part].sections[0]):
            continue
        for told in score.divisions(part).told:
            if told.kind != "div":
                continue
            for number in range(score.score.parts[part].staves):
                staff = str(number + 1)
                if told.staff not in {"", staff}:
                    continue
                found = under_division(score, part, told, staff)
                enough = found.alone_bars >= parameters.bars and not found.cancelled
                if found.alone is not None and enough:
                    yield GoesOnDivided(part, found.alone, told.bar)


def say(fact: GoesOnDivided, at: Finished, _: Settings) -> Said:
    """Say since when it is divided."""
    note = fact.note
    return Said(
        at.place(fact.part, note.bar, note.time, note.form.voice),
        f"one line goes on, and the section has been divided since bar "
        f"{at.printed(fact.part, fact.told)}; print unis.",
        wants="unis.",
    )


def mend(score: Finished, fact: GoesOnDivided, _: Settings) -> Mend:
    """Print unis. where the line goes on."""
    return Mend("print unis.", (told_before(score, fact.part, fact.note, "unis"),))


RULE = Rule(
    id="division-not-cancelled",
    title="division not cancelled",
    why="A section that is divided stays so until it is told unis.; where one line goes on, "
    "half of the players ask whether it is theirs.",
    instead="Print unis. over the first note that all play again.",
    source="common practice, no source",
    severity="advice",
    about=GoesOnDivided,
    say=say,
    parameters=Settings(),
    mends="certain",
    find=find,
    mend=mend,
)
