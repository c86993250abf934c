"""Whether the section of a part is divided at a moment, by the words in the part."""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.scores.directions import read_direction_form
from rewriter.theory.division_words import divisions_in

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.theory.division_words import Division

_SHARES_ANYHOW: Final = "div."
_SEVERAL: Final = frozenset(("div", "share"))


class DivisionTold(NamedTuple):
    """Words that say who plays, where they stand.

    Attributes:
        time: from which they hold, in divisions from the start of the piece.
        staff: counted from the top, as text; empty for all.
        kind: of division.
        lines: in how many lines, where they say it; 0 where they do not.
        bar: index of the bar they stand in.
        words: as they are printed.
    """

    time: int
    staff: str
    kind: Division
    lines: int
    bar: int
    words: str


class Divisions:
    """Who of a section plays, at any moment of a part.

    Attributes:
        told: words that say it, in the order of time.
    """

    def __init__(self, score: Finished, part: int) -> None:
        """Gather what is told.

        Args:
            score: it is in.
            part: index in score order.
        """
        self.told = sorted(_told_in(score, part), key=lambda one: one.time)
        self._times = [one.time for one in self.told]
        self._named = score.players[part].share == _SHARES_ANYHOW
        self._starts = [score.reading.timeline.starts[bar] for bar in score.movements[1:]]
        # A word stands over the note it is for, or a little behind it.
        self._late = score.reading.divisions // 2

    def last(self, time: int, staff: str = "1") -> DivisionTold | None:
        """What was told last in the movement; None where nothing was.

        Args:
            time: divisions from the start of the piece; what is told there counts.
            staff: counted from the top, as text.
        """
        if not self.told:
            return None
        movement = bisect_right(self._starts, time)
        begins = self._starts[movement - 1] if movement else 0
        for at in range(bisect_right(self._times, time) - 1, -1, -1):
            one = self.told[at]
            if one.time < begins:
                break
            if one.staff in {"", staff}:
                return one
        return None

    def until(self, told: DivisionTold, end: int) -> tuple[int, Division | None]:
        """Up to where words hold, and what is told there; None for the end of the movement.

        Args:
            told: the words.
            end: divisions from the start of the piece to the end of the piece.
        """
        place = bisect_right(self._starts, told.time)
        end = self._starts[place] if place < len(self._starts) else end
        for one in self.told:
            if told.time < one.time < end and (not told.staff or one.staff in {"", told.staff}):
                return one.time, one.kind
        return end, None

    def divided(self, time: int, staff: str = "1") -> bool:
        """True where words give several lines to different players.

        Args:
            time: divisions from the start of the piece.
            staff: counted from the top, as text.
        """
        near = (self.last(at, staff) for at in (time, time + self._late))
        return self._named or any(one is not None and one.kind in _SEVERAL for one in near)

    def kept_together(self, time: int, staff: str = "1") -> bool:
        """True where words say that everybody plays all notes.

        Args:
            time: divisions from the start of the piece.
            staff: counted from the top, as text.
        """
        last = self.last(time + self._late, staff)
        return last is not None and last.kind == "undivided"


def _told_in(score: Finished, part: int) -> Iterator[DivisionTold]:
    bars = score.reading.bars(part)
    for at in score.score.parts[part].saying(b"<words"):
        start = score.reading.timeline.starts[at]
        for event in bars[at].events:
            if event.tag != "direction" or b"<words" not in event.data:
                continue
            form = read_direction_form(event.data)
            text = " ".join(sign.text for sign in form.signs if sign.tag == "words")
            offset = round(form.offset * bars[at].scale_at(event.place))
            for one in divisions_in(text):
                time = start + event.onset + offset
                yield DivisionTold(time, form.staff, one.kind, one.lines, at, one.words)
