"""Slurred notes on many leger lines that another clef of the section would show better."""

from __future__ import annotations

from collections import defaultdict
from math import inf
from typing import TYPE_CHECKING, Annotated, NamedTuple

import msgspec

from rewriter.checking.clefs_read import use_of
from rewriter.checking.rule import Mend, Parameters, Rule, Said, Unmended
from rewriter.notating.clefs import leger_lines

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.rulefiles.ensembles import ClefUse, Section
    from rewriter.scores.voices import VoiceNote


class Leger(Parameters, frozen=True):
    """How many are too many."""

    most: Annotated[
        int,
        msgspec.Meta(ge=0, description="leger lines that a slurred group may need"),
    ] = 3


class ManyLines(NamedTuple):
    """A slurred group on many leger lines.

    Attributes:
        part: index in score order.
        notes: the group.
        clef: it stands in.
        lines: that it needs there at the most.
        better: another clef of the section.
        fewer: lines that it needs in that one.
    """

    part: int
    notes: tuple[VoiceNote, ...]
    clef: ClefUse
    lines: int
    better: ClefUse
    fewer: int


class _Stood(NamedTuple):
    clef: ClefUse
    written: float


def find(score: Finished, parameters: Leger) -> Iterator[ManyLines]:
    """Slurred groups on more lines than may be, where another clef would stay long enough."""
    for part in score.of_sections:
        sections = score.players[part].sections
        if len(sections) > 1 or len(sections[0].clefs) == 1:
            continue
        stood = _stood(score, part, sections[0], parameters.most)
        for line in score.lines(part) if stood else ():
            groups: dict[int, list[VoiceNote]] = defaultdict(list)
            for note in line.notes:
                if note.group >= 0:
                    groups[note.group] += line.runs[note.index].notes
            for notes in groups.values():
                if found := _many(score, part, notes, stood, parameters):
                    yield found


def _stood(score: Finished, part: int, section: Section, most: int) -> dict[int, _Stood]:
    """How each note stands, by its identity; nothing where none is on so many lines."""
    found: dict[int, _Stood] = {}
    many = False
    for stretch in score.in_clefs(part):
        clef = use_of(stretch.clef, section)
        if clef is not None:
            ends = min(stretch.written), max(stretch.written)
            many = many or any(abs(leger_lines(midi, clef)) > most for midi in ends)
            pairs = zip(stretch.notes, stretch.written, strict=True)
            found.update((id(note), _Stood(clef, midi)) for note, midi in pairs)
    return found if many else {}


def _many(
    score: Finished,
    part: int,
    notes: Sequence[VoiceNote],
    stood: dict[int, _Stood],
    parameters: Leger,
) -> ManyLines | None:
    section = score.players[part].sections[0]
    here = [stood[id(note)] for note in notes if id(note) in stood]
    clef = here[0].clef if here else None
    if clef is None or len(here) < len(notes) or any(one.clef is not clef for one in here):
        return None
    lines = _most(here, clef)
    if lines <= parameters.most or not _stays(score, notes, section, lines):
        return None
    past = sum(abs(leger_lines(one.written, clef)) > parameters.most for one in here)
    sounding = [note.sounding or 0 for note in notes]
    for better in section.clefs:
        low, high = _band(section, better)
        fewer = _most(here, better)
        if past > 1 and fewer < lines and low <= min(sounding) and max(sounding) <= high:
            return ManyLines(part, tuple(notes), clef, lines, better, fewer)
    return None


def _stays(score: Finished, notes: Sequence[VoiceNote], section: Section, lines: int) -> bool:
    """True where a clef for these notes alone would stay as long as the section's must."""
    first, last = notes[0], notes[-1]
    bars = (last.end - first.time) / max(score.reading.timeline.length(first.bar), 1)
    long_enough = bars >= section.clef_stays_bars or lines > section.readable_leger_lines
    return long_enough and len(notes) >= section.clef_stays_notes


def _most(here: Sequence[_Stood], clef: ClefUse) -> int:
    return max(abs(leger_lines(one.written, clef)) for one in here)


def _band(section: Section, clef: ClefUse) -> tuple[float, float]:
    """The sounding pitches a clef is there for."""
    above = [use.above for use in section.clefs[section.clefs.index(clef) + 1 :] if use.above]
    return -inf if clef.back_below is None else clef.back_below, min(above, default=inf)


def say(fact: ManyLines, at: Finished, _: Leger) -> Said:
    """Say how many lines it needs, and how many in the other clef."""
    note = fact.notes[0]
    text = (
        f"needs up to {fact.lines} leger lines under a slur in the {fact.clef.clef} clef, and "
        f"{fact.fewer or 'none'} in the {fact.better.clef} clef; change the clef before it"
    )
    place = at.place(fact.part, note.bar, note.time, note.form.voice)
    return Said(place, text, wants=f"{fact.better.clef} clef")


def mend(score: Finished, fact: ManyLines, parameters: Leger) -> Mend | Unmended:
    """Change the clef before the group, and back behind it."""
    from rewriter.checking.clefs_changed import clef_for_group

    return clef_for_group(score, fact.part, fact.notes, fact.better, parameters.most)


RULE = Rule(
    id="leger-lines",
    title="many leger lines where another clef shows it better",
    why="Leger lines are counted, clefs are read. A change for a moment, though, is harder to "
    "read than lines are, so only what stays long enough is named.",
    instead="Change the clef before the group, and back behind it.",
    source="figures of clefs: the ensemble file; else common practice, no source",
    severity="advice",
    about=ManyLines,
    say=say,
    parameters=Leger(),
    mends="certain",
    find=find,
    mend=mend,
)
