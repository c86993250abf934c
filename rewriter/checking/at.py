"""What a rule asks about places: of a score that was just made, or of any finished one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Protocol

if TYPE_CHECKING:
    from fractions import Fraction

    from rewriter.placing.facts import Player
    from rewriter.problems import Place
    from rewriter.sketch.model import Sounding


class At(Protocol):
    """Makes the places of one score."""

    def note(self, player: Player, note: Sounding) -> Place:
        """Where a note of a line begins."""

    def name(self, player: Player, note: Sounding) -> str:
        """The spelled name of a note whose `midi` is that of the line."""

    def beat(self, note: Sounding) -> Fraction:
        """The beat on which a note begins."""

    def division(self, fact: Any) -> Place:
        """Where a section is divided, of a fact about that."""

    def bar_text(self, bar: int, seen_from: int) -> str:
        """A bar for people, its movement only where it is another than a bar's before it."""
