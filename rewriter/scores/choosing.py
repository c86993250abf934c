"""A voice of a score as people choose one: a part by name or id, its staff, its voice."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.problems import Refused
from rewriter.scores.naming import parts_called, said_part, said_parts, without_quotes
from rewriter.theory.numbers import whole

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.scores.score import Part

_CHOICE: Final = re.compile(
    r"(?P<part>.*?)(?:\s*\bstaff\s+(?P<staff>\d+))?(?:\s*\bvoice\s+(?P<voice>\S+))?",
    re.IGNORECASE | re.DOTALL,
)


class Choice(NamedTuple):
    """What somebody has chosen, as words.

    Attributes:
        part: a name or an id; empty where only a staff or voice was named.
        staff: counted from the top; empty where none was named.
        voice: its name; empty where none was named.
    """

    part: str
    staff: str
    voice: str


def read_choice(parts: Sequence[Part], choice: str) -> Choice:
    """Read what somebody has chosen.

    Args:
        parts: of the score; one may be called "Voice 1".
        choice: a part by name or id, and perhaps ``staff 2`` and ``voice 1``.
    """
    match = _CHOICE.fullmatch(choice.strip())
    if match is None or parts_called(parts, choice):
        return Choice(choice, "", "")
    return Choice(match["part"], match["staff"] or "", match["voice"] or "")


def part_named(parts: Sequence[Part], name: str) -> Part:
    """The part that is called so.

    Args:
        parts: of the score.
        name: its id or full name.

    Raises:
        Refused: none is, or several are.
    """
    named = parts_called(parts, name)
    if len(named) == 1:
        return named[0]
    name = without_quotes(name)
    if named:
        which = ", ".join(part.id for part in named)
        raise Refused(f'{len(named)} parts are called "{name}"', f"choose one of {which}")
    raise Refused(f'no part is called "{name}"', f"choose one with --tune: {said_parts(parts)}")


def require_staff(part: Part, staff: str) -> None:
    """See that a part has a staff.

    Args:
        part: it should be in.
        staff: counted from the top.

    Raises:
        Refused: it has fewer.
    """
    if (number := whole(staff)) is None or not 0 < number <= part.staves:
        raise Refused(
            f"{said_part(part)} has no staff {staff}",
            f"it has {part.staves}; choose one with --tune",
        )
