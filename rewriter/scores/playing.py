"""How a part is played at a moment: dynamic, technique, tempo, hairpin.

Directions count from where they stand, moved by their offset; one that names no staff is for
all staves of its part, and a tempo for all parts.
"""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING, NamedTuple

from rewriter.scores.children import attributes_of, element_of
from rewriter.scores.directions import DirectionForm, read_direction_form
from rewriter.scores.notes import positive
from rewriter.scores.spans import spans_of
from rewriter.theory.dynamics import lasting
from rewriter.theory.techniques import techniques_in

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from rewriter.scores.events import Event
    from rewriter.scores.reading import Reading
    from rewriter.scores.spans import SignSpan


class Told(NamedTuple):
    """Something a direction or sound sets.

    Attributes:
        time: divisions from the start of the piece.
        kind: ``dynamic``, ``tempo`` or a family of techniques.
        staff: counted from the top, as text; empty for all.
        value: such as ``mf``, ``pizz.``; a tempo in quarters a minute.
    """

    time: int
    kind: str
    staff: str
    value: str


class Playing:
    """How a part is played."""

    def __init__(self, reading: Reading, part: int) -> None:
        """Gather what is told.

        Args:
            reading: of the score.
            part: index in score order.
        """
        own = told_in(reading, part)
        others = (
            told
            for other in range(len(reading.score.parts))
            if other != part
            for told in told_in(reading, other)
            if told.kind == "tempo"
        )
        self._told = sorted([*own, *others], key=lambda told: told.time)
        self._hairpins = [s for s in spans_of(reading, part).paired if s.start.kind == "wedge"]

    def last(self, kind: str, time: int, staff: str = "1") -> str:
        """What was told last; empty where nothing was.

        Args:
            kind: ``dynamic``, ``tempo`` (quarters a minute), ``bow``, ``mute``, ``place`` or
                ``stroke``.
            time: divisions from the start of the piece; what is told there counts.
            staff: counted from the top, as text.
        """
        chosen = [t for t in self._told if t.kind == kind and t.staff in {"", staff}]
        place = bisect_right([told.time for told in chosen], time)
        return chosen[place - 1].value if place else ""

    def hairpin(self, time: int, staff: str = "1") -> SignSpan | None:
        """The hairpin at a moment, its start counted and its stop not; None for none.

        Args:
            time: divisions from the start of the piece.
            staff: counted from the top, as text.
        """
        return next(
            (
                span
                for span in self._hairpins
                if span.start.time <= time < span.stop.time and span.start.staff in {"", staff}
            ),
            None,
        )


def dynamics_in(reading: Reading, part: int) -> list[Told]:
    """The dynamics that a part tells and that last, in the order of time.

    Args:
        reading: of the score.
        part: index in score order.
    """
    bars = reading.score.parts[part].having(b"<dynamics")
    told = (one for one in told_in(reading, part, bars) if one.kind == "dynamic")
    return sorted(told, key=lambda one: one.time)


def told_in(reading: Reading, part: int, only: Iterable[int] | None = None) -> Iterator[Told]:
    """All that a part tells, in document order.

    Args:
        reading: of the score.
        part: index in score order.
        only: bars that are looked through, by index; all by default.
    """
    bars = reading.bars(part)
    for index in range(len(bars)) if only is None else only:
        bar = bars[index]
        start = reading.timeline.starts[index]
        for event in bar.events:
            if event.tag == "sound":
                yield from _tempo(start + event.onset, attributes_of(event.data))
            elif event.form is not None and b"<dynamics" in event.data:
                yield from _on_note(event, start + event.onset)
            elif event.tag == "direction":
                form = read_direction_form(event.data)
                time = start + event.onset + round(form.offset * bar.scale_at(event.place))
                yield from _of_direction(form, time)


def _on_note(event: Event, time: int) -> Iterator[Told]:
    """Dynamics in a note's own notations, which last as those of directions do."""
    form = event.form
    staff = form.staff if form is not None else ""
    for mark in element_of(event.data).iterfind("notations/dynamics/*"):
        text = mark.text or "" if mark.tag == "other-dynamics" else str(mark.tag)
        if level := lasting(text.strip()):
            yield Told(time, "dynamic", staff, level)


def _of_direction(form: DirectionForm, time: int) -> Iterator[Told]:
    for sign in form.signs:
        if sign.tag == "dynamics":
            if level := lasting(sign.text):
                yield Told(time, "dynamic", form.staff, level)
        elif sign.tag == "words":
            for one in techniques_in(sign.text):
                yield Told(time, one.family, form.staff, one.words)
    yield from _tempo(time, dict(form.sound))


def _tempo(time: int, sound: dict[str, str]) -> Iterator[Told]:
    if positive(sound.get("tempo", "")):
        yield Told(time, "tempo", "", sound["tempo"].strip())
