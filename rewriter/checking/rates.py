"""How often a rule finds something in good editions, as it was measured.

A rule that speaks where an engraver of the standard repertory was right is a nuisance. The
figures stand in ``rates.json``, which ``python -m tests.rates`` writes: under ``music`` what
was looked through, each with its length in bars; under ``rules`` for each rule how much it
``found`` in each of them, and, by hand, how many of these findings were ``read`` against the
score and how many of those were ``right``.
"""

import json
from pathlib import Path
from typing import NamedTuple

FILE = Path(__file__).with_suffix(".json")


class Rate(NamedTuple):
    """What a rule found in a body of music.

    Attributes:
        music: for people: ``51 quartet movements``.
        bars: of it.
        found: findings in all of them.
    """

    music: str
    bars: int
    found: int

    @property
    def in_100_bars(self) -> float:
        """Findings in a hundred bars."""
        return 100 * self.found / self.bars


class Measured(NamedTuple):
    """All that was measured of a rule.

    Attributes:
        rates: of each body of music; empty where it was not asked.
        read: findings that somebody has read against the score.
        right: of those, where there was a fault.
    """

    rates: tuple[Rate, ...] = ()
    read: int = 0
    right: int = 0


def measured_of(rule: str) -> Measured:
    """What was measured of a rule.

    Args:
        rule: its id.
    """
    file = json.loads(FILE.read_text(encoding="utf-8"))
    known = file["rules"].get(rule)
    if known is None:
        return Measured()
    pairs = zip(file["music"], known["found"], strict=True)
    rates = tuple(Rate(music["name"], music["bars"], found) for music, found in pairs)
    return Measured(rates, known["read"], known["right"])
