"""Metre: how long a bar is, where its beats lie, how silence in it is written."""

import re
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Literal

import msgspec

from rewriter.theory.numbers import whole

_SUM = re.compile(r"\s*[1-9]\d*\s*(\+\s*[1-9]\d*\s*)*")
_SYMBOLS = {"common": ("4", "4"), "cut": ("2", "2")}
_SMALLEST = Fraction(4, 1024)
_BEATS_IN_HALVES = 4
_MOST_BEATS = 1024
_THIRDS = 3

_TYPES = {
    Fraction(32): "maxima",
    Fraction(16): "long",
    Fraction(8): "breve",
    Fraction(4): "whole",
    Fraction(2): "half",
    Fraction(1): "quarter",
    Fraction(1, 2): "eighth",
    Fraction(1, 4): "16th",
    Fraction(1, 8): "32nd",
    Fraction(1, 16): "64th",
    Fraction(1, 32): "128th",
    Fraction(1, 64): "256th",
    Fraction(1, 128): "512th",
    Fraction(1, 256): "1024th",
}
_LENGTHS = {name: length for length, name in _TYPES.items()}
_WRITTEN = {
    length * (2 - Fraction(1, 2**dots)): (name, dots)
    for dots in range(4)
    for length, name in _TYPES.items()
}


class RestLength(msgspec.Struct, frozen=True):
    """One written rest.

    Attributes:
        length: quarters.
        type: MusicXML note type such as ``quarter``; empty where no dotted value fits.
        dots: number of dots.
    """

    length: Fraction
    type: str
    dots: int


class Metre(msgspec.Struct, frozen=True):
    """A time signature.

    Attributes:
        length: of a bar, in quarters; 0 for unmeasured music (senza misura).
        beat_unit: denominator of the printed signature; beats are counted in it.
        groups: lengths of the beats felt, in quarters, one after the other over the bar:
            4/4 is four quarters, 6/8 two dotted quarters, 3+2/8 a dotted quarter and a quarter.
        compound: True when every beat felt divides by three (6/8, 9/8, 12/8).
    """

    length: Fraction
    beat_unit: int
    groups: tuple[Fraction, ...]
    compound: bool


def metre_from_times(pairs: Sequence[tuple[str, str]], *, symbol: str = "") -> Metre:
    """Metre from MusicXML <beats> and <beat-type> texts, in document order.

    Numerators above three that divide by three are felt in dotted beats; a printed sum
    (``3+2``) is felt as printed; five or seven without one in single denominators, since
    nothing says where the long beat lies.

    Args:
        pairs: such as ``[("3+2", "8")]``; several pairs add up; none is senza misura.
        symbol: ``common`` or ``cut``, used only where there are no pairs.

    Raises:
        ValueError: a text is no number above zero and no sum of such.

    >>> metre_from_times([("6", "8")]).groups
    (Fraction(3, 2), Fraction(3, 2))
    """
    if not pairs and symbol in _SYMBOLS:
        pairs = [_SYMBOLS[symbol]]
    groups: list[Fraction] = []
    units: list[int] = []
    felt_in_three: list[bool] = []
    for beats, beat_type in pairs:
        if not _SUM.fullmatch(beats):
            raise ValueError(f'"{beats}" is no number of beats')
        if not re.fullmatch(r"\s*[1-9]\d*\s*", beat_type):
            raise ValueError(f'"{beat_type}" is no beat type')
        unit = whole(beat_type) or _MOST_BEATS + 1
        units.append(unit)
        numbers = [whole(count) or _MOST_BEATS + 1 for count in beats.split("+")]
        if sum(numbers) > _MOST_BEATS or unit > _MOST_BEATS:
            raise ValueError(f"{beats}/{beat_type} is more than a bar can hold")
        counts = _groups(numbers)
        felt_in_three.extend(count % 3 == 0 for count in counts)
        groups.extend(Fraction(4 * count, unit) for count in counts)
    compound = bool(felt_in_three) and all(felt_in_three)
    return Metre(sum(groups, Fraction(0)), max(units, default=4), tuple(groups), compound)


