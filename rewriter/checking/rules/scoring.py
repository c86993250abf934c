"""A passage that is not laid out as the house asks for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.checking.scoring_facts import Differs, NotLookedAt, OfScoring
from rewriter.problems import Place

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.checking.rule import Deferred, Unmended
    from rewriter.rulefiles.houses import Scoring


def find_asked(score: Finished, asked: Sequence[Scoring]) -> Iterator[OfScoring]:
    """Find the passages that are not as a house asks for."""
    from rewriter.checking.scoring import scoring_in

    return scoring_in(score, asked)


def say(fact: Differs | NotLookedAt, score: Finished, _: Parameters) -> Said | None:
    """Say what the passage has and what it should have, and who asks for it."""
    if isinstance(fact, NotLookedAt):
        blocks = ", ".join(one.place for one in fact.asked)
        return Said(Place(), f"not looked at: {blocks}; {fact.why}", severity="advice")
    timeline = score.reading.timeline
    passage = fact.passage
    first, last = timeline.moment(passage.start).bar, timeline.bar_ending(passage.stop)
    until = f" (to {score.bar_text(last, first)})" if last > first else ""
    has = f"has {fact.has}, " if fact.has else ""
    why = fact.asked.why.strip().rstrip(".")
    asked = f"{fact.asked.place} asks for it{f': {why}' if why else ''}"
    return Said(
        score.place(fact.part, first, passage.start),
        f"{has}wants {fact.wants}{until}; {asked}",
        fact.has,
        fact.wants,
        fact.asked.severity,
    )


def mend(
    score: Finished, fact: Differs | NotLookedAt, _: Parameters
) -> Deferred | Unmended | None:
    """Lay the passage out anew, where the house says how."""
    if isinstance(fact, NotLookedAt):
        return None
    from rewriter.checking.anew.written import laid_out_anew

    return laid_out_anew(score, fact)


RULE = Rule(
    id="scoring",
    title="passage not laid out as the house asks for",
    why="How broad a statement is, who plays it and who does not is what a house is known by.",
    instead="Lay the passage out anew, or change what the house file asks for.",
    source="the house file",
    severity="warning",
    about=OfScoring,
    say=say,
    parameters=NONE,
    mends="certain",
    mend=mend,
    find_asked=find_asked,
)
