"""Bars of another score made fit for a place of this one, which is as it was behind them."""

from __future__ import annotations

from itertools import takewhile
from typing import TYPE_CHECKING, NamedTuple

from rewriter.editing.cutting import attribute_in, inner_of, inside_of, space_before
from rewriter.editing.edit_kinds import InBar, Inserted, Refilled, Replaced
from rewriter.editing.edits import bar_children
from rewriter.editing.elements import with_child, without
from rewriter.editing.filling import put_into
from rewriter.editing.ids import with_ids_of
from rewriter.editing.music import tag_of
from rewriter.editing.standing import said_at_start, standing_before
from rewriter.scores.children import children_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.editing.edit_kinds import Edit
    from rewriter.editing.standing import Standing
    from rewriter.scores.score import Score


class Fitted(NamedTuple):
    """Bars made fit for a place.

    Attributes:
        bars: ``<measure>`` each, with the numbers they had.
        after: edits of the bar behind them, which brings into force again what was; none where
            there is no such bar, or nothing has changed.
    """

    bars: list[bytes]
    after: list[Edit]


def fitted(
    score: Score, where: InBar, source: Score, there: InBar, count: int = 1, instead: int = 0
) -> Fitted:
    """Bars of another score's part for a place of this score.

    They say at their start what differs from what is in force here: divisions, key, metre,
    staves and their look, clef, transposition. The old divisions are restored at their end, all
    else where the next bar begins, if that does not say it itself. Ties, slurs and the like
    that are open at either end stay so. What names instruments the part has not is left out.

    Args:
        score: not changed.
        where: the bar they are to stand before, or in place of; the one after the last for the
            end.
        source: where they come from; not changed.
        there: the first of them.
        count: how many.
        instead: how many bars here they stand in place of.

    Example: two bars more for all parts, with numbers of their own::

        new = {}
        edits = []
        for part in range(len(score.parts)):
            bars, after = fitted(score, InBar(part, 8), other, InBar(part, 0), count=2)
            new[part] = [with_attribute(bar, "number", f"8{n}") for bar, n in zip(bars, "ab")]
            edits += after
        edited(score, [*bars_put_in(score, 8, new), *edits])
    """
    here, part = score.parts[where.part], source.parts[there.part]
    bars = [with_ids_of(score, where.part, bar) for bar in part.bars[there.bar :][:count]]
    if len(bars) != count or not count:
        raise ValueError(f"there are no {count} bars from {there}")
    first = children_of(bars[0])
    begun = standing_before(here, where.bar).take(said_at_start(first))
    meant = standing_before(part, there.bar).take(said_at_start(first))
    bars[0] = _put_in(bars[0], statement(where, first, begun.leading_to(meant)))
    ended = standing_before(part, there.bar + count)
    behind = where.bar + instead
    if behind >= len(here.bars):
        return Fitted(bars, [])
    next_bar = InBar(where.part, behind)
    restoring = _restoring(score, next_bar, ended)
    divisions = [one for one in restoring if tag_of(one) == "divisions"]
    others = [one for one in restoring if tag_of(one) != "divisions"]
    bars[-1] = _put_in(bars[-1], _at_the_end(where, children_of(bars[-1]), divisions))
    return Fitted(bars, statement(next_bar, bar_children(score, next_bar), others))


def said_again(score: Score, where: InBar, standing: Standing) -> list[Edit]:
    """Edits of a bar that bring into force what was in force where it begins.

    Args:
        score: not changed.
        where: the bar.
        standing: what is going to be in force before it.
    """
    return statement(where, bar_children(score, where), _restoring(score, where, standing))


def _restoring(score: Score, where: InBar, standing: Standing) -> list[bytes]:
    part = score.parts[where.part]
    said = list(said_at_start(part.children(where.bar)))
    return standing.take(said).leading_to(standing_before(part, where.bar).take(said))


def brought_over(score: Score, where: InBar, source: Score, there: InBar) -> list[Edit]:
    """Edits that put a bar of another score's part in place of a bar.

    The bar keeps its start tag, so its number, and what it says of the page (``<print>``); the
    other's page is left out. All else is as :func:`fitted` says.

    Args:
        score: not changed.
        where: the bar that gives way.
        source: where the other comes from; not changed.
        there: which.
    """
    (bar,), after = fitted(score, where, source, there, instead=1)
    space, _ = _line_and_indent(score, where)
    page = [space + own for own in bar_children(score, where) if tag_of(own) == "print"]
    music = inner_of(in_line(score, where, without(bar, "print")))
    return [Refilled(where, b"".join((*page, music))), *after]


def in_line(score: Score, where: InBar, bar: bytes) -> bytes:
    """A bar whose children take line and indent from those of a bar of the score.

    Args:
        score: not changed.
        where: the bar of the score.
        bar: ``<measure>`` as lxml writes it.
    """
    space, end = _line_and_indent(score, where)
    children = b"".join(space + child for child in children_of(bar))
    opening = bar[: bar.index(b">") + 1].replace(b"/>", b">")
    return opening + children + end + b"</measure>"


def _line_and_indent(score: Score, where: InBar) -> tuple[bytes, bytes]:
    """The white space before the first child of a bar, and before its end tag."""
    span = score.place(*where)
    if span is None:
        return b"", b""
    text = score.text.data
    beside = inside_of(text, span.start)
    if beside.empty or not beside.children:
        return b"", b""
    end = space_before(text, beside.span.stop, beside.span.start)
    return beside.children[0].space, end


def statement(where: InBar, children: Sequence[bytes], said: Sequence[bytes]) -> list[Edit]:
    """Edits that say something where a bar begins, in the ``<attributes>`` it begins with.

    Args:
        where: the bar.
        children: of it, as they stand.
        said: children of ``<attributes>``.
    """
    if not said:
        return []
    elements = [child for child in children if tag_of(child)]
    for child in said_at_start(elements):
        new = child
        for one in said:
            new = with_child(new, one)
        return [Replaced(where, elements.index(child), new)]
    place = sum(1 for _ in takewhile(lambda child: tag_of(child) == "print", elements))
    return [Inserted(where, place, b"<attributes>%b</attributes>" % b"".join(said))]


def _at_the_end(where: InBar, children: Sequence[bytes], said: Sequence[bytes]) -> list[Edit]:
    if not said:
        return []
    elements = [child for child in children if tag_of(child)]
    place = len(elements)
    if elements and tag_of(elements[-1]) == "barline":
        place -= attribute_in(elements[-1], "location") != "left"
    return [Inserted(where, place, b"<attributes>%b</attributes>" % b"".join(said))]


def _put_in(bar: bytes, edits: Sequence[Edit]) -> bytes:
    return b"".join(put_into(bar, edits)) if edits else bar
