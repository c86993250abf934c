"""Lines: each section, or part of one, that a placed layout gives the tune to."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.placing.conditions import check_condition
from rewriter.placing.limits import PlayedLine, check_line
from rewriter.placing.relief import relieve, relieved, relieved_findings
from rewriter.placing.strands import Play, note_counts
from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.limits import Describe
    from rewriter.placing.octave import PlacedLine, Placement
    from rewriter.placing.relief import Relief
    from rewriter.problems import Finding
    from rewriter.rulefiles.ensembles import Ensemble, Section
    from rewriter.rulefiles.layouts import Layout
    from rewriter.rulefiles.stack_lines import Share
    from rewriter.rulefiles.words import OutOfRange
    from rewriter.sketch.model import Sounding, Voice


class Line(NamedTuple):
    """One line of a layout over a stretch of bars.

    Attributes:
        section: who plays it.
        share: how much of the section.
        strength: how many play it.
        level: 0 at the top, empty octaves counted.
        octave: whole octaves from the voice's sounding pitch.
        fitness: mean over its notes, -10 to 1.
        plays: by bar from the first of the stretch.
        soundings: what it plays, in the voice's octave, moved notes moved already.
    """

    section: Section
    share: Share
    strength: float
    level: int
    octave: int
    fitness: float
    plays: list[Play | None]
    soundings: Sequence[Sounding]

    @property
    def label(self) -> str:
        """How findings name it: ``half Vc``."""
        return f"{self.share.text} {self.section.key}".strip()

    @property
    def played(self) -> PlayedLine:
        """For checking."""
        return PlayedLine(self.section, self.label, self.soundings, self.octave)


class Carried(NamedTuple):
    """The lines of a layout, and what was found about them."""

    lines: list[Line]
    findings: list[Finding]


def carry(
    layout: Layout,
    placement: Placement,
    ensemble: Ensemble,
    voice: Voice,
    policy: OutOfRange,
    describe: Describe,
) -> Carried:
    """Give a voice to the sections of a placed layout and check every note.

    Args:
        layout: its limits and condition hold.
        placement: where its stack was put.
        ensemble: whose figures hold.
        voice: the tune.
        policy: what to do with notes out of range.
        describe: bar, beat and name of a note, for findings.

    Raises:
        Refused: the policy is ``refuse`` and a note is out of range.
    """
    lines: list[Line] = []
    findings: list[Finding] = []
    for placed in placement.lines:
        line, found = _line(layout, placed, ensemble, voice, policy, describe)
        lines.append(line)
        findings += found
    if policy == "refuse" and findings:
        worst = findings[0]
        raise Refused(
            worst.text,
            "place the stack elsewhere, or allow another out_of_range",
            place=worst.place,
        )
    if layout.condition is not None:
        findings += check_condition(layout.condition, [line.played for line in lines], describe)
    return Carried(lines, findings)


def _line(
    layout: Layout,
    placed: PlacedLine,
    ensemble: Ensemble,
    voice: Voice,
    policy: OutOfRange,
    describe: Describe,
) -> tuple[Line, list[Finding]]:
    member = placed.member
    section = ensemble.section(member.section)
    line = Line(
        section=section,
        share=member.share,
        strength=layout.stack.strength_of(member, section),
        level=placed.level,
        octave=placed.octave,
        fitness=placed.fitness,
        plays=[Play(voice, placed.octave)] * len(voice.bars),
        soundings=voice.soundings,
    )
    findings: list[Finding] = []
    if policy in {"octave", "rest"}:
        reliefs = relieve(section, voice.soundings, placed.octave, policy)
        if reliefs:
            findings += relieved_findings(line.played, reliefs, describe)
            line = line._replace(
                plays=_relieved_plays(voice, placed.octave, reliefs),
                soundings=relieved(voice.soundings, reliefs),
            )
    findings += check_line(section, line.label, line.soundings, line.octave, describe)
    return line, findings


def _relieved_plays(voice: Voice, octave: int, reliefs: Sequence[Relief]) -> list[Play | None]:
    """Bars with a moved or silenced note say the octave of each note."""
    counts = note_counts(voice)
    starts = [0]
    for count in counts:
        starts.append(starts[-1] + count)
    moved: dict[int, int | None] = {}
    soundings = voice.soundings
    for relief in reliefs:
        first = soundings[relief.first].index
        behind = relief.last + 1
        last = soundings[behind].index if behind < len(soundings) else starts[-1]
        for index in range(first, last):
            moved[index] = None if relief.shift is None else octave + relief.shift
    plays: list[Play | None] = []
    for bar, count in enumerate(counts):
        octaves = tuple(moved.get(starts[bar] + place, octave) for place in range(count))
        whole = all(each == octave for each in octaves)
        plays.append(Play(voice, octave, None if whole else octaves))
    return plays
