"""The phrases of a tune: where it breathes, by rests, signs, slurs and long notes.

Where nothing is printed that ends a phrase, a slur of two bars and more is taken for one, and
so is a note that is long for this tune, behind two bars of music (common practice, no source).
"""

from __future__ import annotations

from statistics import median
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from rewriter.placing.phrases import ends_phrase
from rewriter.placing.seams import bars_between, looked_at

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.placing.lines import Stretch
    from rewriter.placing.seams import Notes
    from rewriter.sketch.model import Sounding

PhraseEnd = Literal["breath", "slur", "long note", "end"]
"""What ends a phrase: a rest or a sign (breath mark, caesura, fermata, double bar, repeat); a
slur; a long note; the tune."""

_BARS: Final = 2
"""Bars before a long note or behind the beginning of a slur that make a phrase."""
_TIMES: Final = 2
"""A note is long that is so many times as long as most notes of its tune."""


class Phrase(NamedTuple):
    """A phrase of a tune.

    Attributes:
        notes: in order, at least one.
        ended_by: what ends it.
    """

    notes: Sequence[Sounding]
    ended_by: PhraseEnd


def phrases_of(stretch: Stretch) -> Iterator[Phrase]:
    """The phrases of a tune, in order.

    Args:
        stretch: of the tune.
    """
    notes = looked_at(stretch.voice, stretch.soundings, stretch.breathing)
    soundings = notes.soundings
    lengths = [note.length for note in soundings if note.length]
    long = _TIMES * median(lengths) if lengths else 0
    first = 0
    for at in range(len(soundings)):
        ended = _ended_by(notes, first, at, long)
        if ended is not None:
            yield Phrase(soundings[first : at + 1], ended)
            first = at + 1


def _ended_by(notes: Notes, first: int, at: int, long: float) -> PhraseEnd | None:
    """What ends a phrase behind a note; None where it goes on."""
    soundings = notes.soundings
    if at + 1 == len(soundings):
        return "end"
    if ends_phrase(notes, at):
        return "breath"
    here, after = soundings[at], soundings[at + 1]
    if notes.bound[at] or here.group == after.group >= 0:
        return None
    if here.group >= 0 and bars_between(notes, _slur_begins(soundings, first, at), at) >= _BARS:
        return "slur"
    is_long = here.length >= long and here.length > after.length
    if is_long and bars_between(notes, first, at) >= _BARS:
        return "long note"
    return None


def _slur_begins(soundings: Sequence[Sounding], first: int, at: int) -> int:
    """Where the slur over a note begins, not before the phrase does."""
    while at > first and soundings[at - 1].group == soundings[at].group:
        at -= 1
    return at
