"""A part that was put in by hand, its bars laid out as the new score has them."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from rewriter.editing.elements import with_attribute
from rewriter.editing.music import tag_of
from rewriter.editing.standing import Standing
from rewriter.merging.moved_bars import moved_bar
from rewriter.merging.resting import resting_bar
from rewriter.scores.children import children_of, element_of
from rewriter.theory.fifths import Interval
from rewriter.theory.numbers import decimal

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.merging.reshaping import Shape
    from rewriter.merging.three import Three

_UNMOVED = Interval(0, 0)


def part_bars(
    three: Three, shape: Shape, made_part: int, numbers: Sequence[str]
) -> list[bytes]:
    """The bars of a part of the edited score, as the new score has its bars.

    Rests stand where it has nothing for a bar. Clef, key, metre and divisions are said again
    where bars between have gone.

    Args:
        three: the scores.
        shape: where the bars are.
        made_part: index in the edited score.
        numbers: printed, of the bars as they are going to be.
    """
    source = three.scores.edited.parts[made_part].bars
    standings = standings_of(source)
    made_of = _made_bars(three, shape)
    moves = {place: three.by(bar) for bar, place in shape.now.items()}
    here = Standing()
    divisions = Fraction(1)
    found = []
    for place, name in enumerate(numbers):
        made = made_of.get(place)
        if made is None or made >= len(source):
            found.append(resting_bar(three.length_of(shape, place) * divisions, name))
            continue
        said = here.leading_to(standings[made])
        bar = with_statement(source[made], said)
        here = standings[made + 1]
        divisions = _divisions(source[made], _divisions(bar, divisions))
        move = moves.get(place, _UNMOVED)
        bar = moved_bar(bar, move, first=False) if move != _UNMOVED else bar
        found.append(with_attribute(bar, "number", name))
    return found


def standings_of(bars: Sequence[bytes]) -> list[Standing]:
    """What is in force before each bar, and behind the last.

    Args:
        bars: of a part, from its first.
    """
    found = [Standing()]
    for bar in bars:
        said = [
            child
            for child in (children_of(bar) if b"<attributes" in bar else ())
            if tag_of(child) == "attributes"
        ]
        found.append(found[-1].take(said) if said else found[-1])
    return found


def with_statement(bar: bytes, said: Sequence[bytes]) -> bytes:
    """A bar that says first what is to be in force in it.

    Args:
        bar: ``<measure>`` as lxml writes it.
        said: children of ``<attributes>``.
    """
    if not said:
        return bar
    opening, _, rest = bar.partition(b">")
    return b"%b><attributes>%b</attributes>%b" % (opening, b"".join(said), rest)


def _divisions(bar: bytes, before: Fraction) -> Fraction:
    if b"<divisions" not in bar:
        return before
    said = [decimal(one.text or "") for one in element_of(bar).iter("divisions")]
    return next((one for one in reversed(said) if one), before)


def _made_bars(three: Three, shape: Shape) -> dict[int, int]:
    """Bars as they are going to be, and those of the edited score that they are."""
    found = {place: made for made, place in shape.put.items()}
    for base, now in three.new_bars.certain.items():
        made = three.edited_bars.bars.get(base)
        known = base not in three.doubtful and base not in three.new_bars.unlike
        if made is not None and now in shape.now and known:
            found[shape.now[now]] = made
    return found
