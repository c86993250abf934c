"""Words the players of a section need: div., unis., half, solo, tutti."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.notating.words import said, share_words, words_direction
from rewriter.sketch.model import Sign

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.placing.lines import Line
    from rewriter.placing.strands import Moment


class Manner(NamedTuple):
    """How a section plays a passage.

    Attributes:
        lines: how many lines it has; more than one is divided.
        shares: words for the part or parts that play; empty for the whole section.
    """

    lines: int
    shares: str


WHOLE = Manner(1, "")


class Told(NamedTuple):
    """Who plays from a moment on, and what else is printed there."""

    moment: Moment
    manner: Manner
    markings: tuple[str, ...]


def told(lines: Sequence[Line], marking: str, language: str) -> Told | None:
    """What the players of a section are told at the beginning of a passage.

    Args:
        lines: of the section in the passage, top line first.
        marking: the layout's, such as ``espr.``.
        language: of the words.

    Returns:
        None where no line has a note.
    """
    sounding = [line.soundings[0] for line in lines if line.soundings]
    if not sounding:
        return None
    first = min((sounding.bar, sounding.onset) for sounding in sounding)
    shares = [share_words(line.share, language) for line in lines]
    if len(lines) > 1 and all(line.share.kind in {"half", "others", "equal"} for line in lines):
        shares = []  # div. says it
    words = " / ".join(share for share in shares if share)
    return Told(first, Manner(len(lines), words), (marking,) if marking else ())


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
