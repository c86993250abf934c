"""Fermatas of a score whose resting parts lack them: who counts bars must see where all wait.

A part that plays is taken as it comes; a bar's rest gets the sign, unsplit.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from lxml import etree

from rewriter.musicxml.note_reading import serialised
from rewriter.scores.quarters import in_quarters
from rewriter.stands.rests import rests_in

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from fractions import Fraction

    from rewriter.scores.quarters import BarInQuarters
    from rewriter.stands.copying import PartCopy

_SIGN: Final = b"<fermata"
_BEHIND_NOTATIONS: Final = frozenset(("lyric", "play", "listen"))


def spread_fermatas(parts: Sequence[PartCopy], targets: Iterable[PartCopy]) -> None:
    """Put a fermata on the rests of who has none where others have one.

    Args:
        parts: all parts of the score.
        targets: those of them whose bars are changed.
    """
    having = {index for part in parts for index in part.having(_SIGN)}
    lacking = {
        id(target): [
            index
            for index in having
            if index < len(target.bars)
            and rests_in(target.bars[index])
            and _SIGN not in target.bars[index]
        ]
        for target in targets
    }
    if not any(lacking.values()):
        return
    moments: dict[int, Fraction] = {}
    for part in parts:
        for index, bar in in_quarters(part, part.having(_SIGN)).items():
            for onset in _moments(bar):
                moments[index] = max(onset, moments.get(index, onset))
    for target in targets:
        wanted = [index for index in lacking[id(target)] if index in moments]
        for index, bar in in_quarters(target, wanted).items():
            _hold(target, index, bar, moments[index])


def _moments(bar: BarInQuarters) -> Iterator[Fraction]:
    for event in bar.events:
        if event.form is not None and _SIGN in event.data:
            yield bar.onset(event)


def _hold(target: PartCopy, index: int, bar: BarInQuarters, moment: Fraction) -> None:
    there = [
        event
        for event in bar.events
        if event.form is not None and event.form.kind == "rest" and bar.onset(event) <= moment
    ]
    if not there:
        return
    measure = target.tree(index)
    rest = measure[max(there, key=bar.onset).place]
    notations = rest.find("notations")
    if notations is None:
        notations = etree.Element("notations")
        behind = sum(child.tag in _BEHIND_NOTATIONS for child in rest)
        rest.insert(len(rest) - behind, notations)
    etree.SubElement(notations, "fermata")
    target.bars[index] = serialised(measure)
