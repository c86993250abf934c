"""Compare two scores as music."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lxml import etree

from rewriter.merging.in_step import compared_in_step
from rewriter.problems import Refused
from rewriter.reporting.compared import differences_of
from rewriter.scores.score import read_score
from rewriter.verbs.arguments import check_truths
from rewriter.verbs.collector import collector_paused

if TYPE_CHECKING:
    import os

    from lxml.etree import _Element, _ElementTree

    from rewriter.reporting.differences import Differences
    from rewriter.scores.score import Score


@collector_paused()
def differences(
    a: str | os.PathLike[str] | bytes | _Element | _ElementTree,
    b: str | os.PathLike[str] | bytes | _Element | _ElementTree,
    *,
    keep_breaks: bool = False,
) -> Differences:
    """Say what two scores do not have alike, as music: notes, marks, words, clefs, bars.

    What a program changes when it saves a file (ids, order, divisions, numbers of voices,
    stems, places on the page) is no difference. Parts answer to each other by name, else by
    place; bars by their order, and where some were cut or put in, by what sounds.

    Args:
        a: a path, the bytes of a file, or an lxml tree, which is not changed.
        b: another.
        keep_breaks: breaks of pages and systems count.

    Returns:
        All of it, bar by bar; kinds of things that `b` has nowhere, each once; and which bars
        of its parts, and which of its pages, are not as in `a`.

    Raises:
        Refused: one of them cannot be read, or their lengths have no common division; its
            text is one line.
    """
    check_truths(keep_breaks=keep_breaks)
    try:
        own = read_score(a, trusted=True), read_score(b, trusted=True)
        return _compared(*own, with_breaks=keep_breaks)
    except etree.XMLSyntaxError:  # one claims to be the tool's own, and is not
        return _compared(read_score(a), read_score(b), with_breaks=keep_breaks)


def _compared(first: Score, second: Score, *, with_breaks: bool) -> Differences:
    try:
        found = compared_in_step(first, second, with_breaks=with_breaks)
    except ValueError:
        raise Refused(
            "the lengths of its notes and those of the other score have no common division",
            "look at their <divisions>",
            file=second.name,
        ) from None
    return differences_of(first, second, found, with_breaks=with_breaks)
