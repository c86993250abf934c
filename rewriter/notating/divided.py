"""Several lines on one staff: on one stem where they move together, else a voice each.

Which of the two is decided for a whole stretch, as far as the lower line goes on without a
break, so that the page does not change its mind from bar to bar and no slur begins in one
notation and ends in the other.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from rewriter.sketch.listening import notes_in
from rewriter.sketch.model import Note, Sign

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.musicxml.note_shapes import NoteShape
    from rewriter.placing.strands import Play, Plays

_STAY_WITH_NOTES: Final = frozenset(("tied", "accidental-mark"))
_MOST: Final = 16
"""Numbers there are for slurs and hairpins (W3C MusicXML 4.0, number-level); the lines of a
section share them out, and a line rarely needs more than two."""

_NUMBERED: Final = re.compile(
    rb"<(slur|tuplet|glissando|slide|wavy-line|other-notation|wedge|dashes|bracket)"
    rb"(?=[ />])([^>]*?)(/?)>"
)
_FERMATA: Final = re.compile(rb'<fermata(?: type="\w*")?')
_NUMBER: Final = re.compile(rb' number="(\d+)"')

_Movement = list[tuple[object, ...]]
"""Notes and rests of a bar, with what lines on one stem must have in common."""


def stemmed_bars(strands: Sequence[Plays]) -> set[int]:
    """The bars in which all lines are written on one stem."""
    if len(strands) < 2:  # noqa: PLR2004 - one line has nothing to share a stem with
        return set()
    stemmed: set[int] = set()
    for whole in _blocks(strands[1:]):
        divided = [bar for bar in whole if _sounding(strands, bar) > 1]
        block = [bar for bar in whole if divided and divided[0] <= bar <= divided[-1]]
        if block and all(
            _together(
                [strand[bar] for strand in strands],
                bar,
                opens=bar == block[0],
                closes=bar == block[-1],
            )
            for bar in block
        ):
            stemmed.update(block)
    return stemmed


def _sounding(strands: Sequence[Plays], bar: int) -> int:
    """How many lines sound in a bar: one that goes on alone is no division yet, or any more."""
    return sum(any(not play.silent for play in strand[bar]) for strand in strands)


def _blocks(lower: Sequence[Plays]) -> Iterator[list[int]]:
    """Stretches of bars over which the lower lines go on, as far as their voices go on."""
    block: list[int] = []
    voices: set[int] = set()
    for bar in range(len(lower[0])):
        here = {id(play.voice) for plays in lower for play in plays[bar] if not play.silent}
        if block and (not here or not here & voices):
            yield block
            block = []
        if here:
            block.append(bar)
        voices = here
    if block:
        yield block


def _together(lines: Sequence[Sequence[Play]], bar: int, *, opens: bool, closes: bool) -> bool:
    """True when all lines of a section have the same rhythm and signs in a bar, or rest.

    Args:
        lines: plays of each in the bar.
        bar: index.
        opens: the section divides in this bar, maybe not at its beginning.
        closes: it is one again in this bar, maybe not at its end.
    """
    sounding = [line for line in lines if any(not play.silent for play in line)]
    first = sounding[0]
    if len(sounding) < len(lines) and len(sounding) < 2:  # noqa: PLR2004 - nobody beside it
        return False
    if all(_is_all_of(line, first) for line in sounding):
        return True
    whole, lines_over = _movement(first, bar), _lines(first, bar)
    return all(
        _is_part(_movement(line, bar), whole, opens=opens, closes=closes)
        and _lines(line, bar) == lines_over
        for line in sounding[1:]
    )


def _is_part(own: _Movement, whole: _Movement, *, opens: bool, closes: bool) -> bool:
    """True when a line moves with another from where the section divides to where it ends."""
    count = len(own)
    if opens and closes:
        return any(whole[at : at + count] == own for at in range(len(whole) - count + 1))
    return (
        own == whole or (opens and whole[-count:] == own) or (closes and whole[:count] == own)
    )


def _is_all_of(line: Sequence[Play], first: Sequence[Play]) -> bool:
    """True when a line plays the same voice from the first note of the bar to the last."""
    return (
        len(line) == len(first) == 1
        and line[0].voice is first[0].voice
        and line[0].octaves is first[0].octaves is None
        and line[0].change == first[0].change
    )


def _movement(line: Sequence[Play], bar: int) -> _Movement:
    """What two lines on one stem must have in common."""
    return [
        (
            note.onset,
            note.length,
            note.shape.grace,
            note.pitch is None,
            play.change,
            [
                (sign.family, sign.tag, sign.type)
                for sign in note.shape.notations
                if sign.tag not in _STAY_WITH_NOTES
            ],
        )
        for play in line
        for note, octave in zip(notes_in(play.voice, bar), play.per_note(bar), strict=True)
        if octave is not None
    ]


def _lines(line: Sequence[Play], bar: int) -> list[tuple[object, ...]]:
    """Ends of hairpins and the like in a bar; lines on one stem can have no others."""
    return [
        (sign.onset, sign.detail.spans)
        for play in line
        for sign in play.voice.bars[bar].items
        if isinstance(sign, Sign) and sign.scope == "line" and sign.detail and sign.detail.spans
    ]


def on_the_stem(note: Note) -> Note:
    """A note on another's stem: its ties stay, what the other says is not said twice.

    The accidental of an ornament stands with the ornament, which is the other's.
    """
    kept = [n for n in note.shape.notations if n.tag in _STAY_WITH_NOTES and not n.family]
    shape: NoteShape = note.shape.derived(without={"lyric", "beam"}, notations=kept, chord=True)
    return Note(note.onset, note.length, shape, note.pitch)


def as_voice(data: bytes, depth: int, lines: int) -> bytes:
    """A line as a voice of its own: its name, slurs and hairpins numbered apart.

    Fermatas of lower voices stand under them, turned round (common practice, no source).

    Args:
        data: the line's notes and signs, written as voice 1.
        depth: 0 for the uppermost line, which stays voice 1.
        lines: how many the section has.
    """
    name = b"<voice>%d</voice>" % (depth + 1)
    if depth:
        data = _FERMATA.sub(b'<fermata type="inverted"', data)
    return numbered_apart(data, depth, lines).replace(b"<voice>1</voice>", name)


def numbered_apart(data: bytes, depth: int, lines: int) -> bytes:
    """A line with its slurs, hairpins and the like numbered out of the others' way."""
    if depth == 0:
        return data

    def moved(match: re.Match[bytes]) -> bytes:
        tag, attributes, closing = match.groups()
        number = _NUMBER.search(attributes)
        old = int(number[1]) if number else 1
        new = (old + _MOST // lines * depth - 1) % _MOST + 1
        rest = _NUMBER.sub(b"", attributes)
        return b'<%b%b number="%d"%b>' % (tag, rest, new, closing)

    return _NUMBERED.sub(moved, data)
