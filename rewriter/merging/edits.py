"""What the hand did: edits, each of one thing, found by comparing base and edited score."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.comparing.comparison import told_together, without_gone

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from rewriter.comparing.difference import Difference, Gone, PartPair
    from rewriter.comparing.frame import Frame
    from rewriter.comparing.things import Thing
    from rewriter.merging.three import Three

NOTES: Final = "notes"
"""The kind of an edit of the notes of a voice in a bar."""

OF_NOTES: Final = frozenset(
    ("note", "pitch", "length", "voice", "tie", "tuplet", "staff", "cue", "hidden", "grace",
     "notehead", "accidental", "beam")
)  # fmt: skip
"""Kinds of differences that notes have among themselves: one edit for a voice in a bar."""


class Edit(NamedTuple):
    """One edit.

    Attributes:
        kind: :data:`NOTES`, or a kind of thing.
        part: in base and edited score; None for what belongs to the whole score.
        bar: of the base; None where only the edited score has it, -1 for headings.
        made: of the edited score, likewise.
        differences: all that it comes to; of things one, or one for each part.
        voices: of the base, for notes.
        others: voices of the edited score that the base has not, for notes.
    """

    kind: str
    part: PartPair | None
    bar: int | None
    made: int | None
    differences: tuple[Difference, ...]
    voices: frozenset[str] = frozenset()
    others: frozenset[str] = frozenset()

    @property
    def was(self) -> Thing | None:
        """What the base has."""
        return self.differences[0].a

    @property
    def now(self) -> Thing | None:
        """What the hand made of it."""
        return self.differences[0].b


def edits_of(three: Three) -> tuple[list[Edit], list[Gone]]:
    """What the hand did, and kinds of things that a program has lost.

    Args:
        three: base and edited score among them.

    Returns:
        Edits in the order of the base's bars and parts.
    """
    found, gone = without_gone(three.hand.differences(three.edited_bars.bars), three.hand)
    of_notes = [one for one in found if one.kind in OF_NOTES]
    others = [one for one in found if one.kind not in OF_NOTES]
    edits = list(_of_notes(three, of_notes))
    edits += (_of_things(three, group) for group in told_together(others, three.hand.pairs))
    frame = three.hand.frame(three.edited_bars.bars)
    return sorted(edits, key=lambda edit: _order(frame, edit)), gone


def _of_notes(three: Three, found: Iterable[Difference]) -> Iterator[Edit]:
    bars: dict[tuple[PartPair, int], list[Difference]] = defaultdict(list)
    for one in found:
        if one.part is not None:
            bars[one.part, _bar(three, one)].append(one)
    for (part, bar), inside in bars.items():
        voices = three.hand_pair(part, bar).voices
        made = three.edited_bars.bars[bar]
        for group in _by_voice(inside, voices):
            yield Edit(NOTES, part, bar, made, tuple(group.found), *group.voices)


class _Group(NamedTuple):
    """Differences that go together, and the voices they are in."""

    found: list[Difference]
    ends: set[tuple[str, str]]

    @property
    def voices(self) -> tuple[frozenset[str], frozenset[str]]:
        """Of the base, and of the edited score alone."""
        return tuple(  # type: ignore[return-value]  # two of them
            frozenset(name for side, name in self.ends if side == wanted) for wanted in "ab"
        )


def _by_voice(found: Iterable[Difference], voices: dict[str, str]) -> Iterator[_Group]:
    """Differences of a bar, together where notes went from one voice to another."""
    groups: list[_Group] = []
    for one in found:
        ends = set()
        if one.a is not None:
            ends.add(("a", one.a.voice))
        if one.b is not None:
            voice = voices.get(one.b.voice)
            ends.add(("b", one.b.voice) if voice is None else ("a", voice))
        joined = _Group([one], ends)
        for group in [group for group in groups if group.ends & ends]:
            groups.remove(group)
            joined = _Group([*group.found, *joined.found], group.ends | joined.ends)
        groups.append(joined)
    yield from groups


def _of_things(three: Three, group: list[Difference]) -> Edit:
    first = group[0]
    part = first.part if len(group) == 1 else None
    bar = first.a.at.bar if first.a else None
    made = first.b.at.bar if first.b else None
    if bar is None and made is not None:
        bar = three.made_of.get(made) if made >= 0 else made
    if made is None and bar is not None and bar >= 0:
        made = three.edited_bars.bars.get(bar)
    return Edit(first.kind, part, bar, made, tuple(group))


def _bar(three: Three, one: Difference) -> int:
    """The bar of the base that a difference is in."""
    if one.a is not None:
        return one.a.at.bar
    return three.made_of[one.b.at.bar] if one.b is not None else 0


def _order(frame: Frame, edit: Edit) -> tuple[object, ...]:
    bar = edit.bar
    if bar is None and edit.made is not None:
        bar = frame.bar_of_b(edit.made)
    part = edit.part and (edit.part.a, edit.part.b)
    places = tuple(-1 if place is None else place for place in part or (None, None))
    at = edit.differences[0].at
    return bar, places, edit.kind != NOTES, at.onset, at.grace, edit.kind, str(edit.now)
