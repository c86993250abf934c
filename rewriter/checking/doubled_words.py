"""How rules about doublings word what they find."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rewriter.checking.doubled import Unlike
    from rewriter.checking.finished import Finished
    from rewriter.hearing.disagreements import Said
    from rewriter.problems import Place as Spot


def spot(score: Finished, fact: Unlike) -> Spot:
    """Where it begins."""
    time = fact.moments[0].time
    return score.place(fact.line.part, score.heard.bars.bar_at(time), time)


def against(score: Finished, fact: Unlike) -> str:
    """Whom it differs from: ``where Vn I and Vla, doubling it, have``."""
    who = list(dict.fromkeys(score.who(line.part) for line in fact.others))
    *most, last = who
    said = f"{', '.join(most)} and {last}" if most else last
    return f"where {said}, doubling it, {'have' if most else 'has'}"


def more(score: Finished, fact: Unlike) -> str:
    """How often it is so besides: ``, and at 3 more moments up to bar 12``; else empty."""
    number = len(fact.moments) - 1
    if not number:
        return ""
    line = fact.line
    first, last = (score.heard.bars.bar_at(fact.moments[at].time) for at in (0, -1))
    until = f" up to bar {score.printed(line.part, last)}" if last > first else ""
    return f", and at {number} more {'moment' if number == 1 else 'moments'}{until}"


def named(said: Iterable[Said]) -> str:
    """What is said, each thing once: ``accent and staccato``; ``none`` for nothing."""
    return " and ".join(dict.fromkeys(one.what for one in said)) or "none"
