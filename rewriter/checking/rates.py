"""How often a rule finds something in good editions, as it was measured.

A rule that speaks where an engraver of the standard repertory was right is a nuisance; the
figures stand in ``rates.json``, a list with an object for each body of music: what it is
(``music``), how long it is in ``bars``, and the number ``found`` by each rule that was asked.
"""

import json
from pathlib import Path
from typing import NamedTuple

FILE = Path(__file__).with_suffix(".json")


class Rate(NamedTuple):
    """What a rule found in a body of music.

    Attributes:
        music: for people: ``30 quartets``.
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


def rates_of(rule: str) -> list[Rate]:
    """What was measured of a rule, in the order of the file; empty for nothing.

    Args:
        rule: its id.
    """
    return [
        Rate(each["music"], each["bars"], each["found"][rule])
        for each in json.loads(FILE.read_text(encoding="utf-8"))
        if rule in each["found"]
    ]
