"""What a treatise asks of the register a layout's sections play in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.placing.facts import OutsideCondition

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.limits import PlayedLine
    from rewriter.rulefiles.layouts import Condition


def outside_condition(
    condition: Condition, lines: Sequence[PlayedLine]
) -> list[OutsideCondition]:
    """Compare the lines with what the treatise asks of this layout.

    Args:
        condition: the layout's.
        lines: what is played, score order, at whatever shift is asked about.

    Returns:
        At most one for each limit (``cellos_from``, ``cellos_to`` ...): the line with the
        largest share past it, at the first such note.
    """
    worst: list[OutsideCondition] = []
    for bound in condition.bounds:
        concerned = [line for line in lines if line.section.key in bound.sections]
        for limit, sign in ((bound.low, -1), (bound.high, 1)):
            if limit is None:
                continue
            found = filter(None, (_breach(condition, one, limit, sign) for one in concerned))
            largest = max(found, key=lambda breach: breach.share, default=None)
            if largest:
                worst.append(largest)
    return worst


def _breach(
    condition: Condition, line: PlayedLine, limit: int, sign: int
) -> OutsideCondition | None:
    """First note past a limit (upper for sign 1, lower for -1), share of time past it."""
    past = [note for note in line.notes if sign * (note.midi + line.shift - limit) > 0]
    if not past:
        return None
    whole = sum(note.length for note in line.notes)
    share = sum(note.length for note in past) / whole if whole else len(past) / len(line.notes)
    note = past[0]._replace(midi=past[0].midi + line.shift)
    return OutsideCondition(line.player, note, limit, sign > 0, share, condition)
