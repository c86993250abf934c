"""What of the tune was carried and what was left behind, by how each passage settles chords."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final

import msgspec

from rewriter.sketch.chords import less_chords
from rewriter.sketch.faults import InSilence, Mended, OpenEnd, Overlap, Overlong

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.rulefiles.words import Chords
    from rewriter.sketch.chords import SettledChord
    from rewriter.sketch.faults import Fault
    from rewriter.sketch.short_score import Sketch

_DONE: Final[dict[Chords, str]] = {
    "top": "their top notes are played",
    "divide": "each is divided in the section",
}


class ReadStretch(msgspec.Struct, frozen=True):
    """A stretch of the tune, and the reading of it that is played.

    Attributes:
        start: bar, divisions from its start.
        stop: likewise, not included.
        bars: its bars, for people: ``bars 3-9``.
        chords: what is done with chords in it.
        sketch: read so.
    """

    start: tuple[int, int]
    stop: tuple[int, int]
    bars: str
    chords: Chords
    sketch: Sketch

    def has(self, moment: tuple[int, int]) -> bool:
        """True when a moment lies in it."""
        return self.start <= moment < self.stop


class Account(msgspec.Struct, frozen=True):
    """What became of the tune.

    Attributes:
        carried: kind → count.
        dropped: kind → count.
        notes: what was done with its chords and with doubtful words, for people.
        faults: what had to be mended, in order.
    """

    carried: dict[str, int]
    dropped: dict[str, int]
    notes: list[str]
    faults: list[Fault]


def account_of(whole: Sketch, stretches: Sequence[ReadStretch]) -> Account:
    """What became of the tune, each stretch as it was read; the rest as the whole was.

    Args:
        whole: a reading of the tune from end to end.
        stretches: in the order of the score, never overlapping.
    """
    dropped = Counter(whole.dropped)
    carried, gone = less_chords(whole.carried, list(_chords(whole, stretches)))
    dropped.update(gone)
    faults = list(_faults(whole, stretches))
    gone = Counter(
        fault.kind for fault in faults if isinstance(fault, OpenEnd) and fault.begins
    )
    gone.update(fault.kind for fault in faults if isinstance(fault, InSilence))
    carried = carried - gone
    dropped.update(gone)
    notes = [*_said(stretches), *_either_said(whole)]
    return Account(dict(carried), dict(sorted(dropped.items())), notes, faults)


def _chords(whole: Sketch, stretches: Sequence[ReadStretch]) -> Iterator[SettledChord]:
    """The chords of the tune as they were settled where they stand."""
    for one in stretches:
        yield from (c for c in one.sketch.chords if one.has((c.bar, c.onset)))
    for chord in whole.chords:
        if not any(one.has((chord.bar, chord.onset)) for one in stretches):
            yield chord


def _faults(whole: Sketch, stretches: Sequence[ReadStretch]) -> Iterator[Fault]:
    """What was mended, in order; an end may be open in one reading and not in another."""
    found: list[Fault] = [f for f in whole.faults if not any(_in(one, f) for one in stretches)]
    for one in stretches:
        found += [fault for fault in one.sketch.faults if _in(one, fault)]
    for kind in (InSilence, Overlap, OpenEnd, Mended):
        alike = [fault for fault in found if isinstance(fault, kind)]
        yield from sorted(alike, key=lambda fault: (fault.bar, fault.onset))


def _in(stretch: ReadStretch, fault: Fault) -> bool:
    return not isinstance(fault, Overlong) and stretch.has((fault.bar, fault.onset))


def _said(stretches: Sequence[ReadStretch]) -> list[str]:
    """What was done with the chords that are played, where it differs with the bars."""
    counts: dict[Chords, int] = {}
    bars: dict[Chords, list[str]] = {}
    for one in stretches:
        count = sum(one.has((chord.bar, chord.onset)) for chord in one.sketch.chords)
        if count:
            counts[one.chords] = counts.get(one.chords, 0) + count
            bars.setdefault(one.chords, []).append(one.bars)
    said = []
    for chords, count in counts.items():
        where = f", {listed_bars(bars[chords])}" if len(counts) > 1 else ""
        plural = "s" if count > 1 else ""
        said.append(f"{count} chord{plural} in the tune{where}: {_DONE[chords]}")
    return said


def listed_bars(stretches: Sequence[str]) -> str:
    """Stretches of bars for people; *bars* is said once where no movement stands between.

    >>> listed_bars(["bar 1", "bars 3-9"]), listed_bars(["movement 1, bar 9", "bar 3"])
    ('bars 1, 3-9', 'movement 1, bar 9; bar 3')
    """
    if len(stretches) == 1 or any(not text.startswith("bar") for text in stretches):
        return "; ".join(stretches)
    return f"bars {', '.join(text.partition(' ')[2] for text in stretches)}"


def _either_said(whole: Sketch) -> Iterator[str]:
    """What words were taken for that may be tempo or expression."""
    for tempo, taken in ((True, "tempo"), (False, "expression")):
        places: dict[str, list[str]] = {}
        for part, words in whole.either:
            if words.tempo == tempo:
                bar = whole.frame.bar_text(words.bar)
                places.setdefault(words.text, []).append(f"{part}, {bar}" if part else bar)
        if places:
            listed = "; ".join(f'"{text}" ({", ".join(at)})' for text, at in places.items())
            yield f"taken for {taken}: {listed}"
