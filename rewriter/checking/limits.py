"""Every line of a finished score against the ranges of who plays it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.checking.harmonics import REACH
from rewriter.placing.facts import NoteBeyond
from rewriter.placing.limits import PlayedLine, beyond_limits

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.checking.finished_lines import PartLine
    from rewriter.checking.rule import Parameters
    from rewriter.placing.facts import Player
    from rewriter.rulefiles.ensembles import Section
    from rewriter.sketch.model import Sounding

BASS_STRING: Final = 28
"""E1, the lowest open string of a bass with four."""
WITH_EXTENSION: Final = 24
"""C1, what basses reach with an extension; with a fifth string they do at the least."""
_CELLO_STRINGS: Final = (36, 43, 50, 57)


class OldNotation(NamedTuple):
    """A cello part that goes beyond its range, but only under treble clefs.

    Attributes:
        player: whose part it is.
        note: the first such.
        notes: how many there are.
    """

    player: Player
    note: Sounding
    notes: int


class NeedsExtension(NamedTuple):
    """A bass part that goes below the lowest of four strings.

    Attributes:
        player: whose part it is.
        note: the first such.
        notes: how many there are.
    """

    player: Player
    note: Sounding
    notes: int


def beyond_limits_in(score: Finished, _: Parameters) -> Iterator[object]:
    """What there is to tell of ranges, part by part.

    Args:
        score: looked at.
    """
    for part in score.of_sections:
        yield from score.limits(part)


def limits_of(score: Finished, part: int) -> list[object]:
    """Notes beyond range or extreme, and stays in the highest register.

    A harmonic is held against what harmonics reach. Strings that are tuned down and basses that
    reach lower are believed where the part says so.

    Args:
        score: it is in.
        part: index in score order; of a section.
    """
    section = score.players[part].sections[0]
    found: list[object] = []
    beyond: list[NoteBeyond] = []
    for line in score.lines(part):
        for fact in beyond_limits(
            PlayedLine(line.player(section), line.notes, 0), score.reading.timeline
        ):
            if not isinstance(fact, NoteBeyond):
                found.append(fact)
            elif (kept := _of_harmonics(fact, section, line)) is not None:
                beyond.append(kept)
    beyond = _as_tuned(score, part, section, beyond)
    if score.is_ours:  # held to the ensemble it was made for, and in no old notation
        return [*found, *beyond]
    if old := _old_notation(score, part, section, beyond):
        found.append(old)
        beyond = [one for one in beyond if not one.where.startswith("above")]
    if section.lowest == section.strings[0] == BASS_STRING:
        low = [one for one in beyond if WITH_EXTENSION <= one.note.midi < BASS_STRING]
        if low:
            found.append(NeedsExtension(low[0].player, low[0].note, len(low)))
            beyond = [one for one in beyond if one not in low]
    return [*found, *beyond]


def _of_harmonics(fact: NoteBeyond, section: Section, line: PartLine) -> NoteBeyond | None:
    if not line.is_harmonic(fact.note):
        return fact
    if fact.note.midi <= section.strings[-1] + REACH:
        return None
    return NoteBeyond(fact.player, fact.note, "above the extreme")


def _as_tuned(
    score: Finished, part: int, section: Section, beyond: list[NoteBeyond]
) -> list[NoteBeyond]:
    """Those that are beyond with the strings as the part has them tuned."""
    if all(one.where.startswith("above") for one in beyond):
        return beyond
    from rewriter.checking.tunings import Tunings

    tunings = Tunings(score, part, section)
    return [
        one
        for one in beyond
        if one.where.startswith("above") or one.note.midi < tunings.lowest(one.note.start)
    ]


def _old_notation(
    score: Finished, part: int, section: Section, beyond: list[NoteBeyond]
) -> OldNotation | None:
    above = [one for one in beyond if one.where.startswith("above")]
    if section.strings != _CELLO_STRINGS or not above:
        return None
    in_force = score.in_force(part)
    for one in above:
        line: PartLine = one.player.voice
        staff = line.runs[one.note.index].notes[0].form.staff
        clef = in_force.at(one.note.start, staff).clef
        if clef is None or clef.sign != "G" or clef.octaves:
            return None
    return OldNotation(above[0].player, above[0].note, len(above))
