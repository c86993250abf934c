"""Lines: each section, or part of one, that a placed layout gives a voice to."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.placing.limits import PlayedLine, check_line
from rewriter.placing.relief import relieve, relieved, relieved_findings
from rewriter.placing.strands import Play, played_between, with_octaves
from rewriter.problems import Refused
from rewriter.sketch.listening import notes_of

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from rewriter.placing.limits import Describe
    from rewriter.placing.octave import PlacedLine
    from rewriter.placing.register_signs import Untrue
    from rewriter.placing.relief import Relief
    from rewriter.problems import Finding
    from rewriter.rulefiles.ensembles import Section
    from rewriter.rulefiles.stack_lines import Share
    from rewriter.rulefiles.words import OutOfRange
    from rewriter.sketch.listening import Where
    from rewriter.sketch.model import Sounding, Voice
    from rewriter.theory.time import Moment


class Line(NamedTuple):
    """One line of a layout over a stretch of the score.

    Attributes:
        section: who plays it.
        share: how much of the section.
        strength: how many play it.
        level: 0 at the top, empty octaves counted.
        octave: whole octaves from the voice's sounding pitch.
        fitness: mean over its notes, -10 to 1.
        voice: what it carries.
        plays: by bar.
        soundings: what it plays, in the voice's octave, moved notes moved already.
        taken_from: for a line handed over, whose it was; else empty.
        unsaid: signs that are left out, since they are not true where it plays.
    """

    section: Section
    share: Share
    strength: float
    level: int
    octave: int
    fitness: float
    voice: Voice
    plays: dict[int, Play]
    soundings: Sequence[Sounding]
    taken_from: str = ""
    unsaid: Sequence[Untrue] = ()

    @property
    def label(self) -> str:
        """How findings name it: ``half Vc``."""
        return f"{self.share.text} {self.section.key}".strip()

    @property
    def played(self) -> PlayedLine:
        """For checking."""
        return PlayedLine(self.section, self.label, self.soundings, 12 * self.octave)


class Stretch(NamedTuple):
    """A voice from one moment to another.

    Attributes:
        voice: the voice.
        start: first moment.
        stop: first moment behind it.
        soundings: what sounds between them.
        lowest: its lowest pitch, MIDI number in the voice's octave; 0 where nothing sounds.
        highest: its highest.
        describe: bar, beat and name of a note, for findings.
        describe_place: bar and beat of a note by its place in the voice.
    """

    voice: Voice
    start: Moment
    stop: Moment
    soundings: Sequence[Sounding]
    lowest: float
    highest: float
    describe: Describe
    describe_place: Callable[[Where], tuple[str, str]]


def line_of(
    placed: PlacedLine, section: Section, strength: float, stretch: Stretch, change: str
) -> Line:
    """A placed line that plays the whole of a stretch.

    Args:
        placed: octave and fitness.
        section: who plays it.
        strength: how many.
        stretch: what it plays.
        change: of its dynamics, see :class:`Play`.
    """
    voice = stretch.voice
    return Line(
        section=section,
        share=placed.member.share,
        strength=strength,
        level=placed.level,
        octave=placed.octave,
        fitness=placed.fitness,
        voice=voice,
        plays=played_between(voice, placed.octave, stretch.start, stretch.stop, change),
        soundings=stretch.soundings,
    )


def within_limits(
    line: Line, stretch: Stretch, policy: OutOfRange
) -> tuple[Line, list[Finding]]:
    """A line with what its policy does about notes out of range, and what was found.

    Raises:
        Refused: the policy is ``refuse`` and a note is out of range.
    """
    if _is_easy(line, stretch):
        return line, []
    findings: list[Finding] = []
    if policy in {"octave", "rest"}:
        reliefs = relieve(line.played, policy)
        if reliefs:
            findings += relieved_findings(line.played, reliefs, stretch.describe)
            changed = _moved_notes(line, reliefs)
            line = line._replace(
                plays=with_octaves(line.plays, changed),
                soundings=relieved(line.soundings, reliefs),
            )
    found = check_line(line.played, line.voice.timeline, stretch.describe)
    if policy == "refuse":
        for worst in found:
            if worst.severity != "advice":
                remedy = "place the stack elsewhere, or allow another out_of_range"
                raise Refused(worst.text, remedy, place=worst.place)
    return line, [*findings, *found]


def _is_easy(line: Line, stretch: Stretch) -> bool:
    """True when nothing of a stretch is out of a section's range or in its top register."""
    section, shift = line.section, 12 * line.octave
    if stretch.lowest + shift < section.low:
        return False
    below = section.registers[-1].from_midi if len(section.registers) > 1 else section.high + 1
    return stretch.highest + shift < min(below, section.high + 1)


def _moved_notes(line: Line, reliefs: Sequence[Relief]) -> dict[Where, int | None]:
    """The octave of every note of the voice that is moved, None where it rests."""
    changed: dict[Where, int | None] = {}
    for relief in reliefs:
        octave = None if relief.shift is None else line.octave + relief.shift
        for where in notes_of(line.voice, line.soundings, relief.first, relief.last):
            changed[where] = octave
    return changed
