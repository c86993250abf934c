"""What is in force for a staff of a part at a moment.

Whatever changes within a bar counts from its moment, wherever it stands in the file.
"""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction
from typing import TYPE_CHECKING, Generic, NamedTuple, TypeVar

from rewriter.scores.attributes import read_attributes
from rewriter.scores.events import Slip
from rewriter.scores.staff_signs import ClefSaid, KeySaid, Transposition
from rewriter.theory.metre import Metre

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from rewriter.scores.attributes import Change, Said
    from rewriter.scores.reading import Reading


class InForce(NamedTuple):
    """What is in force at a moment; None for what has not been said yet.

    Attributes:
        metre: of the bar.
        key: as written, not as sounding.
        clef: of the staff.
        transposition: none at all where it has not been said.
        divisions: of a quarter, as the file counts.
    """

    metre: Metre | None
    key: KeySaid | None
    clef: ClefSaid | None
    transposition: Transposition
    divisions: Fraction | None


When = TypeVar("When", int, "tuple[int, Fraction]")
"""How whoever asks counts time."""


class Told(Generic[When]):
    """What is in force in a part, out of what changes in it."""

    def __init__(self, changes: Iterable[tuple[When, Change]]) -> None:
        """Gather what changes, in any order."""
        self._changes: list[tuple[When, Change]] = sorted(changes, key=lambda found: found[0])
        self._told: dict[tuple[str, str], tuple[list[When], list[Said]]] = {}

    def at(self, time: When, staff: str = "1") -> InForce:
        """What is in force.

        Args:
            time: what changes there counts.
            staff: counted from the top, as text.
        """
        metre, key, clef, divisions = (
            self.last(kind, time, staff) for kind in ("metre", "key", "clef", "divisions")
        )
        return InForce(
            metre if isinstance(metre, Metre) else None,
            key if isinstance(key, KeySaid) else None,
            clef if isinstance(clef, ClefSaid) else None,
            self.transposition(time, staff),
            divisions if isinstance(divisions, Fraction) else None,
        )

    def transposition(self, time: When, staff: str = "1") -> Transposition:
        """From what is written to what sounds.

        Args:
            time: what changes there counts.
            staff: counted from the top, as text.
        """
        found = self.last("transposition", time, staff)
        return found if isinstance(found, Transposition) else Transposition()

    def last(self, kind: str, time: When, staff: str = "1") -> Said | None:
        """The last that was said of a kind; None where nothing was.

        Args:
            kind: of a :class:`rewriter.scores.attributes.Change`.
            time: what changes there counts.
            staff: counted from the top, as text.
        """
        told = self._told.get((kind, staff))
        if told is None:
            chosen = [
                (at, change.value)
                for at, change in self._changes
                if change.kind == kind and change.staff in {"", staff}
            ]
            told = [at for at, _ in chosen], [value for _, value in chosen]
            self._told[kind, staff] = told
        times, values = told
        place = bisect_right(times, time)
        return values[place - 1] if place else None


class PartInForce(Told[int]):
    """What is in force in a part of a score that is read whole.

    Time is in divisions from the start of the piece.

    Attributes:
        slips: what the part says that cannot be, and that was put right.
    """

    def __init__(self, reading: Reading, part: int) -> None:
        """Gather what changes.

        Args:
            reading: of the score.
            part: index in score order.
        """
        self.slips: list[Slip] = []
        super().__init__(self._said_in(reading, part))

    def _said_in(self, reading: Reading, part: int) -> Iterator[tuple[int, Change]]:
        for index, bar in enumerate(reading.bars(part)):
            start = reading.timeline.starts[index]
            for event in bar.events:
                if event.tag == "attributes":
                    said = read_attributes(event.data)
                    self.slips += [
                        Slip(kind, index, event.onset, text) for kind, text in said.impossible
                    ]
                    for change in said.changes:
                        yield start + event.onset, change