def _groups(counts: list[int]) -> list[int]:
    """Beats felt, each in denominators, of one numerator or printed sum."""
    if len(counts) > 1:
        return counts
    count = counts[0]
    if count > _THIRDS and count % _THIRDS == 0:
        return [_THIRDS] * (count // _THIRDS)
    return [1] * count


def beat_of(onset: Fraction, metre: Metre) -> Fraction:
    """Beat of an onset, counted from 1 in denominators of the printed signature.

    Args:
        onset: quarters from the start of the bar.
        metre: of the bar.

    >>> beat_of(Fraction(5, 2), metre_from_times([("6", "8")]))
    Fraction(6, 1)
    """
    return onset * metre.beat_unit / 4 + 1


def note_type(length: Fraction) -> tuple[str, int] | None:
    """MusicXML note type and dots (at most three) of a length in quarters; None if none fits.

    >>> note_type(Fraction(3, 2)), note_type(Fraction(1, 3))
    (('quarter', 1), None)
    """
    return _WRITTEN.get(length)


def length_of(note_type: str, dots: int) -> Fraction:
    """Quarters of a MusicXML note type with dots; 0 of what is none.

    >>> length_of("half", 1), length_of("eighth", 0), length_of("", 0)
    (Fraction(3, 1), Fraction(1, 2), Fraction(0, 1))
    """
    return _LENGTHS.get(note_type, Fraction(0)) * (2 - Fraction(1, 2**dots))


def rest_lengths(start: Fraction, stop: Fraction, metre: Metre) -> list[RestLength]:
    """How silence between two points of a bar is written.

    Rests show the beats: none crosses the middle of a bar of four beats unless it fills the
    bar; none joins beats in a bar of two or three; none joins the parts of two beats. A
    beat that divides by three takes one rest for its first two thirds but two for its last
    two. Dots stand only on whole beats of compound metres. A rest with an end inside a
    tuplet has an empty type where no dotted value expresses it.

    Args:
        start: quarters from the start of the bar; in an upbeat bar, from where a full bar
            would have started.
        stop: quarters, likewise; beyond the bar's length the last beat goes on repeating.
        metre: of the bar.

    Source: the rule that rests follow the beats, common practice in manuals of notation
    (E. Gould, Behind Bars, chapter on rests: from memory).

    >>> four = metre_from_times([("4", "4")])
    >>> [rest.type for rest in rest_lengths(Fraction(1), Fraction(4), four)]
    ['quarter', 'half']
    """
    rests: list[RestLength] = []
    for node in _nodes(metre, stop):
        rests.extend(_rests_in(node, start, stop))
    return rests


class _Node(msgspec.Struct, frozen=True):
    """A stretch of the bar that one rest may fill: a bar, half a bar, a beat, part of one."""

    start: Fraction
    length: Fraction
    kind: Literal["bar", "half bar", "beat"]
    groups: tuple[Fraction, ...]

    def parts(self) -> list["_Node"]:
        """What it divides into: bars into halves or beats, dotted beats into thirds."""
        if self.kind == "beat":
            written = note_type(self.length)
            count = 3 if written is not None and written[1] == 1 else 2
            lengths = (self.length / count,) * count
        elif len(self.groups) == _BEATS_IN_HALVES and len(set(self.groups)) == 1:
            lengths = (self.groups[0] * 2,) * 2
        else:
            lengths = self.groups
        halves = len(lengths) < len(self.groups)
        nodes, at = [], self.start
        for length in lengths:
            inside = self.groups[:2] if halves else ()
            nodes.append(_Node(at, length, "half bar" if halves else "beat", inside))
            at += length
        return nodes

    def reaches(self, point: Fraction) -> bool:
        """True when dividing by two, or by three in dotted beats, leads to a point."""
        part = self.length / len(self.parts())
        denominator = ((point - self.start) / part).denominator
        return denominator.bit_count() == 1 and part >= _SMALLEST * denominator


def _nodes(metre: Metre, stop: Fraction) -> Iterator[_Node]:
    """The bar, then more of its last beats for what hangs over."""
    if metre.length:
        yield _Node(Fraction(0), metre.length, "bar", metre.groups)
    beat = metre.groups[-1] if metre.groups else Fraction(4)
    at = metre.length
    while at < stop:
        yield _Node(at, beat, "beat", ())
        at += beat


def _rests_in(node: _Node, start: Fraction, stop: Fraction) -> list[RestLength]:
    """Rests for as much of start to stop as lies in the node."""
    low, high = max(start, node.start), min(stop, node.start + node.length)
    if low >= high:
        return []
    if low == node.start and high == node.start + node.length:
        return [_rest(node.length)]
    if (
        node.kind == "beat"
        and node.length <= 1
        and not (node.reaches(low) and node.reaches(high))
    ):
        return [_rest(high - low)]
    parts = node.parts()
    two_thirds = parts[0].length * 2
    rests: list[RestLength] = []
    if (
        node.kind == "beat"
        and len(parts) == _THIRDS
        and low == node.start
        and high - low >= two_thirds
    ):
        rests.append(_rest(two_thirds))
        parts = parts[2:]
    for part in parts:
        rests.extend(_rests_in(part, low, high))
    return rests


def _rest(length: Fraction) -> RestLength:
    written = note_type(length)
    return RestLength(length, *written) if written else RestLength(length, "", 0)
