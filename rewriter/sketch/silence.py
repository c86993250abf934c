"""Dynamics and hairpins of a voice stand where it sounds, not under the rest before it enters.

A sketch often has its ``p`` at the beginning of a bar whose first beats rest, or a hairpin that
begins there. Players look for both where they begin to play. (Common practice, no source.)
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec

from rewriter.sketch.dynamic_marks import lasting_in
from rewriter.sketch.faults import InSilence
from rewriter.sketch.model import DirectionDetail, Note, Sign
from rewriter.sketch.open_ends import without_line

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rewriter.sketch.model import VoiceBar

_Where = tuple[int, int]
"""Index of a bar, divisions from its start."""


class _Loud:
    """A sign that says how loud, the moment it means, and what is to become of it.

    Attributes:
        at: the moment it means.
        bar: index of the bar it stands in.
        old: the sign as it stands there.
        sign: what is left of it.
        detail: of that.
        silent: True where its voice rests at that moment.
        to: the note it moves to, with the index of its bar.
    """

    __slots__ = ("at", "bar", "old", "sign", "silent", "to")

    def __init__(self, bar: int, sign: Sign, detail: DirectionDetail, *, silent: bool) -> None:
        self.at = (bar, sign.onset + detail.offset)
        self.bar = bar
        self.old = self.sign = sign
        self.silent = silent
        self.to: _Entry | None = None

    @property
    def detail(self) -> DirectionDetail:
        return self.sign.detail or DirectionDetail()

    @property
    def is_level(self) -> bool:
        return bool(lasting_in(self.detail.dynamic))


class _Entry(msgspec.Struct, frozen=True):
    """A note at which the voice enters."""

    bar: int
    note: Note

    @property
    def at(self) -> _Where:
        return self.bar, self.note.onset


def move_to_entries(bars: Sequence[VoiceBar], loud: Iterable[int]) -> list[InSilence]:
    """Move dynamics and beginnings of hairpins out of silence, to the next note that sounds.

    What is overtaken goes: a dynamic that another follows before that note, a hairpin that
    ends before it. Where a hairpin that has begun in sound leads into a rest, it stays, and so
    does the dynamic at its end. Behind the last note, too, all stays.

    Args:
        bars: of a voice, all that opens closed; their items are changed.
        loud: indexes of the bars that have dynamics or hairpins.

    Returns:
        What went.
    """
    signs = [sign for index in loud for sign in _loud_signs(bars, index)]
    if not any(one.silent for one in signs):
        return []
    gone, led_to = _settle_hairpins(signs, bars)
    for one in signs:
        if one.silent and one.at not in led_to and (one.detail.dynamic or _begins(one)):
            one.to = _entry_after(bars, one.at)
    gone += _overtaken(signs)
    _apply(signs, bars)
    return gone


def _loud_signs(bars: Sequence[VoiceBar], index: int) -> Iterator[_Loud]:
    items = bars[index].items
    for item in items:
        if not isinstance(item, Sign) or item.scope != "line" or item.detail is None:
            continue
        if item.detail.dynamic or any(span[0] == "wedge" for span in item.detail.spans):
            moment = item.onset + item.detail.offset
            yield _Loud(index, item, item.detail, silent=_rests_at(items, moment))


def _rests_at(items: Iterable[Note | Sign], moment: int) -> bool:
    return any(
        isinstance(item, Note)
        and item.pitch is None
        and item.onset <= moment < item.onset + item.length
        for item in items
    )


def _begins(one: _Loud) -> bool:
    """True for the beginning of a hairpin."""
    return any(
        span[0] == "wedge" and span[1] not in {"stop", "continue"} for span in one.detail.spans
    )


def _entry_after(bars: Sequence[VoiceBar], at: _Where) -> _Entry | None:
    for bar in range(at[0], len(bars)):
        for item in bars[bar].items:
            if isinstance(item, Note) and item.pitch is not None and (bar, item.onset) >= at:
                return _Entry(bar, item)
    return None


def _settle_hairpins(
    signs: Sequence[_Loud], bars: Sequence[VoiceBar]
) -> tuple[list[InSilence], set[_Where]]:
    """Take out the hairpins that only silence has; say the moments to which others lead."""
    gone: list[InSilence] = []
    led_to: set[_Where] = set()
    begun: dict[str, _Loud] = {}
    for one in signs:
        for tag, ends, number, _ in one.detail.spans:
            if tag != "wedge" or ends == "continue":
                continue
            if ends != "stop":
                begun[number] = one
                continue
            start = begun.pop(number, None)
            if start is None:
                continue
            if not start.silent:
                led_to.add(one.at)
                continue
            entry = _entry_after(bars, start.at)
            if entry is None or one.at <= entry.at:
                start.sign = without_line(start.sign, "wedge", "start")
                one.sign = without_line(one.sign, "wedge", "stop")
                gone.append(InSilence("hairpins", *start.at))
    return gone, led_to


def _overtaken(signs: Sequence[_Loud]) -> Iterator[InSilence]:
    """Take out the dynamics that another follows before anything sounds."""
    levels = {one.at for one in signs if one.is_level and one.to is None}
    for one in reversed(signs):
        if one.to is None or not one.is_level:
            continue
        if one.to.at in levels:
            one.sign = _without_dynamic(one.sign, one.detail)
            yield InSilence("dynamics", *one.at)
        levels.add(one.to.at)


def _without_dynamic(sign: Sign, detail: DirectionDetail) -> Sign:
    """A direction without its dynamic; without anything left, an empty sign."""
    head = detail.head.replace(b"<direction-type>%b</direction-type>" % detail.dynamic, b"")
    if b"<direction-type" not in head:
        return sign._replace(piece=b"", detail=None)
    detail = detail._replace(head=head, dynamic=b"")
    return sign._replace(detail=detail, piece=detail.at(0))


def _apply(signs: Sequence[_Loud], bars: Sequence[VoiceBar]) -> None:
    changed = {id(one.old): one for one in signs if one.to or one.sign is not one.old}
    for index in {one.bar for one in changed.values()}:
        kept: list[Note | Sign] = []
        for item in bars[index].items:
            one = changed.get(id(item))
            if one is None:
                kept.append(item)
            elif one.to is None and one.sign.piece:
                kept.append(one.sign)
        bars[index].items[:] = kept
    for one in signs:
        if one.to is not None and one.sign.detail is not None and one.sign.piece:
            items, entry = bars[one.to.bar].items, one.to.note
            detail = one.sign.detail._replace(offset=0)
            moved = one.sign._replace(onset=entry.onset, detail=detail, piece=detail.at(0))
            items.insert(next(n for n, item in enumerate(items) if item is entry), moved)
