"""What stands on the page beside the music: titles as printed, subtitles, names, remarks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.comparing.things import HEADING, Point, Thing, plain_text

if TYPE_CHECKING:
    from lxml.etree import _Element as Element

    from rewriter.scores.score import Score

PAGE_TEXT: Final = "page text"
"""The kind of such things."""


def said_by(credit: Element) -> str:
    """The words of a ``<credit>``, as they are read; empty for a picture."""
    return plain_text(" ".join(one.text or "" for one in credit.iterfind("credit-words")))


def page_texts(score: Score) -> list[str]:
    """All texts of a score's pages, in document order."""
    return [said for one in score.header.iterfind("credit") if (said := said_by(one))]


def page_texts_changed(a: Score, b: Score) -> tuple[list[Thing], list[Thing]]:
    """Texts that one of two scores has and the other has not.

    Programs print titles, makers and names of parts where nothing was printed: that is no
    difference, and what is printed of a title that is another now goes with the title.

    Args:
        a: a score.
        b: another.

    Returns:
        Those of A and those of B; none where either has no texts at all.
    """
    ones, twos = page_texts(a), page_texts(b)
    if not (ones and twos):
        return [], []
    data_a, data_b = _in_the_data(a), _in_the_data(b)
    gone = [text for text in ones if text not in twos and text not in data_a - data_b]
    more = [text for text in twos if text not in ones and text not in data_a | data_b]
    return _things(gone), _things(more)


def _things(texts: list[str]) -> list[Thing]:
    return [Thing(PAGE_TEXT, text, Point(HEADING)) for text in texts]


def _in_the_data(score: Score) -> set[str]:
    """What a score says of itself and its parts, as data."""
    header = score.header
    paths = (
        "movement-title", "movement-number", "work/work-title", "work/work-number",
        "identification/creator", "identification/rights", "part-list/score-part/part-name",
    )  # fmt: skip
    said = {plain_text(one.text) for path in paths for one in header.iterfind(path)}
    makers = [plain_text(one.text) for one in header.iterfind("identification/creator")]
    return said | {", ".join(makers)}
