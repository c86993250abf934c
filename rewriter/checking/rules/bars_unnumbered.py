"""Bars without printed numbers, where a house wants to name each of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Final, Literal

import msgspec

from rewriter.checking.numbering import Unnumbered, numbered, unnumbered
from rewriter.checking.rule import Mend, Parameters, Rule, Said, Unmended

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished

_EACH: Final = {"measure": "each bar", "system": "each system"}


class Numbers(Parameters, frozen=True):
    """How bars are to be numbered."""

    each: Annotated[
        Literal["measure", "system"],
        msgspec.Meta(description='what has a number: each "measure", or each "system"'),
    ] = "measure"


def find(score: Finished, parameters: Numbers) -> Iterator[Unnumbered]:
    """Stretches in which no part prints the numbers that are wanted."""
    # where nothing is said, each system is numbered as a rule
    enough = {"measure"} if parameters.each == "measure" else {"measure", "system", ""}
    return unnumbered(score, enough)


def say(fact: Unnumbered, at: Finished, parameters: Numbers) -> Said:
    """Say how far it goes, and what is numbered instead."""
    last = at.printed(fact.part, fact.stop - 1)
    until = f" up to bar {last}" if fact.stop - fact.bar > 1 else ""
    if fact.instead == "system":
        text = f"only systems are numbered{until}"
    elif fact.instead == "none":
        text = f"no bar is numbered{until}"
    else:
        text = f"no part says whether bars are numbered{until}"
    wants = f"numbers at {_EACH[parameters.each]}"
    return Said(at.place(fact.part, fact.bar), f"{text}; print {wants}", wants=wants)


def mend(score: Finished, fact: Unnumbered, parameters: Numbers) -> Mend | Unmended:
    """Print the numbers in the highest part of the strings."""
    edits = numbered(score, fact, parameters.each)
    return Mend(f"print numbers at {_EACH[parameters.each]}", tuple(edits))


RULE = Rule(
    id="bars-unnumbered",
    title="bars without numbers",
    why="Whoever stops a take names a bar, and everybody has to find it at once.",
    instead="Print a number at each bar, of parts and score.",
    source="how a file says it: W3C MusicXML 4.0, measure-numbering; else common practice, "
    "no source",
    severity="off",
    about=Unnumbered,
    say=say,
    parameters=Numbers(),
    mends="certain",
    find=find,
    mend=mend,
)
