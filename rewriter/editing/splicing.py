"""Changed pieces put into the bytes of a file; every other byte stays as it is.

Places count in the text of the score (``scores.text``). Only new pieces are brought into the
file's encoding; what stays is copied from the file, never decoded and encoded again.
"""

from __future__ import annotations

import codecs
from itertools import pairwise
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.musicxml.containers import packed_again

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.scores.score import Score
    from rewriter.scores.text import ScoreText

_BYTES_AS_THEY_ARE: Final = frozenset(("utf-8", "ascii"))
"""Encodings whose files are their own text: places are the same in both."""


_OR_BY_NUMBER: Final = "rewriter.or-by-number"
"""How letters are written that an encoding lacks; see below."""
_NO_LETTER: Final = range(0xDC00, 0xDD00)
"""What Python's ``surrogateescape`` makes of bytes that are no letter."""


def _by_number(fault: UnicodeError) -> tuple[bytes, int]:
    """Character references, but a byte that was no letter at all stays what it was."""
    if not isinstance(fault, UnicodeEncodeError):
        raise fault
    letters = fault.object[fault.start : fault.end]
    written = (
        bytes([ord(letter) - _NO_LETTER[0]])
        if ord(letter) in _NO_LETTER
        else letter.encode("ascii", "xmlcharrefreplace")
        for letter in letters
    )
    return b"".join(written), fault.end


codecs.register_error(_OR_BY_NUMBER, _by_number)


class Change(NamedTuple):
    """A piece of a text and what stands there instead.

    Attributes:
        start: place in the text, in bytes.
        stop: likewise; the same as `start` for what is put between.
        data: in UTF-8; letters that the file's encoding lacks become character references.
    """

    start: int
    stop: int
    data: bytes


def spliced(score: Score, changes: Iterable[Change]) -> bytes:
    """The file of a score with some pieces changed; zipped where it came zipped.

    Args:
        score: not changed.
        changes: in any order; those put at one place stand in the order given.

    Raises:
        ValueError: two of them change the same piece.
    """
    data = _spliced(score.text, score.source, _in_order(changes))
    return packed_again(score.packed, data) if score.packed else data


def _in_order(changes: Iterable[Change]) -> list[Change]:
    ordered = sorted(changes, key=lambda change: (change.start, change.stop))
    for one, other in pairwise(ordered):
        if one.stop > other.start:
            raise ValueError(f"two changes of one piece: {one} and {other}")
    return ordered


def _spliced(text: ScoreText, source: bytes, changes: Sequence[Change]) -> bytes:
    file = text.data if text.rebuilt else source
    encoding = "utf-8" if text.rebuilt else text.encoding
    cuts = sorted({place for change in changes for place in change[:2]})
    if encoding in _BYTES_AS_THEY_ARE:
        places = dict(zip(cuts, cuts, strict=True))
    else:
        places = _places_in(file, text, cuts)
    pieces = []
    at = 0
    for start, stop, data in changes:
        pieces += [
            file[at : places[start]],
            data.decode("utf-8", "surrogateescape").encode(encoding, _OR_BY_NUMBER),
        ]
        at = places[stop]
    return b"".join([*pieces, file[at:]])


def _places_in(file: bytes, text: ScoreText, cuts: Sequence[int]) -> dict[int, int]:
    """Where places of the text are in the file."""
    ends = [*cuts, len(text.data)]
    again = [
        text.data[start:stop].decode().encode(text.encoding)
        for start, stop in zip([0, *cuts], ends, strict=True)
    ]
    if text.mark + b"".join(again) != file:
        return _places_one_by_one(file, text, cuts)
    places = {}
    at = len(text.mark)
    for cut, piece in zip(cuts, again[:-1], strict=True):
        at += len(piece)
        places[cut] = at
    return places


def _places_one_by_one(file: bytes, text: ScoreText, cuts: Sequence[int]) -> dict[int, int]:
    """The same in an encoding that has two ways to write a letter, byte by byte."""
    decoder = codecs.getincrementaldecoder(text.encoding)()
    wanted = set(cuts)
    places = {0: len(text.mark)}
    at = 0
    for index in range(len(text.mark), len(file)):
        letters = decoder.decode(file[index : index + 1])
        at += len(letters.encode())
        if letters and at in wanted:
            places[at] = index + 1
    return places
