"""What a treatise asks of the register a layout's sections play in."""

from typing import TYPE_CHECKING, NamedTuple

from rewriter.problems import Finding
from rewriter.theory.pitch import name_of_midi

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.limits import Describe, PlayedLine
    from rewriter.rulefiles.layouts import Condition
    from rewriter.sketch.model import Sounding


def check_condition(
    condition: "Condition", lines: "Sequence[PlayedLine]", describe: "Describe"
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
    findings: list[Finding] = []
    for bound in condition.bounds:
        concerned = [line for line in lines if line.section.key in bound.sections]
        for limit, sign in ((bound.low, -1), (bound.high, 1)):
            if limit is None:
                continue
            breaches = [_breach(line, limit, sign) for line in concerned]
            worst = max(
                (found for found in breaches if found),
                key=lambda found: found.share,
                default=None,
            )
            if worst:
                findings.append(_finding(condition, worst, limit, sign, describe))
    return findings


class _Breach(NamedTuple):
    line: "PlayedLine"
    note: "Sounding"
    share: float


def _breach(line: "PlayedLine", limit: int, sign: int) -> _Breach | None:
    """First note past a limit (upper for sign 1, lower for -1), share of time past it."""
    past = [note for note in line.notes if sign * (note.midi + 12 * line.octave - limit) > 0]
    if not past:
        return None
    whole = sum(note.length for note in line.notes)
    share = sum(note.length for note in past) / whole if whole else len(past) / len(line.notes)
    note = past[0]
    return _Breach(line, note._replace(midi=note.midi + 12 * line.octave), share)


def _finding(
    condition: "Condition", breach: _Breach, limit: int, sign: int, describe: "Describe"
) -> Finding:
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
