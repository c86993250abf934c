"""Fermatas: where everybody holds, whoever has the sign in the sketch.

A fermata holds the whole score, so it stands in every part at its moment: on the note that
sounds there, or on the rest (common practice, no source; W3C MusicXML 4.0 has it on notes,
rests and barlines alike). Where several staves hold, they do so together from where the last
of them has begun until the first of them ends.
"""

from __future__ import annotations

from itertools import accumulate, groupby
from math import ceil, floor
from typing import TYPE_CHECKING, Final

import msgspec
from lxml import etree

from rewriter.musicxml.escaping import escaped, word
from rewriter.musicxml.note_reading import serialised
from rewriter.musicxml.note_shapes import Notation
from rewriter.scores.children import element_of
from rewriter.scores.quarters import in_quarters
from rewriter.sketch.frame import Pause
from rewriter.sketch.model import Note, Sign
from rewriter.sketch.rests import is_plain_rest, rests_between

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rewriter.scores.events import Event
    from rewriter.scores.score import Part
    from rewriter.sketch.frame import FrameBar

_SIGN: Final = b"<fermata"
_BEHIND_IT: Final = frozenset(("ending", "repeat"))
"""Children of a barline that stand behind its fermatas in the schema."""


class BarPauses(msgspec.Struct, frozen=True):
    """The pauses of a bar.

    Attributes:
        within: on notes and rests, in order.
        at_barlines: (``left`` or ``right``, ``<fermata>`` as bytes).
    """

    within: list[Pause]
    at_barlines: list[tuple[str, bytes]]


def pauses_in(parts: Iterable[Part], divisions: int) -> dict[int, BarPauses]:
    """Every pause of a sketch, by bar: of its other staves and voices and its cue notes too.

    Args:
        parts: of the sketch.
        divisions: of a quarter, to count in.
    """
    found: dict[int, list[Pause]] = {}
    at_barlines: dict[int, list[tuple[str, bytes]]] = {}
    for part in parts:
        for index, bar in in_quarters(part, part.having(_SIGN)).items():
            for event in bar.events:
                if event.tag == "barline":
                    at_barlines.setdefault(index, []).extend(_of_barline(event))
                elif event.form is not None and _SIGN in event.data:
                    onset = bar.onset(event) * divisions
                    until = ceil(onset + bar.length(event) * divisions)
                    for sign in event.form.notations:
                        if sign.tag == "fermata":
                            pause = Pause(floor(onset), until, _plain(sign.data))
                            found.setdefault(index, []).append(pause)
    return {
        index: BarPauses(list(_together(found.get(index, ()))), at_barlines.get(index, []))
        for index in sorted({*found, *at_barlines})
    }


def _of_barline(event: Event) -> Iterator[tuple[str, bytes]]:
    barline = element_of(event.data)
    for fermata in barline.findall("fermata"):
        yield barline.get("location", "right"), serialised(fermata)


def _plain(fermata: bytes) -> bytes:
    """The sign without where it stood on the page and on which side of its note."""
    element = element_of(fermata)
    shape = escaped((element.text or "").strip())
    return b"<fermata>%b</fermata>" % shape if shape else b"<fermata/>"


def _together(pauses: Iterable[Pause]) -> Iterator[Pause]:
    """The pauses of all staves, those that overlap as one."""
    held: Pause | None = None
    for pause in sorted(pauses):
        if held is not None and (pause.onset < held.until or pause.onset == held.onset):
            held = Pause(pause.onset, min(held.until, pause.until), held.data)
            continue
        if held is not None:
            yield held
        held = pause
    if held is not None:
        yield held


def hold(frame: FrameBar, pauses: BarPauses) -> None:
    """Give a bar its pauses; those of barlines stand on the barline in every part."""
    frame.pauses = tuple(pause for pause in pauses.within if pause.onset < frame.length)
    for location, signs in groupby(sorted(pauses.at_barlines), lambda one: one[0]):
        fermata = next(signs)[1]
        if location == "left" and _SIGN not in frame.left:
            frame.left = _with_fermata(frame.left, location, fermata)
        elif location == "right" and _SIGN not in frame.right:
            frame.right = _with_fermata(frame.right, location, fermata)


def _with_fermata(barlines: bytes, location: str, fermata: bytes) -> bytes:
    """The barlines at one end of a bar, the outermost with a fermata."""
    if not barlines:
        return b'<barline location="%b">%b</barline>\n' % (word(location), fermata)
    *others, last = element_of(b"<bar>" + barlines + b"</bar>")
    place = next((n for n, child in enumerate(last) if child.tag in _BEHIND_IT), len(last))
    last.insert(place, etree.fromstring(fermata))
    return b"".join(serialised(line) + b"\n" for line in (*others, last))


def held(items: Sequence[Note | Sign], frame: FrameBar, divisions: int) -> list[Note | Sign]:
    """A bar, or some of it, with the fermatas it lacks.

    Args:
        items: notes, rests and signs; the notes that hold get another shape.
        frame: its pauses count.
        divisions: per quarter.

    Returns:
        The items; where a rest had to be split, with its parts in its place.
    """
    now = list(items)
    for pause in reversed(frame.pauses):  # the last first, so that one rest may have several
        now = _held(now, pause, frame, divisions)
    return now


def _held(
    items: list[Note | Sign], pause: Pause, frame: FrameBar, divisions: int
) -> list[Note | Sign]:
    for place, note in enumerate(items):
        if not isinstance(note, Note):
            continue
        if not note.onset <= pause.onset < note.onset + note.length:
            continue
        if any(sign.tag == "fermata" for sign in note.shape.notations):
            return items
        rests = _split(note, pause.onset, frame, divisions)
        holding = next(rest for rest in reversed(rests) if rest.onset <= pause.onset)
        fermata = Notation("", "fermata", "", "1", pause.data)
        notations = [*holding.shape.notations, fermata]
        holding.shape = holding.shape.derived(notations=notations)
        return [*items[:place], *rests, *items[place + 1 :]]
    return items


def _split(note: Note, moment: int, frame: FrameBar, divisions: int) -> list[Note]:
    """A rest as rests, one of which begins at a moment; a note as it is.

    Inside what only a tuplet could write, at the beat before the moment.
    """
    if moment == note.onset or not is_plain_rest(note):
        return [note]
    stop = note.onset + note.length
    beats = accumulate(frame.metre.groups)
    starts = [int(beat * divisions) - frame.lacking for beat in beats]
    before = [start for start in starts if note.onset < start < moment]
    for at in (moment, *reversed(before)):
        rests = [
            *rests_between(note.onset, at, frame, divisions),
            *rests_between(at, stop, frame, divisions),
        ]
        if all(any(tag == "type" for tag, _ in rest.shape.children) for rest in rests):
            return rests
    return [note]
