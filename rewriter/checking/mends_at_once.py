"""Which mends can be made at once, and what a finding is known by while others are mended."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.checking.rule import Mend
from rewriter.checking.rules import RULES
from rewriter.editing.edit_kinds import Removed, Replaced

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from rewriter.checking.looking import Found
    from rewriter.editing.edits import Edit, Where
    from rewriter.problems import Finding

_MANY: Final = -1
"""In the place of a child: where edits change the order of children, no other is made."""

Key = tuple[str, str, int, str, str]
"""Of a finding: rule, part, bar counted, moment, and what it says."""

_ASKED: Final = frozenset(rule.id for rule in RULES if rule.find_asked)
"""Rules about what a house asks of the layout."""


def chosen_mends(
    found: Sequence[Found], refused: dict[Key, str], wanted: Callable[[str], bool]
) -> list[tuple[Found, Mend]]:
    """The mends of one pass: what the house asks of the layout, else all others."""
    asked = [one for one in found if is_asked(one)]
    others = (one for one in found if not is_asked(one))
    return _together(asked, refused, wanted) or _together(others, refused, wanted)


def is_asked(one: Found) -> bool:
    """True for a finding that comes of what a house asks for."""
    return one.rule.id in _ASKED


def _together(
    found: Iterable[Found], refused: dict[Key, str], wanted: Callable[[str], bool]
) -> list[tuple[Found, Mend]]:
    """Mends that can be made at once, those of earlier rules first.

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
            or key_of(one.finding) in refused
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


def key_of(finding: Finding) -> Key:
    """What a finding is known by while others are mended."""
    place = finding.place
    if finding.rule in _ASKED:  # who plays there now may have changed, what is asked has not
        return finding.rule, "", place.bar_counted, place.moment, finding.wants
    return finding.rule, place.part, place.bar_counted, place.moment, finding.text
