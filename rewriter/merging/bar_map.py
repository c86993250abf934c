"""Which bar is which, as somebody says it: ``1-8=1-8, 9-40=13-44``."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

_PIECE: Final = re.compile(r"\s*([^\s=,]+?)\s*=\s*([^\s=,]+?)\s*")
_EXAMPLE: Final = 'write it like "1-8=1-8, 9-40=13-44"'


def parse_bars(text: str, base: Sequence[str], new: Sequence[str]) -> dict[int, int]:
    """Read which bars are which.

    Args:
        text: pieces such as ``9-40=13-44`` or ``7=9``, printed numbers of the score as it was
            and of the new one.
        base: printed numbers of the bars of the score as it was.
        new: of the new one.

    Returns:
        Indexes of the one to indexes of the other.

    Raises:
        Refused: it cannot be read, names bars that are not there or a bar twice, or as many
            bars do not answer to as many.

    >>> parse_bars("1-2=2-3", ["0", "1", "2"], ["0", "1", "2", "3"])
    {1: 2, 2: 3}
    """
    found: dict[int, int] = {}
    for piece in text.split(","):
        match = _PIECE.fullmatch(piece)
        if match is None:
            raise Refused(
                f'bars: "{piece.strip()}" does not say which bars are which', _EXAMPLE
            )
        ones = list(_bars(match[1], base, "the score as it was"))
        twos = list(_bars(match[2], new, "the new score"))
        if len(ones) != len(twos):
            raise Refused(
                f'bars: "{piece.strip()}" sets {len(ones)} against {len(twos)} bars', _EXAMPLE
            )
        for one, two in zip(ones, twos, strict=True):
            if one in found or two in found.values():
                raise Refused(f'bars: "{piece.strip()}" names a bar again', "name each once")
            found[one] = two
    return dict(sorted(found.items()))


def _bars(said: str, numbers: Sequence[str], where: str) -> Iterator[int]:
    """Indexes of a bar or of bars from one to another."""
    if said in numbers:
        yield numbers.index(said)
        return
    first, _, last = said.rpartition("-")
    for number in (first, last):
        if number not in numbers:
            raise Refused(
                f'bars: {where} has no bar "{number or said}"', "name printed numbers"
            )
    start, stop = numbers.index(first), len(numbers) - 1 - numbers[::-1].index(last)
    if stop < start:
        raise Refused(f'bars: "{said}" ends before it begins', _EXAMPLE)
    yield from range(start, stop + 1)
