"""Sections of a finished score that are divided: by words in a part, or on several parts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.placing.facts import SectionDivided
from rewriter.sketch.model import Sounding

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.divisions import DivisionTold
    from rewriter.checking.finished import Finished
    from rewriter.checking.rule import Parameters
    from rewriter.hearing.doublings import Doubling
    from rewriter.rulefiles.ensembles import Section
    from rewriter.scores.voices import VoiceNote


_BARS_APART: Final = 4
"""Bars after which a division in octaves is another one."""


class PartDivided(SectionDivided, frozen=True):
    """A section that is divided somewhere in a finished score.

    Attributes:
        part: index in score order, of the highest of its parts.
    """

    part: int


class Together(NamedTuple):
    """What one staff plays from where it is told to divide until it is told otherwise.

    Attributes:
        voices: most at once.
        first: the first note of several at once, or of a bar with two voices; None for none.
        alone: the first note behind all of these that everybody plays; None for none.
        alone_bars: bars with such notes.
        cancelled: True where the words that follow end it; none, or *div.* anew, do not.
    """

    voices: int
    first: VoiceNote | None
    alone: VoiceNote | None
    alone_bars: int
    cancelled: bool


def under_division(score: Finished, part: int, told: DivisionTold, staff: str) -> Together:
    """What a staff plays from where it is told to divide until it is told otherwise.

    Args:
        score: it is in.
        part: index in score order.
        told: the words.
        staff: counted from the top, as text.
    """
    timeline, moments = score.reading.timeline, score.moments(part)
    until, then = score.divisions(part).until(told, timeline.starts[-1])
    voices, first, alone = 0, None, None
    bars: set[int] = set()
    for bar in range(told.bar, len(timeline.starts) - 1):
        if timeline.starts[bar] >= until:
            break
        one_voice = moments.one_voice(bar, staff)
        for sounds in moments.sounds(bar, staff):
            if not told.time <= sounds.time < until:
                continue
            note = sounds.notes[-1]
            voices = max(voices, len(sounds.voices))
            if len(sounds.notes) > 1 or not one_voice:
                first, alone = first or note, None
                bars.clear()
            elif first is not None and not note.form.stops_tie:
                alone = alone or note
                bars.add(bar)
    return Together(voices, first, alone, len(bars), then not in {None, "div"})


def divided_by_many(score: Finished, _: Parameters) -> Iterator[PartDivided]:
    """Sections that words, voices or parts divide; notes on one stem may be double stops.

    Args:
        score: looked at.
    """
    for part in score.of_sections:
        section = score.players[part].sections[0]
        for told in score.divisions(part).told:
            if told.kind != "div":
                continue
            for number in range(score.score.parts[part].staves):
                found = under_division(score, part, told, str(number + 1))
                if found.first is not None and (told.staff or not number):
                    lines = told.lines or found.voices
                    yield _fact(section, lines, frozenset(), part, found.first)
    yield from _on_parts(score)


def _on_parts(score: Finished) -> Iterator[PartDivided]:
    """Sections with a part for each third, quarter ... of them."""
    parts: dict[str, list[int]] = {}
    for part in score.of_sections:
        players = score.players[part]
        if len(players.share) == 1 and len(players.sections) == 1:
            parts.setdefault(players.sections[0].key, []).append(part)
    for own in parts.values():
        first = next((n for v in score.voices(own[0]) for n in v.notes if n.sounding), None)
        if len(own) > 2 and first is not None:  # noqa: PLR2004 - more than two halves
            section = score.players[own[0]].sections[0]
            yield _fact(section, len(own), frozenset(), own[0], first)


def divided_in_octaves_in(score: Finished, _: Parameters) -> Iterator[PartDivided]:
    """Sections whose halves have one line in octaves; double stops are no division.

    Args:
        score: looked at.
    """
    if not _may_be_divided(score):
        return
    until: dict[str, int] = {}
    for doubling in score.doublings:
        if not _is_of_halves(score, doubling):
            continue
        upper = doubling.upper.part
        section = score.players[upper].sections[0]
        first = doubling.agreeing[0][0].tied.notes[0]
        # What goes on, or begins again within bars, and each further octave, is one division.
        before = until.get(section.key)
        again = before is not None and first.bar <= before + _BARS_APART
        last = doubling.agreeing[-1][0].tied.notes[-1].bar
        until[section.key] = max(before or 0, last)
        if not again:
            octaves = frozenset((0, -doubling.octaves))
            yield _fact(section, 2, octaves, upper, first)


def _is_of_halves(score: Finished, doubling: Doubling) -> bool:
    """True where two lines of one section are in octaves, each its own players'."""
    upper, lower = doubling.upper.part, doubling.lower.part
    above, below = score.players[upper], score.players[lower]
    same = above.sections == below.sections and len(above.sections) == 1
    if not (doubling.octaves and same) or above.soloist or below.soloist:
        return False
    return upper != lower or _divided_all_along(score, doubling)


def _may_be_divided(score: Finished) -> bool:
    """True where a section has several parts, or a part says that it is divided."""
    sections = [score.players[part].sections for part in score.of_sections]
    return any(sections.count(one) > 1 for one in sections) or any(
        score.divisions(part).told or score.players[part].share for part in score.of_sections
    )


def _divided_all_along(score: Finished, doubling: Doubling) -> bool:
    divisions = score.divisions(doubling.upper.part)
    return all(
        divisions.divided(note.time, note.tied.notes[0].form.staff)
        for note, _ in doubling.agreeing
    )


def _fact(
    section: Section, lines: int, octaves: frozenset[int], part: int, note: VoiceNote
) -> PartDivided:
    sounding = Sounding(note.bar, note.time, note.length, note.sounding or 0, -1, 0)
    return PartDivided(section, lines, octaves, sounding, part)
