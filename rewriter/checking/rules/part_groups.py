"""String sections that no bracket holds together."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.checking.listed import SEVERAL, rearranged, whole_score
from rewriter.checking.rule import NONE, Mend, Parameters, Rule, Said, Unmended
from rewriter.editing.part_list import grouped, part_list

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished

_BRACKET: Final = (
    b"<part-group><group-symbol>bracket</group-symbol>"
    b"<group-barline>yes</group-barline></part-group>"
)


class Unbracketed(NamedTuple):
    """Sections that belong together, from the first part to the last.

    Attributes:
        first: index in score order.
        last: likewise.
    """

    first: int
    last: int


def find(score: Finished, _: Parameters) -> Iterator[Unbracketed]:
    """Sections of one bracket that follow each other and are in none."""
    for first, last in _together(score):
        if not _held(score, first, last):
            yield Unbracketed(first, last)


def _together(score: Finished) -> Iterator[tuple[int, int]]:
    """Stretches of parts whose sections belong into one bracket, of two or more."""
    run: list[int] = []
    for part in [*score.of_sections, -1]:
        if run and not (part == run[-1] + 1 and _group(score, part) == _group(score, run[0])):
            if len(run) >= SEVERAL:
                yield run[0], run[-1]
            run = []
        run.append(part)


def _group(score: Finished, part: int) -> str:
    return score.players[part].sections[0].group


def _held(score: Finished, first: int, last: int) -> bool:
    """True where a group begins before the first and ends behind the last, with a symbol."""
    ids = [score.score.parts[part].id for part in (first, last)]
    opened: dict[str, bool] = {}
    around: dict[str, bool] = {}
    for child in score.score.header.iterfind("part-list/*"):
        number = child.get("number", "1")
        if child.tag == "part-group" and child.get("type") == "start":
            opened[number] = (child.findtext("group-symbol") or "none").strip() != "none"
        elif child.tag == "part-group":
            opened.pop(number, None)
            around.pop(number, None)
        elif child.get("id") == ids[0]:
            around = dict(opened)
        if child.get("id") == ids[1]:
            return any(around.values())
    return False


def say(fact: Unbracketed, at: Finished, _: Parameters) -> Said:
    """Say from whom to whom."""
    order = [section.key for section in at.ensemble.sections]
    parts = range(fact.first, fact.last + 1)
    # by rank and not by place, since it is the same fault when they stand in another order
    ranked = sorted(parts, key=lambda part: order.index(at.players[part].sections[0].key))
    text = f"is in no bracket with the sections down to {at.who(ranked[-1])}; bracket them"
    return Said(whole_score(at, ranked[0]), text, wants="a bracket")


def mend(score: Finished, fact: Unbracketed, _: Parameters) -> Mend | Unmended:
    """Put a bracket before them."""
    first, last = (score.score.parts[part] for part in fact)
    if not first.listed or not last.listed:
        return Unmended("a part is not in the part list")
    listed = part_list(score.score)
    order = [one.part for one in listed if one.part]
    ids = [part.id for part in score.score.parts[fact.first : fact.last + 1]]
    if not any(order[at : at + len(ids)] == ids for at in range(len(order))):
        return Unmended("the part list has another order than the parts")
    try:
        return rearranged(score, grouped(listed, first.id, last.id, _BRACKET), "bracket them")
    except ValueError:
        return Unmended("a bracket begins or ends between them")


RULE = Rule(
    id="part-groups",
    title="string sections without a bracket",
    why="The bracket, and barlines drawn through, show at a glance where the strings are. Not "
    "every good edition has one in its file, so only a house asks for it.",
    instead="Bracket the sections, and draw their barlines through.",
    source="common practice, no source",
    severity="off",
    about=Unbracketed,
    say=say,
    parameters=NONE,
    mends="certain",
    find=find,
    mend=mend,
)
