"""What bars are known again by: what sounds in all parts together, and signs."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Final

from rewriter.comparing.digests import as_it_sounds, rhythm_and_contour
from rewriter.comparing.parts import NOTHING

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

    from rewriter.comparing.contents import Contents
    from rewriter.comparing.things import Bar

EXACTLY: Final = 100
"""How like each other two bars are that sound the same in every part."""
_SAME_TUNE: Final = 90
_NEARLY: Final = 85
_SAME_SHAPE: Final = 60
_SAME_RHYTHM: Final = 30
_NOTES_IN_IT: Final = 40


class Profile:
    """A bar of a score, all parts together.

    Attributes:
        heard: the same for two bars that sound the same in every part.
        marks: rehearsal marks in it.
        edges: double bars, repeats and endings.
    """

    def __init__(self, bars: Sequence[Bar], up: float, others: Sequence[Bar] = ()) -> None:
        """Take a bar.

        Args:
            bars: of each part, in the same order as in the score it is compared with.
            up: semitones that it counts as higher than it is.
            others: of parts that the other score has not.
        """
        self._parts = bars
        self._bars = [*bars, *others]
        self._up = up
        alike = tuple(as_it_sounds(bar, up) for bar in bars)
        self.heard: Hashable = (alike, self.tune) if others or not bars else alike
        things = [thing for bar in self._bars for thing in bar.things]
        self.marks = frozenset(one.what for one in things if one.kind == "rehearsal mark")
        self.edges = frozenset(
            (one.kind, one.what)
            for one in things
            if one.kind in {"barline", "repeat", "ending"}
        )

    @cached_property
    def silent(self) -> bool:
        """True where nothing sounds."""
        return not any(note.length for bar in self._bars for note in bar.notes)

    @cached_property
    def tune(self) -> frozenset[tuple[int, int, float]]:
        """Onset, length and letter of what sounds, whoever plays it in whatever octave."""
        return frozenset().union(*(_tune(bar, self._up) for bar in self._bars))

    @cached_property
    def notes(self) -> frozenset[tuple[int, int, int, float]]:
        """Part, onset, length and height of each note."""
        return frozenset(
            (part, note.thing.at.onset, note.length, note.pitch.midi + self._up)
            for part, bar in enumerate(self._parts)
            for note in bar.notes
            if note.length and note.pitch
        )

    @cached_property
    def shapes(self) -> tuple[object, ...]:
        """Rhythm and contour of each part; None where it rests."""
        return tuple(rhythm_and_contour(bar) if bar.notes else None for bar in self._parts)

    @cached_property
    def rhythm(self) -> frozenset[tuple[int, int]]:
        """Onset and length of what sounds."""
        return frozenset((onset, length) for onset, length, _ in self.tune)

    def likeness(self, other: Profile) -> int:
        """How like another bar it is, 0 to 100."""
        if self.heard == other.heard:
            return EXACTLY
        if self.silent or other.silent:
            return 0
        if self.tune == other.tune:
            return _SAME_TUNE
        shapes = [pair for pair in zip(self.shapes, other.shapes, strict=True) if any(pair)]
        alike = sum(a == b for a, b in shapes) / max(len(shapes), 1)
        tune = _common(self.tune, other.tune)
        rhythm = _common(self.rhythm, other.rhythm)
        return int(
            max(
                _NEARLY * _common(self.notes, other.notes),
                _NEARLY * tune,
                _SAME_SHAPE * alike,
                _SAME_RHYTHM * rhythm + _NOTES_IN_IT * tune,
            )
        )


def _tune(bar: Bar, up: float) -> frozenset[tuple[int, int, float]]:
    known = bar.twins.known if bar.twins else {}
    key = "tune", up
    if key not in known:
        known[key] = frozenset(
            (note.thing.at.onset, note.length, (note.pitch.midi + up) % 12)
            for note in bar.notes
            if note.length and note.pitch
        )
    found: frozenset[tuple[int, int, float]] = known[key]
    return found


def _common(a: frozenset[object], b: frozenset[object]) -> float:
    """The share of what both have of what either has."""
    either = len(a | b)
    return len(a & b) / either if either else 0


def profiles(
    parts: Sequence[Contents], up: Sequence[float] = (), others: Sequence[Contents] = ()
) -> list[Profile]:
    """The bars of a score.

    Args:
        parts: those that the other score has too, in the same order and divisions.
        up: semitones that each bar counts as higher than it is; none where not given.
        others: parts that the other score has not.
    """
    count = max((len(part.bars) for part in (*parts, *others)), default=0)
    return [
        Profile(_column(parts, bar), up[bar] if bar < len(up) else 0, _column(others, bar))
        for bar in range(count)
    ]


def _column(parts: Sequence[Contents], bar: int) -> list[Bar]:
    return [part.bars[bar] if bar < len(part.bars) else NOTHING for part in parts]
