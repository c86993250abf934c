"""The strands of a section, and the words its players need: div., half, espr."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.notating.words import (
    DYNAMICS,
    dynamic_direction,
    said,
    share_words,
    words_direction,
)
from rewriter.placing.strands import Strand
from rewriter.sketch.model import Sign

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.lines import Line
    from rewriter.rulefiles.layouts import LineDetail


class Divided(NamedTuple):
    """Strands of a section, top line first, and words by bar."""

    strands: list[Strand]
    signs: dict[int, list[Sign]]


def strands_of(lines: Sequence[Line], detail: LineDetail | None, language: str) -> Divided:
    """Strands and words of one section.

    Args:
        lines: of the section; several where it divides.
        detail: the layout's, for this section.
        language: of the words.
    """
    lines = sorted(lines, key=lambda line: -line.octave)
    change = detail.dynamic if detail else ""
    strands = [
        Strand(line.plays, dict.fromkeys(range(len(line.plays)), change) if change else {})
        for line in lines
    ]
    signs: dict[int, list[Sign]] = {}
    if lines and lines[0].soundings:
        first = lines[0].soundings[0]
        pieces = [words_direction(text) for text in _words(lines, language)]
        if detail and detail.marking:
            pieces.append(words_direction(detail.marking, italic=True))
        if change in DYNAMICS:
            pieces.append(dynamic_direction(b"<dynamics><%b/></dynamics>" % change.encode()))
        if pieces:
            signs[first.bar] = [
                Sign(first.onset, "line", piece, "direction") for piece in pieces
            ]
    return Divided(strands, signs)


def _words(lines: Sequence[Line], language: str) -> list[str]:
    shares = [share_words(line.share, language) for line in lines]
    if len(lines) == 1:
        return [words for words in shares if words]
    named = [words for line, words in zip(lines, shares, strict=True) if _by_desk(line)]
    return [said("div", language), *([" / ".join(filter(None, shares))] if named else [])]


def _by_desk(line: Line) -> bool:
    """True where halves alone would not tell the players who plays which line."""
    return line.share.kind in {"desk", "desks", "solo", "third"}
