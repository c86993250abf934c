"""What is said of a part that does not say what the score says."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.checking.rule import Parameters, Said
from rewriter.comparing.thing_words import thing_said, unsaid

if TYPE_CHECKING:
    from rewriter.checking.against_parts import PartDiffers
    from rewriter.checking.finished import Finished
    from rewriter.comparing.difference import Difference

_REMEDY: Final = "extract the part again"


def said_of(fact: PartDiffers, score: Finished, _: Parameters) -> Said:
    """Say the first difference of a run, and how many more there are up to where."""
    first, *more = fact.differences
    if fact.gone:
        what = f"has no {first.kind} anywhere, the score {len(fact.differences)}"
        return Said(
            score.place(fact.part, fact.bar, fact.time), f"{fact.file} {what}; {_REMEDY}"
        )
    number = len(more)
    until = f" up to bar {score.printed(fact.part, fact.last)}" if fact.last > fact.bar else ""
    so = f", and {number} more difference{'s' * (number > 1)}{until}" if number else ""
    return Said(
        score.place(fact.part, fact.bar, fact.time),
        f"{fact.file} {_has(first)}{so}; {_REMEDY}",
        sounds=_thing(first, first.b.what if first.b else None),
        wants=_thing(first, first.a.what if first.a else None),
    )


def _thing(one: Difference, what: str | None) -> str:
    return "" if what is None else thing_said(one.kind, what) or unsaid(one.kind) or one.kind


def _has(one: Difference) -> str:
    """What the part has, against the score: ``has pitch E5 where the score has F5``."""
    theirs, ours = (_named(one, thing.what) if thing else "" for thing in (one.b, one.a))
    if one.kind == "bar":
        return "has not got this bar" if one.a else "has a bar more here"
    if not theirs:
        return f"has no {ours}"
    if not ours:
        return f"has {theirs}, the score has none"
    if theirs != ours:
        return f"has {theirs} where the score has {_thing(one, one.a.what if one.a else None)}"
    return f"has {theirs} at another place, or to another end, than the score"


def _named(one: Difference, what: str) -> str:
    said = thing_said(one.kind, what) or unsaid(one.kind)
    return f"{one.kind} {said}".rstrip() if said != one.kind else said
