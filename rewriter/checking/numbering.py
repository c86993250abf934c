"""How often bar numbers are printed, part by part, and printed more often.

What a part says holds up to where it says otherwise (W3C MusicXML 4.0, ``measure-numbering``);
what none of them says is left to whoever draws the score.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from itertools import groupby
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.editing.edits import InBar, Inserted, Replaced, bar_children
from rewriter.editing.elements import with_only
from rewriter.editing.music import tag_of
from rewriter.musicxml.escaping import word

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator

    from rewriter.checking.finished import Finished
    from rewriter.editing.edits import Edit

_SAID: Final = re.compile(rb"<measure-numbering(?: [^>]*)?>\s*([a-z]+)\s*</measure-numbering>")
_RISING: Final = ("", "none", "system")


class Unnumbered(NamedTuple):
    """Bars that follow each other and have not the numbers that are wanted.

    Attributes:
        part: in which they would be printed, by index: the highest of the strings.
        bar: index of the first.
        stop: index behind the last.
        instead: the most that any part prints: ``system``, ``none``; empty where none says.
    """

    part: int
    bar: int
    stop: int
    instead: str


def unnumbered(score: Finished, enough: Collection[str]) -> Iterator[Unnumbered]:
    """Stretches in which no part prints numbers often enough.

    Args:
        score: looked at.
        enough: what one part at least should say.
    """
    if not score.of_sections:
        return
    part = score.of_sections[0]
    said = [_said(score, at) for at in range(len(score.score.parts))]
    bars = len(score.score.parts[part].bars)
    most = [max((_in_force(one, bar) for one in said), key=_often) for bar in range(bars)]
    for instead, group in groupby(range(bars), key=lambda bar: most[bar]):
        stretch = list(group)
        if instead not in enough:
            yield Unnumbered(part, stretch[0], stretch[-1] + 1, instead)


def _often(said: str) -> int:
    return _RISING.index(said) if said in _RISING else len(_RISING)


def _said(score: Finished, part: int) -> list[tuple[int, str]]:
    data = score.score.parts[part]
    return [
        (bar, found[-1].decode())
        for bar in data.saying(b"<measure-numbering")
        if (found := _SAID.findall(data.bars[bar]))
    ]


def _in_force(said: list[tuple[int, str]], bar: int) -> str:
    at = bisect_right(said, bar, key=lambda one: one[0])
    return said[at - 1][1] if at else ""


def numbered(score: Finished, fact: Unnumbered, each: str) -> list[Edit]:
    """Edits that print the numbers; behind them it is as before.

    Args:
        score: it is in.
        fact: bars without.
        each: ``measure`` or ``system``.
    """
    said = _said(score, fact.part)
    told = {bar for bar, _ in said if fact.bar <= bar < fact.stop}
    edits = [_telling(score, InBar(fact.part, bar), each) for bar in sorted(told | {fact.bar})]
    goes_on = fact.stop < len(score.score.parts[fact.part].bars)
    if goes_on and all(bar != fact.stop for bar, _ in said):
        before = _in_force(said, fact.stop) or "none"
        edits.append(_telling(score, InBar(fact.part, fact.stop), before))
    return edits


def _telling(score: Finished, where: InBar, what: str) -> Edit:
    data = b"<measure-numbering>%b</measure-numbering>" % word(what)
    for place, child in enumerate(bar_children(score.score, where)):
        if tag_of(child) == "print":
            return Replaced(where, place, with_only(child, data))
    return Inserted(where, 0, b"<print>%b</print>" % data)
