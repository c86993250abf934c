"""A bar in short, for finding its twin: as it sounds, and by rhythm and contour alone."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Hashable

    from rewriter.comparing.things import Bar, Note


def as_it_sounds(bar: Bar, up: float = 0) -> Hashable:
    """The same for two bars of a part in which the same notes sound at the same time.

    How notes are spelled, divided into voices and marked is not asked; grace notes are not
    heard. A note tied on is not the same as one that is struck again.

    Args:
        bar: counted in the same divisions as what it is compared with.
        up: semitones that it counts as higher than it is.
    """
    known = bar.twins.known if bar.twins else {}
    key = "sounds", up
    if key not in known:
        known[key] = _sounds(bar, up)
    found: Hashable = known[key]
    return found


def _sounds(bar: Bar, up: float) -> Hashable:
    sounds = [
        (note.thing.at.onset, note.length, *_sound(note, up), "tie" in note.says)
        for note in bar.notes
        if note.length
    ]
    sounds.sort()
    return tuple(sounds)


def _sound(note: Note, up: float) -> tuple[float, str]:
    return (note.pitch.midi + up, "") if note.pitch else (-1, note.thing.what)


def rhythm_and_contour(bar: Bar) -> Hashable:
    """The same for two bars of a part with the same rhythm that rise and fall alike.

    Args:
        bar: counted in the same divisions as what it is compared with.
    """
    top: dict[int, float] = {}
    for note in bar.notes:
        if note.length:
            height = note.pitch.midi if note.pitch else 0
            onset = note.thing.at.onset
            top[onset] = max(top.get(onset, height), height)
    heights = [height for _, height in sorted(top.items())]
    steps = pairwise(heights)
    contour = [(after > before) - (after < before) for before, after in steps]
    rhythm = sorted({(note.thing.at.onset, note.length) for note in bar.notes if note.length})
    return tuple(rhythm), tuple(contour)
