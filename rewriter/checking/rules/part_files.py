"""A section without a part, or a file among the parts that is none of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.against_parts import FileAmiss
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.problems import Place

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished


def find(score: Finished, _: Parameters) -> Iterator[FileAmiss]:
    """Parts that are not there, and files that should not be."""
    return (one for one in score.part_faults if isinstance(one, FileAmiss))


def say(fact: FileAmiss, score: Finished, _: Parameters) -> Said:
    """Say what is amiss; a file that cannot be played from is worse than one too many."""
    if fact.part is not None:
        place = Place(part=score.score.parts[fact.part].id, section=score.who(fact.part))
        where = f" in {fact.where}" if fact.where else ""
        return Said(place, f"has no part{where}; extract it")
    if fact.fault:
        return Said(Place(), f"{fact.file} cannot be read: {fact.fault}; extract it again")
    what = f"{fact.file} is the part of no section, or a second one"
    return Said(Place(), f"{what}; take it away", severity="warning")


RULE = Rule(
    id="part-files",
    title="section without a part, or a file that is none",
    why="A stand without a part is found out at the rehearsal, and an old part that lies "
    "among the new ones is played from.",
    instead="Extract the parts again, and take away what is left over.",
    source="common practice, no source",
    severity="error",
    about=FileAmiss,
    say=say,
    parameters=NONE,
    find=find,
    needs_parts=True,
)
