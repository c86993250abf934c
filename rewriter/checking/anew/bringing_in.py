"""The music of a passage put into a part, bar by bar; what stands beside it stays."""

from __future__ import annotations

from fractions import Fraction
from functools import partial
from typing import TYPE_CHECKING, Final

from rewriter.checking.anew.bar_music import Span, voices_inside, voices_outside
from rewriter.editing.bar_reading import written_bar
from rewriter.editing.bar_writing import voices_replaced
from rewriter.editing.edits import InBar
from rewriter.editing.elements import text_in, with_only
from rewriter.editing.music import Note
from rewriter.musicxml.escaping import escaped, word
from rewriter.theory.metre import rest_lengths

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from rewriter.checking.anew.bar_music import Item
    from rewriter.checking.anew.regions import Region
    from rewriter.checking.finished import Finished
    from rewriter.editing.edits import Edit

_NEXT: Final = Fraction(1, 1 << 20)
"""Quarters; what stands at the beginning of a region itself does not count."""
_BAR_REST: Final = b'<rest measure="yes"/>'
_FIRST_VOICE: Final = "1"


def brought_in(score: Finished, source: Finished, one: Region) -> Iterator[Edit]:
    """Edits that give a region its new music.

    Args:
        score: not changed; nothing leads over the region's borders.
        source: as long as it, has the music.
        one: the region.

    Raises:
        NotCertain: a tuplet leads over a border.
    """
    timeline, divisions = score.reading.timeline, score.reading.divisions
    first, last = timeline.moment(one.start).bar, timeline.bar_ending(one.stop)
    for bar in range(first, last + 1):
        begins, ends = timeline.starts[bar : bar + 2]
        span = Span(
            Fraction(max(one.start, begins) - begins, divisions),
            Fraction(min(one.stop, ends) - begins, divisions),
            ends_bar=one.stop >= ends,
        )
        yield from _bar(score, source, one, bar, span)


def _bar(score: Finished, source: Finished, one: Region, bar: int, span: Span) -> list[Edit]:
    here = written_bar(score.score, InBar(one.part, bar))
    old = voices_outside(here, span, partial(_rests, score, one.part, bar))
    new: dict[str, list[Item]] = {_FIRST_VOICE: []}
    if one.source is not None:
        there = written_bar(source.score, InBar(one.source, bar))
        begins = score.reading.timeline.starts[bar] <= one.start
        clefs_from = span.start + _NEXT if begins else Fraction(0)
        new = voices_inside(there, span, clefs_from=clefs_from) or new
    names = _names(list(old), list(new))
    music: dict[str, Sequence[Item]] = dict(old)
    for at, (voice, items) in enumerate(new.items()):
        inside = [_renamed(item, names) for item in items]
        if at == 0:
            inside += _silence(score, one.part, bar, span, inside)
        together = [*old.get(names[voice], ()), *inside]
        music[names[voice]] = sorted(together, key=lambda item: item.onset)
    return voices_replaced(score.score, here.where, music)


def _names(old: Sequence[str], new: Sequence[str]) -> dict[str, str]:
    """Voices of the new music as the bar calls its own, the first the first."""
    free = (name for name in map(str, range(1, 99)) if name not in old)
    return {name: old[at] if at < len(old) else next(free) for at, name in enumerate(new)}


def _renamed(item: Item, names: Mapping[str, str]) -> Item:
    """A sign that says which voice it is for says it in the bar's own words."""
    if isinstance(item, Note) or not (voice := text_in(item.data, "voice")):
        return item
    name = names.get(voice, voice)
    return item._replace(data=with_only(item.data, b"<voice>%b</voice>" % escaped(name)))


def _silence(
    score: Finished, part: int, bar: int, span: Span, items: Iterable[Item]
) -> Iterator[Note]:
    """Rests where a voice has nothing in a stretch of a bar."""
    at = span.start
    notes = sorted(
        (item for item in items if isinstance(item, Note)), key=lambda note: note.onset
    )
    if not notes and span[:2] == (Fraction(0), _length(score, bar)):
        yield Note(span.start, span.stop, more=(_BAR_REST,), spelled=True)
        return
    for note in notes:
        if note.onset > at:
            yield from _rests(score, part, bar, at, note.onset)
        at = max(at, note.end)
    if at < span.stop:
        yield from _rests(score, part, bar, at, span.stop)


def _length(score: Finished, bar: int) -> Fraction:
    return Fraction(score.reading.timeline.length(bar), score.reading.divisions)


def _rests(
    score: Finished, part: int, bar: int, start: Fraction, stop: Fraction
) -> Iterator[Note]:
    """Rests for a stretch of a bar, by the beats of its metre."""
    lacking, metre = score.counted(part)[bar]
    at = start
    for rest in rest_lengths(lacking + start, lacking + stop, metre):
        value = (b"<type>%b</type>" % word(rest.type), *[b"<dot/>"] * rest.dots)
        yield Note(at, rest.length, more=(b"<rest/>", *value), spelled=True)
        at += rest.length
    if at < stop:
        yield Note(at, stop - at, more=(b"<rest/>",))
