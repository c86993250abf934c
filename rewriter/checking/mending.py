"""Faults put right, pass by pass, until nothing more can be.

A pass makes every mend that touches no bar another one touches; then all rules look again,
since what one has put right may be what another was about. A mend that leads to a finding the
score had not before is taken back, and its finding stays.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.checking.looking import found_in
from rewriter.checking.rule import Mend, Unmended
from rewriter.checking.worded import with_mend
from rewriter.editing.edit_kinds import InBar, Removed, Replaced
from rewriter.editing.edits import edited

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.checking.house import House
    from rewriter.checking.looking import Found
    from rewriter.editing.edits import Edit, Where
    from rewriter.problems import Finding

_MANY: Final = -1
"""In the place of a child: where edits change the order of children, no other is made."""

_Key = tuple[str, str, int, str, str]
"""Of a finding: rule, part, bar counted, moment, and what it says."""


class Done(NamedTuple):
    """A finding that has been put right.

    Attributes:
        finding: as it was.
        what: was done.
        places: bars and pieces of the header that were changed for it.
    """

    finding: Finding
    what: str
    places: tuple[Where, ...]


class Mended(NamedTuple):
    """A score after mending.

    Attributes:
        before: as it was.
        score: as it is now; the same object where nothing was done.
        done: what was put right, in the order in which it was.
        left: findings that are still there.
    """

    before: Finished
    score: Finished
    done: list[Done]
    left: list[Finding]


def mended(
    score: Finished,
    house: House,
    again: Callable[[bytes], Finished],
    *,
    wanted: Callable[[str], bool] = lambda _: True,
) -> Mended:
    """Put right what can be.

    Args:
        score: as it is.
        house: severities and parameters.
        again: looks at a changed file as at this one.
        wanted: says for the id of a rule whether it may mend.

    Raises:
        RuntimeError: mends go round in a circle; the rules are named.
    """
    before = score
    done: list[Done] = []
    refused: dict[_Key, str] = {}
    seen = {score.score.digest}
    found = list(found_in(score, house))
    while chosen := _chosen(found, refused, wanted):
        made = again(edited(score.score, (edit for _, mend in chosen for edit in mend.edits)))
        made.take_over(score)
        then = list(found_in(made, house))
        if worse := _new_findings(found, then):
            _take_back(chosen, worse, refused, score)
            continue
        if made.score.digest in seen:
            raise RuntimeError(f"mends go round: {_named(chosen)}")
        seen.add(made.score.digest)
        done += [
            Done(
                one.finding, mend.what, tuple(dict.fromkeys(edit.where for edit in mend.edits))
            )
            for one, mend in chosen
        ]
        score, found = made, then
    return Mended(before, score, done, [_left(one, refused) for one in found])


def _chosen(
    found: Sequence[Found], refused: dict[_Key, str], wanted: Callable[[str], bool]
) -> list[tuple[Found, Mend]]:
    """The mends of one pass, those of earlier rules first.

    No two of them are in one place, unless one rule changes children there that none of its
    other mends touches.
    """
    taken: dict[Where, tuple[str, set[int]]] = {}
    chosen: list[tuple[Found, Mend]] = []
    for one in found:
        mend = one.mend
        if (
            not isinstance(mend, Mend)
            or not wanted(one.rule.id)
            or _key(one.finding) in refused
        ):
            continue
        if all(_is_free(edit, one.rule.id, taken) for edit in mend.edits):
            for edit in mend.edits:
                children = taken.setdefault(edit.where, (one.rule.id, set()))[1]
                children.add(_child(edit))
            chosen.append((one, mend))
    return chosen


def _is_free(edit: Edit, rule: str, taken: Mapping[Where, tuple[str, set[int]]]) -> bool:
    if edit.where not in taken:
        return True
    owner, children = taken[edit.where]
    return rule == owner and _MANY not in children and _child(edit) not in {_MANY, *children}


def _child(edit: Edit) -> int:
    """The child that alone is changed; or that others may be."""
    return edit.child if isinstance(edit, (Replaced, Removed)) else _MANY


def _key(finding: Finding) -> _Key:
    place = finding.place
    return finding.rule, place.part, place.bar_counted, place.moment, finding.text


def _new_findings(before: Iterable[Found], after: Iterable[Found]) -> list[Finding]:
    """Findings that were not there, however often one was."""
    left = Counter(_key(one.finding) for one in before)
    new = []
    for one in after:
        key = _key(one.finding)
        if left[key]:
            left[key] -= 1
        else:
            new.append(one.finding)
    return new


def _take_back(
    chosen: Sequence[tuple[Found, Mend]],
    worse: Sequence[Finding],
    refused: dict[_Key, str],
    score: Finished,
) -> None:
    """Refuse the mends that stand where something new is found; all, where none does."""
    parts = {part.id: index for index, part in enumerate(score.score.parts)}
    bars = {(parts.get(one.place.part, -1), one.place.bar_counted - 1) for one in worse}
    guilty = [pair for pair in chosen if _touches(pair[1].edits, bars)] or chosen
    rules = ", ".join(sorted({one.rule for one in worse}))
    for one, _ in guilty:
        refused[_key(one.finding)] = f"it would lead to another finding ({rules})"


def _touches(edits: Iterable[Edit], bars: set[tuple[int, int]]) -> bool:
    return any(
        isinstance(edit.where, InBar) and (edit.where.part, edit.where.bar) in bars
        for edit in edits
    )


def _left(one: Found, refused: dict[_Key, str]) -> Finding:
    why = refused.get(_key(one.finding))
    return with_mend(one.finding, Unmended(why)) if why else one.finding


def _named(chosen: Sequence[tuple[Found, Mend]]) -> str:
    return ", ".join(sorted({one.rule.id for one, _ in chosen}))
