"""The music of a bar within a stretch of it, and without."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.checking.anew.certain import NotCertain
from rewriter.editing.bar_reading import as_music, setting_at
from rewriter.editing.elements import found_in, text_in, without
from rewriter.editing.music import Note, Sign, tag_of
from rewriter.scores.children import element_of
from rewriter.sketch.directions import read_direction
from rewriter.theory.numbers import decimal

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from rewriter.editing.bar_reading import Timed, WrittenBar

    Rests = Callable[[Fraction, Fraction], Iterable[Note]]

Item = Note | Sign

_OF_LENGTH: Final = frozenset(
    ("type", "dot", "beam", "tie", "notations", "time-modification", "stem")
)
"""What is written anew with another length, or no longer true."""


class Span(NamedTuple):
    """A stretch of a bar.

    Attributes:
        start: quarters from the start of the bar.
        stop: likewise.
        ends_bar: True where it goes to the end of the bar: grace notes there are its own.
    """

    start: Fraction
    stop: Fraction
    ends_bar: bool = False

    def has(self, onset: Fraction) -> bool:
        """True when something begins in it."""
        return self.start <= onset < self.stop or (self.ends_bar and onset == self.stop)


def voices_outside(bar: WrittenBar, span: Span, rests: Rests) -> dict[str, list[Item]]:
    """What the voices of a bar have beside a stretch of it; nothing for some of them.

    What leads into the stretch ends where it begins; behind what would have led out of it there
    is silence. Beams are not looked at.

    Args:
        bar: not changed.
        span: the stretch.
        rests: writes silence from one moment of the bar to another.

    Raises:
        NotCertain: a tuplet would be cut.
    """
    voices: dict[str, list[Note]] = {}
    for place, child in enumerate(bar.children):
        if child.form is not None:
            own = voices.setdefault(child.form.voice, [])
            own.append(as_music(child, setting_at(bar, place)))
    return {
        voice: [left for note in notes for left in _cut(note, span, rests)]
        for voice, notes in voices.items()
    }


def _cut(note: Note, span: Span, rests: Rests) -> Iterator[Note]:
    """What of a note lies outside a stretch."""
    if not span.has(note.onset) and (note.end <= span.start or note.onset >= span.stop):
        yield note
        return
    if note.onset < span.start:
        if note.pitch is None:
            yield from rests(note.onset, span.start)
        else:
            yield _shortened(note, span.start)
    if note.end > span.stop and not note.chord:
        yield from rests(span.stop, note.end)


def _shortened(note: Note, stop: Fraction) -> Note:
    """A note that ends earlier; its slurs and marks stay where it begins."""
    if any(tag_of(child) == "time-modification" for child in note.more):
        raise NotCertain("a tuplet of other music leads over its border")
    notations = [child for child in note.more if tag_of(child) == "notations"]
    kept = [child for child in note.more if tag_of(child) not in _OF_LENGTH]
    kept += [left for child in notations if (left := without(child, "tied"))]
    return note._replace(
        length=stop - note.onset, starts_tie=False, more=tuple(kept), spelled=False
    )


def voices_inside(
    bar: WrittenBar, span: Span, *, clefs_from: Fraction
) -> dict[str, list[Item]]:
    """What the voices of a bar of an expansion have in a stretch of it.

    All its directions are a passage's own, but for those that stand in every part.

    Args:
        bar: not changed.
        span: the stretch.
        clefs_from: quarters from the start of the bar; clefs before it are left out.
    """
    voices: dict[str, list[Item]] = {}
    for place, child in enumerate(bar.children):
        if child.form is not None:
            own = voices.setdefault(child.form.voice, [])
            within = span.has(child.onset) and (
                child.written is not None or child.onset + child.length <= span.stop
            )
            if within:
                own.append(as_music(child, setting_at(bar, place)))
    first = next(iter(voices), "")
    for child in bar.children:
        sign = _sign(child, clefs_from)
        if sign is not None and voices:
            voice = text_in(sign.data, "voice")
            voices[voice if voice in voices else first].append(sign)
    return voices


def _sign(child: Timed, clefs_from: Fraction) -> Sign | None:
    """A direction at its moment, or a clef."""
    if child.tag == "attributes" and child.onset >= clefs_from:
        clefs = b"".join(found_in(child.data, "clef"))
        return Sign(child.onset, b"<attributes>%b</attributes>" % clefs) if clefs else None
    if child.tag != "direction":
        return None
    shapes = read_direction(element_of(child.data), 1).shapes
    if any(shape.scope == "every" for shape in shapes):
        return None
    offset = decimal(text_in(child.data, "offset") or "0") or 0
    onset = max(child.onset + Fraction(offset) / child.divisions, Fraction(0))
    return Sign(onset, without(child.data, "offset"))
