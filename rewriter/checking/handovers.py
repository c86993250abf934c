"""How handovers are spoken of, by the rules that do."""

from rewriter.checking.places import Places
from rewriter.rulefiles.layouts import Handover
from rewriter.sketch.model import Sounding
from rewriter.theory.pitch import name_of_midi


def limit_text(rule: Handover) -> str:
    """Past what a line is handed over: ``above A4``."""
    return " or ".join(
        f"{word} {name_of_midi(limit)}"
        for word, limit in (("above", rule.above), ("below", rule.below))
        if limit is not None
    )


def until_text(first: Sounding, last: Sounding, at: Places) -> str:
    """How far a run goes on: `` to bar 12``; nothing within one bar."""
    end = at.bar_text(last.bar, first.bar)
    return f" to {end}" if end != at.bar_text(first.bar, first.bar) else ""
