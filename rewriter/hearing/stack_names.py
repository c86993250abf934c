"""Stacks in the words of layouts: sections instead of voices, ``Vn I / Vn II + half Vc``."""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING, Protocol

from rewriter.hearing.stacks import levels_text
from rewriter.rulefiles.stack_lines import Member, Share

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.hearing.lines import Heard, HeardLine, Place
    from rewriter.hearing.sections import PartPlayers
    from rewriter.hearing.stacks import HeardLevel
    from rewriter.rulefiles.stack_lines import ShareKind

_FRACTIONS: dict[int, ShareKind] = {2: "half", 3: "third"}


class Stacked(Protocol):
    """A stack for a while."""

    @property
    def start(self) -> int:
        """Divisions from the start of the piece."""

    @property
    def stop(self) -> int:
        """Likewise."""

    @property
    def levels(self) -> tuple[HeardLevel, ...]:
        """Top first."""


def stack_text(heard: Heard, players: Sequence[PartPlayers], stack: Stacked) -> str:
    """A stack as a layout writes it, without an octave word.

    A section all of whose lines are in the stack has its name alone. Of one that plays
    something else besides, the half or the third that is in it is named. What is no section
    has the name of its part.

    Args:
        heard: the score.
        players: who plays each part, in score order.
        stack: of this score.
    """
    there = [place for level in stack.levels for place in level.lines]
    playing = [line.place for line in heard.lines if _plays(line, stack.start, stack.stop)]

    def name_of(place: Place) -> str:
        own = players[place.part]
        if not own.sections:
            return heard.reading.score.parts[place.part].name
        return " + ".join(
            Member(section.key, Share(_share(section.key, section.players))).text
            for section in own.sections
        )

    def _share(key: str, count: int) -> ShareKind:
        mine = [place for place in playing if key in _keys(players[place.part])]
        inside = [place for place in there if key in _keys(players[place.part])]
        whole = len(inside) >= len(mine) or count == 1
        return "whole" if whole else _FRACTIONS.get(len(mine) // len(inside), "whole")

    return levels_text(stack.levels, name_of)


def _keys(players: PartPlayers) -> list[str]:
    return [section.key for section in players.sections]


def _plays(line: HeardLine, start: int, stop: int) -> bool:
    at = bisect_left(line.notes, start, key=lambda note: note.time)
    return at < len(line.notes) and line.notes[at].time < stop
