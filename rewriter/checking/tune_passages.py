"""Who carries the tune of a finished score, in how many levels, passage by passage."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from itertools import pairwise
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.checking.treatise_layouts import shape_of
from rewriter.hearing.stacks import levels_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.checking.treatise_layouts import Shape
    from rewriter.hearing.lines import HeardNote, Place
    from rewriter.hearing.stacks import HeardLevel
    from rewriter.problems import Place as Spot
    from rewriter.rulefiles.ensembles import Section

BASSES: Final = "strings.contrabass"
CELLOS: Final = "strings.cello"
VIOLINS: Final = "strings.violin"
FOUR_LEVELS: Final = 4
_FEW: Final = ("desk", "solo")


class TuneLine(NamedTuple):
    """A line of a section that carries the tune.

    Attributes:
        place: where it stands.
        section: whose it is.
        players: how many play it.
        whole: False for a desk or a solo, and for a section that plays something else besides.
    """

    place: Place
    section: Section
    players: float
    whole: bool


class TunePassage(NamedTuple):
    """A stretch of a bar or more in which the same sections carry the tune in the same octaves.

    Attributes:
        start: divisions from the start of the piece.
        stop: likewise.
        levels: top first, those that no section plays left out; each its lines in score order.
        shape: the same by sections.
        text: the same as layouts write it.
    """

    start: int
    stop: int
    levels: tuple[tuple[TuneLine, ...], ...]
    shape: Shape
    text: str

    @property
    def lines(self) -> Iterator[TuneLine]:
        """All lines, top level first."""
        return (line for level in self.levels for line in level)


def passages_of_tune(score: Finished) -> list[TunePassage]:
    """The passages of the tune, in the order of time; none unless somebody has told it.

    Args:
        score: looked at.
    """
    if score.tune is None:
        return []
    joined: list[TunePassage] = []
    for one in score.tune.stretches:
        levels = _of_sections(score, one.levels)
        if not levels:
            continue
        text = levels_text(levels, lambda line: score.who(line.part))
        before = joined[-1] if joined else None
        follows = before and not score.heard.bars.longer_than_a_bar(before.stop, one.start)
        if before and follows and before.text == text:
            joined[-1] = before._replace(stop=one.stop)
        else:
            lines = _lines(score, levels, one.start, one.stop)
            shape = shape_of(score, levels)
            joined.append(TunePassage(one.start, one.stop, lines, shape, text))
    return [one for one in joined if bars_of(score, one.start, one.stop) >= 1]


def bars_of(score: Finished, start: int, stop: int) -> float:
    """How many bars a stretch lasts, by the length of the one it begins in."""
    bar = score.heard.bars.bar_at(start)
    return (stop - start) / max(score.reading.timeline.length(bar), 1)


def notes_between(score: Finished, line: Place, start: int, stop: int) -> Sequence[HeardNote]:
    """The notes of a line that begin in a stretch."""
    notes = score.line_at[line].notes
    first, last = (bisect_left(notes, at, key=lambda note: note.time) for at in (start, stop))
    return notes[first:last]


def spot_of(score: Finished, line: Place, time: int) -> Spot:
    """A place for people: who, and when."""
    return score.place(line.part, score.heard.bars.bar_at(time), time)


def until_bar(score: Finished, part: int, start: int, stop: int) -> str:
    """``, up to bar 12``; empty where it is the bar it begins in."""
    first, last = (score.heard.bars.bar_at(time) for time in (start, stop - 1))
    return f" up to bar {score.printed(part, last)}" if last > first else ""


def _of_sections(score: Finished, levels: Sequence[HeardLevel]) -> list[HeardLevel]:
    own = [
        level._replace(
            lines=tuple(one for one in level.lines if score.players[one.part].sections)
        )
        for level in levels
    ]
    own = [level for level in own if level.lines]
    return [level._replace(depth=level.depth - own[0].depth) for level in own]


def _lines(
    score: Finished, levels: Sequence[HeardLevel], start: int, stop: int
) -> tuple[tuple[TuneLine, ...], ...]:
    playing = Counter(
        section.key
        for line in score.heard.lines
        if notes_between(score, line.place, start, stop)
        for section in score.players[line.place.part].sections
    )
    return tuple(tuple(_of_level(score, level, start, playing)) for level in levels)


def _of_level(
    score: Finished, level: HeardLevel, start: int, playing: Mapping[str, int]
) -> Iterator[TuneLine]:
    own = [
        (place, section)
        for place in level.lines
        for section in score.players[place.part].sections
    ]
    mine = Counter(section.key for _, section in own)
    for place, section in own:
        every = max(playing.get(section.key, 0), mine[section.key])
        whole = mine[section.key] == every and not _few(score, place, start)
        yield TuneLine(place, section, section.players / every, whole)


def _few(score: Finished, place: Place, time: int) -> bool:
    """True where a desk or a soloist plays, by the part's name or the words in it."""
    staff = score.heard.voices[place.part][place.voice].staff
    told = score.divisions(place.part).last(time, staff)
    named = score.players[place.part].share.startswith(_FEW)
    return named or (told is not None and told.kind == "share")


def runs_of(score: Finished, spans: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """Spans in the order of time, those made one between which a bar or less lies."""
    if not spans:
        return
    start, stop = spans[0]
    for _, (begin, end) in pairwise(spans):
        if score.heard.bars.longer_than_a_bar(stop, begin):
            yield start, stop
            start = begin
        stop = max(stop, end)
    yield start, stop
