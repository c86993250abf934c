"""String sections that do not stand from the highest to the lowest."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.checking.listed import rearranged, whole_score
from rewriter.checking.rule import NONE, Mend, Parameters, Rule, Said, Unmended
from rewriter.editing.part_list import part_list

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished


class Misplaced(NamedTuple):
    """A section's part above one that belongs above it.

    Attributes:
        part: index in score order, of the first that stands too high.
        below: of what should stand above it.
        wanted: parts of sections as they should follow each other.
    """

    part: int
    below: int
    wanted: tuple[int, ...]


def find(score: Finished, _: Parameters) -> Iterator[Misplaced]:
    """The first section that stands too high."""
    order = {section.key: at for at, section in enumerate(score.ensemble.sections)}
    now = [part for part in score.of_sections if not score.players[part].soloist]
    rank = {part: order[score.players[part].sections[0].key] for part in now}
    wanted = sorted(now, key=lambda part: rank[part])
    for part, should in zip(now, wanted, strict=True):
        if part != should:
            yield Misplaced(part, should, tuple(wanted))
            return


def say(fact: Misplaced, at: Finished, _: Parameters) -> Said:
    """Say above whom it stands."""
    who = [at.who(part) for part in fact.wanted]
    text = f"stands above {at.who(fact.below)}; put them in the order {', '.join(who)}"
    return Said(whole_score(at, fact.part), text, wants=", ".join(who))


def mend(score: Finished, fact: Misplaced, _: Parameters) -> Mend | Unmended:
    """Put them in order, each in the place of another, so that all else stays where it is."""
    parts = score.score.parts
    if any(not parts[part].listed for part in fact.wanted):
        return Unmended("a part is not in the part list")
    listed = part_list(score.score)
    ids = {parts[part].id for part in fact.wanted}
    slots = [at for at, one in enumerate(listed) if one.part in ids]
    between = listed[slots[0] : slots[-1] + 1]
    if any(one.group[1] for one in between):
        return Unmended("a bracket begins or ends between them")
    entries = {one.part: one for one in between if one.part}
    new = list(listed)
    for slot, part in zip(slots, fact.wanted, strict=True):
        new[slot] = entries[parts[part].id]
    return rearranged(score, new, "put them in order")


RULE = Rule(
    id="part-order",
    title="string sections in another order",
    why="Conductors read a score by where things stand, not by names.",
    instead="Let the sections follow each other from the highest to the lowest.",
    source="common practice, no source",
    severity="warning",
    about=Misplaced,
    say=say,
    parameters=NONE,
    mends="certain",
    find=find,
    mend=mend,
)
