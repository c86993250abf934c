"""Words in a merged score where a conflict is to be settled by somebody."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Final

from rewriter.editing.bar_marking import bar_marked
from rewriter.editing.edits import InBar, bar_children, edited
from rewriter.editing.music import Sign
from rewriter.musicxml.escaping import escaped

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.merging.results import Conflict, Entry
    from rewriter.scores.score import Score

OPENING: Final = "to settle:"
"""What such words begin with; by it they are found again."""

_LONGEST: Final = 60
"""Letters of a version in words; more covers the staff."""


def words_of(entry: Entry) -> str:
    """What stands in the score at a conflict.

    Args:
        entry: of it.
    """
    won, lost = ("the hand", "the new score")[:: 1 if entry.stands == "hand" else -1]
    version = entry.new if entry.stands == "hand" else entry.hand
    if len(version) > _LONGEST:
        version = version[:_LONGEST].rpartition(" ")[0] + " ..."
    return f"{OPENING} {entry.kind}, here as {won} has it; {lost} has {version or 'nothing'}"


def direction_of(words: str) -> bytes:
    """Words above the staff, as they stand in a file."""
    return (
        b'<direction placement="above"><direction-type><words font-weight="bold">%b</words>'
        b"</direction-type></direction>"
    ) % escaped(words)


def with_words(score: Score, conflicts: Iterable[Conflict]) -> bytes:
    """A score with words at each conflict, unless they stand there already.

    Args:
        score: the merged one.
        conflicts: where they are; what all parts have is marked on the top part.
    """
    bars: dict[InBar, list[Sign]] = defaultdict(list)
    for one in conflicts:
        where = InBar(one.part or 0, one.bar)
        sign = Sign(one.onset, direction_of(words_of(one.entry)))
        bars[where].append(sign)
    edits = [
        edit
        for where, signs in sorted(bars.items())
        for edit in bar_marked(score, where, _missing(score, where, signs))
    ]
    return edited(score, edits)


def _missing(score: Score, where: InBar, signs: Sequence[Sign]) -> list[Sign]:
    there = b"".join(bar_children(score, where))
    inside = {sign.data: sign for sign in signs}
    return [sign for data, sign in inside.items() if data.split(b"<words", 1)[1] not in there]


def to_settle(score: bytes) -> int:
    """How many such words a score has.

    Args:
        score: MusicXML, not zipped.
    """
    return score.count(OPENING.encode())
