"""What a section can be asked to play: every note against range and extreme."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Literal, NamedTuple

from rewriter.problems import Finding
from rewriter.sketch.model import Sounding
from rewriter.theory.pitch import name_of_midi

if TYPE_CHECKING:
    from rewriter.placing.fitness import Counts
    from rewriter.rulefiles.ensembles import Section
    from rewriter.theory.time import Timeline

Beyond = Literal[
    "above the range", "below the range", "above the extreme", "below the lowest string"
]

Describe = Callable[[Sounding], tuple[str, str, str]]
"""Gives printed bar, beat and pitch name of a note whose `midi` is that of the LINE."""

LONG_AT_TOP_BARS = 4
"""A section is asked for relief when it stays in its top register for more bars than this
(common practice, no source)."""


class PlayedLine(NamedTuple):
    """A line to be looked at.

    Attributes:
        section: who plays it.
        label: how findings name it, such as ``half Vc``.
        notes: what it plays, at the tune's pitch.
        shift: semitones from the tune, 12 for each octave.
    """

    section: Section
    label: str
    notes: Sequence[Sounding]
    shift: int

    @property
    def pitches(self) -> list[float]:
        """MIDI numbers, as the line sounds."""
        return [note.midi + self.shift for note in self.notes]


class Outside(NamedTuple):
    """How many notes a section cannot be asked to play.

    Attributes:
        reach: beyond the extreme, or below the lowest string.
        range: beyond the range, those out of reach among them.
    """

    reach: int
    range: int


class _Rule(NamedTuple):
    id: str
    severity: Literal["error", "warning"]
    remedy: str


_RULES: dict[Beyond, _Rule] = {
    "above the range": _Rule("beyond-range", "warning", "let the section leader judge"),
    "below the range": _Rule("beyond-range", "warning", "let the section leader judge"),
    "above the extreme": _Rule(
        "beyond-extreme", "error", "move it down or give it to a higher section"
    ),
    "below the lowest string": _Rule(
        "below-lowest-string", "error", "move it up or give it to a lower section"
    ),
}


def beyond(section: Section, midi: float) -> Beyond | None:
    """Say where a sounding pitch lies when it is outside a section's range.

    Args:
        section: whose figures hold.
        midi: sounding MIDI number.

    Returns:
        None inside the range.
    """
    if section.low <= midi <= section.high:
        return None
    if midi > section.extreme:
        return "above the extreme"
    if midi > section.high:
        return "above the range"
    return "below the lowest string" if midi < section.lowest else "below the range"


def notes_outside(section: Section, counts: Counts, shift: int) -> Outside:
    """Count the notes of a line that are outside a section's range.

    Args:
        section: who plays it.
        counts: notes by the tune's sounding MIDI number.
        shift: semitones from the tune, 12 for each octave.
    """
    outside = {
        midi + shift: count
        for midi, count in counts.items()
        if not section.low <= midi + shift <= section.high
    }
    beyond_reach = (
        count
        for midi, count in outside.items()
        if not section.lowest <= midi <= section.extreme
    )
    return Outside(sum(beyond_reach), sum(outside.values()))


def check_line(line: PlayedLine, timeline: Timeline, describe: Describe) -> list[Finding]:
    """Compare every note of a line with range and extreme.

    Beyond the range is a warning; beyond the extreme or below the lowest note an error; more
    than four bars in the top register is advice.

    Args:
        line: with the tune, or what is left of it, in order.
        timeline: where its bars begin.
        describe: called only for notes that are reported, with the line's MIDI number.

    Returns:
        In order of the notes.
    """
    section, label, notes, _ = line
    if not notes:
        return []
    pitches = line.pitches
    highest = max(pitches)
    found: list[tuple[int, Finding]] = []
    if highest > section.high or min(pitches) < section.low:
        for at, pitch in enumerate(pitches):
            where = beyond(section, pitch)
            if where:
                line_note = notes[at]._replace(midi=pitch)
                found.append((at, _outside(section, label, line_note, where, describe)))
    if len(section.registers) > 1 and highest >= section.registers[-1].from_midi:
        for first, bars in _long_at_top(line, timeline):
            line_note = notes[first]._replace(midi=pitches[first])
            found.append((first, _tiring(section, label, line_note, bars, describe)))
    found.sort(key=lambda pair: pair[0])
    return [finding for _, finding in found]


def range_text(section: Section) -> str:
    """A section's range by note names: ``G3 to E7``."""
    return f"{name_of_midi(section.low)} to {name_of_midi(section.high)}"


def fault(section: Section, sounds: str, where: Beyond) -> str:
    """What is wrong with a note: ``F#7 is above the range (G3 to E7)``."""
    if where == "above the extreme":
        limit = name_of_midi(section.extreme)
    elif where == "below the lowest string":
        limit = name_of_midi(section.lowest)
    else:
        limit = range_text(section)
    return f"{sounds} is {where} ({limit})"


def _outside(
    section: Section, label: str, note: Sounding, where: Beyond, describe: Describe
) -> Finding:
    bar, beat, sounds = describe(note)
    rule = _RULES[where]
    return Finding(
        rule=rule.id,
        severity=rule.severity,
        text=f"{fault(section, sounds, where)}; {rule.remedy}",
        section=label,
        bar=bar,
        beat=beat,
        sounds=sounds,
        wants=range_text(section),
    )


def _long_at_top(line: PlayedLine, timeline: Timeline) -> list[tuple[int, int]]:
    """Where a line stays in the top register too long: its first note, and how many bars.

    A rest of a bar or more is relief; a note tied over barlines is none.
    """
    top = line.section.registers[-1].from_midi
    stays: dict[int, int] = {}
    first: int | None = None
    end = 0
    for at, (note, pitch) in enumerate(zip(line.notes, line.pitches, strict=True)):
        if pitch < top:
            first = None
            continue
        if first is None or note.start - end >= timeline.length(timeline.ending(end).bar):
            first, end = at, note.end
        end = max(end, note.end)
        bars = timeline.ending(end).bar - line.notes[first].bar + 1
        if bars > LONG_AT_TOP_BARS:
            stays[first] = bars
    return list(stays.items())


def _tiring(
    section: Section, label: str, note: Sounding, bars: int, describe: Describe
) -> Finding:
    bar, beat, sounds = describe(note)
    register = section.registers[-1]
    limit = name_of_midi(register.from_midi)
    return Finding(
        rule="long-at-the-top",
        severity="advice",
        text=f"{bars} bars in the {register.name} register ({limit} and above); "
        "give the section relief or hand the line over",
        section=label,
        bar=bar,
        beat=beat,
        sounds=sounds,
        wants=f"at most {LONG_AT_TOP_BARS} bars from {limit} up",
    )
