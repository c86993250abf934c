"""How lengths are written: types, dots, ties between several, tuplets."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.editing.music import tag_of
from rewriter.musicxml.escaping import word
from rewriter.musicxml.note_shapes import Notation, joined_notations
from rewriter.theory.metre import note_type

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.editing.music import Note

_PLAIN: Final = [
    Fraction(2) ** power * dotted
    for power in range(3, -9, -1)
    for dotted in (Fraction(3, 2), Fraction(1))
]
"""Lengths of single notes with one dot at the most, in quarters, longest first."""


class _Piece(NamedTuple):
    """One written note of a length.

    Attributes:
        length: quarters.
        ratio: of its tuplet; 1 outside.
        starts: True when its tuplet begins with it.
        stops: True when its tuplet ends with it.
    """

    length: Fraction
    ratio: Fraction
    starts: bool = False
    stops: bool = False


def spelled(notes: Sequence[Note]) -> list[Note]:
    """Notes with all that says how their lengths and ties are written.

    What no single note can write becomes several, tied. A tuplet is as long as its ends fall
    between the halves of a quarter, and its halves, and so on.

    Args:
        notes: one voice, in time; what is spelled already stays.
    """
    made: list[Note] = []
    tuplet = Fraction(1)
    chords = _chords(notes)
    for index, chord in enumerate(chords):
        first = chord[0]
        if first.spelled or not first.length or _fills_the_bar(first):
            made += [note if note.spelled else _plain(note) for note in chord]
            continue
        after = next((one[0] for one in chords[index + 1 :] if one[0].length), None)
        pieces = _pieces(first, tuplet, after)
        tuplet = Fraction(1) if pieces[-1].stops else pieces[-1].ratio
        made += _tied(chord, pieces)
    return made


def _chords(notes: Sequence[Note]) -> list[list[Note]]:
    chords: list[list[Note]] = []
    for note in notes:
        if note.chord and chords:
            chords[-1].append(note)
        else:
            chords.append([note])
    return chords


def _fills_the_bar(note: Note) -> bool:
    return any(tag_of(child) == "rest" and b"measure" in child for child in note.more)


def _pieces(note: Note, tuplet: Fraction, after: Note | None) -> list[_Piece]:
    """Written notes for the length of one.

    Args:
        note: with a length.
        tuplet: ratio of the tuplet that is open before it; 1 for none.
        after: the next that has a length.
    """
    inside = tuplet != 1 and _fits(note, tuplet)
    ratio = tuplet if inside else _ratio(_odd_part(note.length.denominator))
    lengths = [shown / ratio for shown in _single(note.length * ratio)]
    if ratio == 1:
        return [_Piece(one, ratio) for one in lengths]
    goes_on = after is not None and after.onset == note.end and _fits(after, ratio)
    closes = _odd_part(note.end.denominator) == 1 or not goes_on
    last = len(lengths) - 1
    return [
        _Piece(one, ratio, starts=not inside and at == 0, stops=closes and at == last)
        for at, one in enumerate(lengths)
    ]


def _fits(note: Note, tuplet: Fraction) -> bool:
    """True for a note that can be written in a tuplet."""
    return not note.spelled and _odd_part((note.length * tuplet).denominator) == 1


def _odd_part(number: int) -> int:
    while number % 2 == 0:
        number //= 2
    return number


def _ratio(odd: int) -> Fraction:
    """So many notes take the place of the next smaller power of two.

    >>> _ratio(3), _ratio(7), _ratio(1)
    (Fraction(3, 2), Fraction(7, 4), Fraction(1, 1))
    """
    return Fraction(odd, 1 << (odd.bit_length() - 1))


def _single(length: Fraction) -> list[Fraction]:
    """Lengths of single notes that make up one; itself where that cannot be."""
    if note_type(length):
        return [length]
    found = []
    left = length
    for plain in _PLAIN:
        while plain <= left:
            found.append(plain)
            left -= plain
    return [length] if left else found


def _tied(chord: Sequence[Note], pieces: Sequence[_Piece]) -> Iterator[Note]:
    onset = chord[0].onset
    for at, piece in enumerate(pieces):
        is_first, is_last = at == 0, at == len(pieces) - 1
        for note in chord:
            sounds = note.pitch is not None
            signs = [
                sign
                for sign in note.notations
                if (is_last if sign.type == "stop" else is_first)
            ]
            yield _plain(
                note._replace(
                    onset=onset,
                    length=piece.length,
                    starts_tie=note.starts_tie if is_last else sounds,
                    stops_tie=note.stops_tie if is_first else sounds,
                    accidental=note.accidental if is_first else b"",
                    notations=(*_tuplet_signs(piece, note), *signs),
                    more=(*_of_piece(note.more, first=is_first), *_value(piece)),
                )
            )
        onset += piece.length


def _of_piece(more: Sequence[bytes], *, first: bool) -> Sequence[bytes]:
    """Other children: lyrics and the like stand at the first of several tied notes."""
    return more if first else [c for c in more if tag_of(c) in {"rest", "unpitched", "cue"}]


def _tuplet_signs(piece: _Piece, note: Note) -> list[Notation]:
    if note.chord or any(sign.tag == "tuplet" for sign in note.notations):
        return []
    ends = (("start", piece.starts), ("stop", piece.stops))
    return [
        Notation("", "tuplet", end, "1", b'<tuplet type="%b"/>' % word(end))
        for end, there in ends
        if there
    ]


def _value(piece: _Piece) -> Iterator[bytes]:
    written = note_type(piece.length * piece.ratio)
    if written:
        yield b"<type>%b</type>" % word(written[0])
        yield from [b"<dot/>"] * written[1]
    if piece.ratio != 1:
        yield (
            b"<time-modification><actual-notes>%d</actual-notes>"
            b"<normal-notes>%d</normal-notes></time-modification>"
        ) % piece.ratio.as_integer_ratio()


def _plain(note: Note) -> Note:
    """A note whose ties and notations are among its children."""
    ends = [
        end for end, there in (("stop", note.stops_tie), ("start", note.starts_tie)) if there
    ]
    heard = [b'<tie type="%b"/>' % word(end) for end in ends if note.length]
    drawn = [Notation("", "tied", end, "1", b'<tied type="%b"/>' % word(end)) for end in ends]
    notations = joined_notations([*drawn, *note.notations])
    more = (*note.more, *heard, *([notations] if notations else []))
    return note._replace(more=more, notations=(), spelled=True)
