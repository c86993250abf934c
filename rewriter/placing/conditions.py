"""What a treatise asks of the register a layout's sections play in."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.problems import Finding
from rewriter.theory.pitch import name_of_midi

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.limits import Describe, PlayedLine
    from rewriter.rulefiles.layouts import Condition
    from rewriter.sketch.model import Sounding


def check_condition(
    condition: Condition, lines: Sequence[PlayedLine], describe: Describe
) -> list[Finding]:
    """Compare the lines with what the treatise asks of this layout.

    Args:
        condition: the layout's.
        lines: what is played, score order.
        describe: called with the line's MIDI number, for notes that are reported.

    Returns:
        At most one advice finding for each limit (``cellos_from``, ``cellos_to`` ...): at the
        line with the largest share past it, the first such note.
    """
    return [_finding(condition, breach, describe) for breach in breaches(condition, lines)]


class Breach(NamedTuple):
    """A limit of a condition, and the line that is past it for the largest share of its time.

    Attributes:
        limit: MIDI number.
        sign: 1 for an upper limit, -1 for a lower one.
        line: that is past it.
        note: the first that is, as the line sounds.
        share: of the line's time past the limit, above 0, to 1.
    """

    limit: int
    sign: int
    line: PlayedLine
    note: Sounding
    share: float


def breaches(condition: Condition, lines: Sequence[PlayedLine]) -> list[Breach]:
    """What of a condition does not hold, at most once for each of its limits.

    Args:
        condition: the layout's.
        lines: what is played, at whatever shift is asked about.
    """
    worst: list[Breach] = []
    for bound in condition.bounds:
        concerned = [line for line in lines if line.section.key in bound.sections]
        for limit, sign in ((bound.low, -1), (bound.high, 1)):
            if limit is None:
                continue
            found = filter(None, (_breach(line, limit, sign) for line in concerned))
            largest = max(found, key=lambda breach: breach.share, default=None)
            if largest:
                worst.append(largest)
    return worst


def _breach(line: PlayedLine, limit: int, sign: int) -> Breach | None:
    """First note past a limit (upper for sign 1, lower for -1), share of time past it."""
    past = [note for note in line.notes if sign * (note.midi + line.shift - limit) > 0]
    if not past:
        return None
    whole = sum(note.length for note in line.notes)
    share = sum(note.length for note in past) / whole if whole else len(past) / len(line.notes)
    note = past[0]
    return Breach(limit, sign, line, note._replace(midi=note.midi + line.shift), share)


def _finding(condition: Condition, breach: Breach, describe: Describe) -> Finding:
    limit, sign = breach.limit, breach.sign
    bar, beat, sounds = describe(breach.note)
    side, wanted = ("above", "or below") if sign > 0 else ("below", "or above")
    limit_name = name_of_midi(limit)
    why = condition.because.strip().rstrip(".")
    # Examples, after a semicolon, are for `rewriter rules`.
    book = condition.source.split(";")[0].strip()
    source = f" ({book})" if book else ""
    return Finding(
        rule="outside-condition",
        severity="advice",
        text=f"{sounds} is {side} {limit_name}, as is {_percent(breach.share)} of this line; "
        f"{why}{source}",
        section=breach.line.label,
        bar=bar,
        beat=beat,
        sounds=sounds,
        wants=f"{limit_name} {wanted}",
    )


def _percent(share: float) -> str:
    """A share in words that never round to none or all.

    >>> _percent(1.0), _percent(0.999), _percent(0.25), _percent(0.001)
    ('all', '99%', '25%', '1%')
    """
    if share == 1:
        return "all"
    return f"{min(max(round(100 * share), 1), 99)}%"
