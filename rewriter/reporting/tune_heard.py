"""Where the tune of a finished score was found, for people."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.reporting.columns import count

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.hearing.tune import HeardTune


def said_tune(score: Finished) -> str:
    """The tune in one row: ``theme.musicxml, bars 1-8, 17-24 (2 semitones up)``.

    Args:
        score: as it was looked at.

    Returns:
        Empty where nobody has told what the tune is.
    """
    if score.told_tune is None or score.tune is None:
        return ""
    name = score.told_tune.name
    if not score.tune.stretches:
        return f"{name}, which is nowhere in this score"
    return f"{name}, bars {', '.join(_rows(score, score.tune))}"


def _rows(score: Finished, tune: HeardTune) -> Iterator[str]:
    for semitones, first, last in _bars(score, tune):
        bars = [score.bar_text(bar, 0).removeprefix("bar ") for bar in (first, last)]
        side = "up" if semitones > 0 else "down"
        key = f" ({count(abs(semitones), 'semitone')} {side})" if semitones else ""
        yield "-".join(dict.fromkeys(bars)) + key


def _bars(score: Finished, tune: HeardTune) -> Iterator[tuple[int, int, int]]:
    """Semitones up, index of the first bar and of the last, wherever it is without a gap."""
    open_one: tuple[int, int, int] | None = None
    for one in tune.stretches:
        first = score.heard.bars.bar_at(one.start)
        last = score.heard.bars.bar_at(max(one.stop - 1, one.start))
        semitones = one.placement.semitones
        if open_one and open_one[0] == semitones and first <= open_one[2] + 1:
            open_one = semitones, open_one[1], max(open_one[2], last)
            continue
        if open_one:
            yield open_one
        open_one = semitones, first, last
    if open_one:
        yield open_one
