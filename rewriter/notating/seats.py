"""Which players of a section a line has: half may pluck while the other half bows.

Players are counted from the front, a desk being two. Desks and the solo are those of their
number; all other shares sit down in the order of the lines, from the top, on the seats that
are left. So a half alone is the front half. (Common practice, no source.)
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.rulefiles.stack_lines import PLAYERS_AT_A_DESK

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.notating.depths import Beside
    from rewriter.placing.lines import Line

_NUMBERED: Final = frozenset(("desk", "desks", "solo"))


class Seats(NamedTuple):
    """Neighbouring players: the first, and the first behind them; of odd sections in halves."""

    first: float
    behind: float


def seated(
    passages: Sequence[Sequence[Line]], beside: Iterable[Beside]
) -> list[list[list[Seats]]]:
    """Where the players of each line of a section sit, passage by passage.

    Args:
        passages: the section's own lines in each, top line first.
        beside: lines that begin while others hold a note, which are other players.
    """
    found: list[list[list[Seats]]] = []
    holding = list(beside)
    for at, lines in enumerate(passages):
        busy = [found[before[0]][before[1]] for before, after, _ in holding if after[0] == at]
        found.append(_in_passage(lines, [one for seats in busy for one in seats]))
    return found


def _in_passage(lines: Sequence[Line], busy: Sequence[Seats]) -> list[list[Seats]]:
    taken: list[list[Seats]] = [_of_number(line) for line in lines]
    waiting = [at for at, line in enumerate(lines) if line.share.kind not in _NUMBERED]
    waiting.sort(key=lambda at: lines[at].share.kind == "others")  # they have what is left
    for at in waiting:
        line = lines[at]
        count, known = line.section.players, [one for seats in taken for one in seats]
        seats = _the_next(_free(count, [*known, *busy]), line.players)
        taken[at] = seats or _the_next(_free(count, known), line.players)
    return taken


def _of_number(line: Line) -> list[Seats]:
    share, count = line.share, line.section.players
    if share.kind == "solo":
        return [Seats(0, 1)]
    if share.kind not in _NUMBERED:
        return []
    first = PLAYERS_AT_A_DESK * (share.first - 1)
    return [Seats(first, min(PLAYERS_AT_A_DESK * share.last, count))]


def _free(count: int, taken: Iterable[Seats]) -> list[Seats]:
    free, at = [], 0.0
    for first, behind in [*sorted(taken), (count, count)]:
        if first > at:
            free.append(Seats(at, first))
        at = max(at, behind)
    return free


def _the_next(free: Iterable[Seats], players: float) -> list[Seats]:
    seats = []
    for gap in free:
        behind = min(gap.behind, gap.first + players)
        if behind > gap.first:
            seats.append(Seats(gap.first, behind))
            players -= behind - gap.first
    return seats
