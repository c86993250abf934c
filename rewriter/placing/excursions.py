"""Excursions: where a line leaves its section's register, and how far that is to be taken.

What is past the limit is widened to whole slurs (or bars, or what lies between rests), and
what lies closer together than a bar is one excursion.
"""

from __future__ import annotations

from bisect import bisect_right
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING, NamedTuple

from rewriter.placing.tuplets import whole
from rewriter.sketch.listening import notes_in, notes_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.rulefiles.ensembles import Section
    from rewriter.rulefiles.layouts import Handover
    from rewriter.sketch.listening import Where
    from rewriter.sketch.model import Sounding, Voice


class Excursion(NamedTuple):
    """Positions among the soundings of a line, inclusive."""

    first: int
    last: int


class _Notes(NamedTuple):
    """The soundings of a line, and what is known of each and the next.

    Attributes:
        voice: they belong to.
        soundings: in order.
        ends: until when anything sounds, up to and with each; divisions from the beginning.
        bound: True where each and the next cannot be parted: a grace note and what it leads
            to, notes of a chord, a note that begins while another is still tied.
    """

    voice: Voice
    soundings: Sequence[Sounding]
    ends: Sequence[int]
    bound: Sequence[bool]


def excursions(
    voice: Voice, soundings: Sequence[Sounding], shift: int, rule: Handover, receiver: Section
) -> list[Excursion]:
    """Where a line is past its handover's limit: widened, and joined where closer than a bar.

    Args:
        voice: of the line.
        soundings: of the line, in order.
        shift: semitones from the soundings to the line.
        rule: its handover.
        receiver: whose range bounds what is added.
    """
    notes = _looked_at(voice, soundings)
    past = [
        at
        for at, sounding in enumerate(soundings)
        if (rule.above is not None and sounding.midi + shift > rule.above)
        or (rule.below is not None and sounding.midi + shift < rule.below)
    ]
    allowed = [receiver.low <= s.midi + shift <= receiver.high for s in soundings]
    found: list[Excursion] = []
    for at in past:
        if found and at <= found[-1].last:
            continue
        one = _widened(notes, at, rule.at)
        if found and _closer_than_a_bar(notes, found[-1].last, one.first):
            found[-1] = Excursion(found[-1].first, max(one.last, found[-1].last))
        else:
            found.append(one)
    return _made_whole(notes, [_cut_to(notes, one, past, allowed) for one in found])


def joints(
    voice: Voice, soundings: Sequence[Sounding], one: Excursion
) -> tuple[Excursion, Excursion]:
    """The first and the last note of an excursion, with all that cannot be parted from them."""
    bound = _looked_at(voice, soundings).bound
    first, last = one
    while first < one.last and bound[first]:
        first += 1
    while last > one.first and bound[last - 1]:
        last -= 1
    return Excursion(one.first, first), Excursion(last, one.last)


def time_of(voice: Voice, notes: Sequence[Where]) -> tuple[int, int]:
    """From when to when notes last, divisions from the beginning of the piece."""
    times = [
        (voice.timeline.starts[bar] + note.onset, note.length)
        for bar, place in notes
        for note in (notes_in(voice, bar)[place],)
    ]
    return min(start for start, _ in times), max(start + length for start, length in times)


def _looked_at(voice: Voice, soundings: Sequence[Sounding]) -> _Notes:
    ends = list(accumulate((sounding.end for sounding in soundings), max))
    bound = [
        before.leads_to(after) or end > after.start
        for (before, after), end in zip(pairwise(soundings), ends, strict=False)
    ]
    return _Notes(voice, soundings, ends, bound)


def _made_whole(notes: _Notes, found: Sequence[Excursion]) -> list[Excursion]:
    """Excursions with all of the tuplets they begin and end in; where two meet they are one."""
    grown: list[Excursion] = []
    for one in found:
        larger = _with_tuplets(notes, one)
        while larger != one:
            one, larger = larger, _with_tuplets(notes, larger)  # noqa: PLW2901 - grown
        if grown and larger.first <= grown[-1].last:
            grown[-1] = Excursion(grown[-1].first, max(larger.last, grown[-1].last))
        else:
            grown.append(larger)
    return grown


def _with_tuplets(notes: _Notes, one: Excursion) -> Excursion:
    """An excursion with the tuplets it touches, and with notes tied into or out of them."""
    voice, soundings = notes.voice, notes.soundings
    inside = whole(voice, notes_of(voice, soundings, *one))
    begin = time_of(voice, inside)[0]
    (bar, place), (last_bar, last_place) = inside[0], inside[-1]
    index, last_index = voice.firsts[bar] + place, voice.firsts[last_bar] + last_place
    first = next(
        at for at, each in enumerate(soundings) if each.index >= index or each.end > begin
    )
    last = bisect_right(soundings, last_index, key=lambda each: each.index) - 1
    while first > 0 and notes.bound[first - 1]:
        first -= 1
    while last + 1 < len(soundings) and notes.bound[last]:
        last += 1
    return Excursion(first, last)


def _widened(notes: _Notes, at: int, how: str) -> Excursion:
    first = last = at
    while first > 0 and _together(notes, first - 1, how):
        first -= 1
    while last + 1 < len(notes.soundings) and _together(notes, last, how):
        last += 1
    return Excursion(first, last)


def _together(notes: _Notes, at: int, how: str) -> bool:
    """True when no seam lies between a note and the next."""
    before, after = notes.soundings[at : at + 2]
    if notes.bound[at]:
        return True
    if how == "slur":
        return before.group == after.group >= 0
    if how == "bar":
        return not _at_barline(notes, at)
    return notes.ends[at] >= after.start or before.group == after.group >= 0


def _at_barline(notes: _Notes, at: int) -> bool:
    """True when a barline lies between a note and the next, and nothing is tied over it."""
    bar = notes.soundings[at + 1].bar
    return notes.soundings[at].bar < bar and notes.ends[at] <= notes.voice.timeline.starts[bar]


def _closer_than_a_bar(notes: _Notes, last: int, first: int) -> bool:
    """True when less than a bar lies between the end of one note and another."""
    timeline, end = notes.voice.timeline, notes.ends[last]
    return notes.soundings[first].start - end < timeline.length(timeline.ending(end).bar)


def _cut_to(
    notes: _Notes, one: Excursion, past: Sequence[int], allowed: Sequence[bool]
) -> Excursion:
    """The excursion without what was added to it beyond the receiver's range."""
    core = [at for at in past if one.first <= at <= one.last]
    first, last = one
    for at in range(core[0] - 1, one.first - 1, -1):
        if not allowed[at]:
            first = next((n for n in range(at + 1, core[0]) if _seam(notes, n - 1)), core[0])
            break
    for at in range(core[-1] + 1, one.last + 1):
        if not allowed[at]:
            last = next((n for n in range(at - 1, core[-1], -1) if _seam(notes, n)), core[-1])
            break
    return Excursion(first, last)


def _seam(notes: _Notes, at: int) -> bool:
    """True where a bar or a slur ends behind a note and it can be parted from the next."""
    before, after = notes.soundings[at : at + 2]
    return _at_barline(notes, at) or (not notes.bound[at] and before.group != after.group)
