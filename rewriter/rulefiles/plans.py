"""Plans: the passages of a cue in order, and which layout each is played in."""

import re
from fractions import Fraction
from typing import Final, Literal

import msgspec

from rewriter.rulefiles.layouts import Layout
from rewriter.rulefiles.words import Chords
from rewriter.theory.fifths import Direction, Interval, Key

_DASH: Final = "\u2013\u2212-"
_BARS: Final = re.compile(rf"([^\s{_DASH}]+)(?: ?[{_DASH}] ?([^\s{_DASH}]+))?")


class Point(msgspec.Struct, frozen=True):
    """Where a passage starts or stops, in the words of the score; not yet looked up.

    Attributes:
        kind: ``start`` and ``end`` of the cue, else ``named``.
        name: printed bar number or rehearsal mark, for ``named``.
        beat: counted from 1 in denominators; None for the beginning of the bar or mark.
    """

    kind: Literal["start", "end", "named"]
    name: str = ""
    beat: Fraction | None = None


class Passage(msgspec.Struct, frozen=True, kw_only=True):
    """A stretch of bars under one layout.

    Attributes:
        index: place in the plan, from 0.
        start: where it begins.
        stop: where it ends; a bar number is its last bar, a rehearsal mark lies after it.
        by_bars: True when both were given as ``bars``, so that names are bar numbers.
        pickup: beats of upbeat taken along from the bar before, in denominators.
        layout: who plays.
        octave: whole octaves of the layout's top level from the tune; None to leave it to
            the layout, or to be placed.
        key: state the tune in this key; None for as it is.
        by: or move it by this interval; None for as it is.
        direction: which way to go to the key.
        chords: overrides the layout's; None for the layout's own.
    """

    index: int
    start: Point
    stop: Point
    by_bars: bool
    pickup: Fraction
    layout: Layout
    octave: int | None = None
    key: Key | None = None
    by: Interval | None = None
    direction: Direction = "nearest"
    chords: Chords | None = None


class Plan(msgspec.Struct, frozen=True, kw_only=True):
    """The passages of a cue, in the order of the file.

    Attributes:
        name: file name without ``.toml``.
        file: how messages name it.
        title: for people; the name where the file gives none.
        summary: one sentence; may be empty.
        source: where it comes from; may be empty.
        passages: at least one.
    """

    name: str
    file: str
    title: str
    summary: str
    source: str
    passages: tuple[Passage, ...]


def parse_bars(text: str) -> tuple[str, str] | None:
    """Printed numbers of the first and last of some bars; None for a text that names none.

    >>> parse_bars("1-8"), parse_bars("5"), parse_bars("1, 2")
    (('1', '8'), ('5', '5'), None)
    """
    match = _BARS.fullmatch(" ".join(text.split()))
    return (match[1], match[2] or match[1]) if match else None
