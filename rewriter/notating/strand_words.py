"""Words the players of a section need: div., unis., half, solo, tutti."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

import msgspec

from rewriter.notating.words import share_words, words_direction
from rewriter.sketch.model import Sign
from rewriter.theory.division_words import said
from rewriter.theory.time import Moment

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.notating.sharing import OnStaves
    from rewriter.placing.lines import Line
    from rewriter.sketch.model import Sounding


class Manner(msgspec.Struct, frozen=True):
    """How a section plays a passage.

    Attributes:
        lines: how many lines it has; more than one is divided.
        shares: words for the part or parts that play; empty for the whole section.
    """

    lines: int
    shares: str


WHOLE = Manner(1, "")

_HALVES = frozenset(("half", "others", "equal"))
_BARS_APART = 2


class Told(NamedTuple):
    """Who plays from a moment on, and what else is printed there."""

    moment: Moment
    manner: Manner
    markings: tuple[str, ...]


def told(
    upper: Sequence[Line], lower: Sequence[Line], marking: str, language: str
) -> list[Told]:
    """What the players of a section are told in a passage, above its upper staff.

    Args:
        upper: lines of the section in the passage, top line first.
        lower: those on a second staff, where part of the section is named if need be.
        marking: the layout's, such as ``espr.``.
        language: of the words.

    Returns:
        Nothing where no line has a note.
    """
    lines = [*upper, *lower]
    first = _entry(lines)
    if first is None:
        return []
    words = _shares(upper, lines, language)
    markings = (marking,) if marking else ()
    if len(lines) > 1:
        return [Told(first, Manner(len(lines), words), markings)]
    events = _as_chords_come(lines[0], words) if lines[0].voice.chordal else []
    if not events or events[0].moment != first:
        events.insert(0, Told(first, Manner(1, words), ()))
    events[0] = events[0]._replace(markings=markings)
    return events


def told_beside(news: Sequence[Told], lines: Sequence[Line], until: Moment) -> list[Told]:
    """The same where others of the section hold a note of the passage before: divided.

    Args:
        news: what :func:`told` returned.
        lines: of the section in the passage.
        until: where the held note ends.
    """
    if len(lines) != 1 or not news:
        return list(news)
    first, *others = news
    written = (_written(lines[0], sounding) for sounding in lines[0].soundings)
    alone = next((moment for moment in written if moment >= until), None)
    divided = first._replace(manner=Manner(2, ""))
    again = [] if alone is None else [Told(alone, first.manner, ())]
    return [divided, *again, *(one for one in others if one.moment > until)]


def told_of_taken(
    news: Sequence[Told], own: Sequence[Line], taken: Sequence[Line]
) -> list[Told]:
    """The same where lines are handed over to a section of one line: all its players take them.

    Args:
        news: what :func:`told` returned.
        own: line of the section in the passage, or none.
        taken: those handed over to it.
    """
    if not taken or len(own) > 1:
        return list(news)
    played = [(_written(line, note), False) for line in own for note in line.soundings]
    played += [(_written(line, note), True) for line in taken for note in line.soundings]
    found = list(news)
    is_taken = False
    for moment, now in sorted(played):
        if now != is_taken:
            back = [one.manner for one in news if one.moment <= moment]
            found.append(Told(moment, WHOLE if now or not back else back[-1], ()))
        is_taken = now
    return sorted(found, key=lambda one: one.moment)


def words_below(passages: Iterable[OnStaves], language: str) -> dict[int, list[Sign]]:
    """Which players read the second staff of a section, by bar; nothing where div. says it.

    Args:
        passages: the lines of the section in each.
        language: of the words.
    """
    signs: dict[int, list[Sign]] = {}
    before = ""
    for upper, lower in passages:
        first = _entry(lower)
        if first is None:
            continue
        words = _shares(lower, [*upper, *lower], language)
        if words and words != before:
            sign = Sign(first.onset, "line", words_direction(words), "direction")
            signs.setdefault(first.bar, []).append(sign)
        before = words
    return signs


def _entry(lines: Sequence[Line]) -> Moment | None:
    """Where the first note of any of some lines is written."""
    begun = [_written(line, line.soundings[0]) for line in lines if line.soundings]
    return min(begun, default=None)


def _shares(lines: Sequence[Line], all_lines: Sequence[Line], language: str) -> str:
    """Words for the parts of the section that play some of its lines; none for halves."""
    kinds = {line.share.kind for line in all_lines}
    if len(all_lines) > 1 and (kinds <= _HALVES or kinds == {"third"}):
        return ""  # div. says it, or div. a 3
    shares = [share_words(line.share, language) for line in lines]
    return " / ".join(share for share in shares if share)


def _written(line: Line, sounding: Sounding) -> Moment:
    """Where the first note of a sounding is written."""
    return Moment(sounding.bar, sounding.start - line.voice.timeline.starts[sounding.bar])


def _as_chords_come(line: Line, words: str) -> list[Told]:
    """One line with chords to be divided: where they begin, and where the line is one again.

    Between chords that follow each other within two bars the section stays divided.
    """
    sizes: dict[Moment, int] = {}
    ends: dict[Moment, int] = {}  # the bar in which a chord ends, ties included
    for sounding in line.soundings:
        moment = _written(line, sounding)
        sizes[moment] = sizes.get(moment, 0) + (sounding.length > 0)
        end = line.voice.timeline.ending(sounding.end).bar
        ends[moment] = max(ends.get(moment, moment.bar), end)
    events: list[Told] = []
    chords = [moment for moment, size in sizes.items() if size > 1]
    moments = list(sizes)
    following = dict(pairwise(moments))
    last: Moment | None = None
    for moment in chords:
        if last is None or moment.bar - ends[last] > _BARS_APART:
            if last is not None:
                events.append(Told(following[last], Manner(1, words), ()))
            events.append(Told(moment, Manner(sizes[moment], words), ()))
        elif sizes[moment] > events[-1].manner.lines:
            events[-1] = events[-1]._replace(manner=Manner(sizes[moment], words))
        last = moment
    if last is not None and moments[-1].bar - ends[last] > _BARS_APART:
        events.append(Told(following[last], Manner(1, words), ()))
    return events


def words_of(passages: Iterable[Told], language: str) -> dict[int, list[Sign]]:
    """Words by bar: only what is different from before, so that nothing is cancelled twice."""
    signs: dict[int, list[Sign]] = {}
    before = WHOLE
    for moment, manner, markings in passages:
        pieces = [words_direction(text) for text in _change(before, manner, language)]
        pieces += [words_direction(text, italic=True) for text in markings]
        before = manner
        if pieces:
            bar, onset = moment
            signs.setdefault(bar, []).extend(
                Sign(onset, "line", piece, "direction") for piece in pieces
            )
    return signs


def _change(before: Manner, now: Manner, language: str) -> list[str]:
    words: list[str] = []
    if now.lines > 1 and before.lines != now.lines:
        div = said("div", language)
        words.append(div if now.lines == 2 else f"{div} a {now.lines}")  # noqa: PLR2004 - in two
    elif now.lines == 1 and before.lines > 1 and not now.shares:
        words.append(said("unis", language))
    if now.shares and now.shares != before.shares:
        words.append(now.shares)
    elif before.shares and not now.shares and before.lines == now.lines == 1:
        words.append(said("tutti", language))
    return words
