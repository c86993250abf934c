"""Lines: each section, or part of one, that a placed layout gives a voice to."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import msgspec

from rewriter.placing.facts import BroughtBack, Player
from rewriter.placing.limits import PlayedLine, beyond_limits
from rewriter.placing.relief import relieve, relieved
from rewriter.placing.strands import Play, played_between, with_octaves
from rewriter.sketch.listening import between, notes_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.candidates import PlacedLine
    from rewriter.placing.facts import AtTheTop, NoteBeyond
    from rewriter.placing.phrases import Breathing
    from rewriter.placing.register_signs import Untrue
    from rewriter.placing.relief import Relief
    from rewriter.rulefiles.ensembles import Section
    from rewriter.rulefiles.stack_lines import Share, Stack
    from rewriter.rulefiles.words import OutOfRange
    from rewriter.sketch.listening import Where
    from rewriter.sketch.model import Sounding, Voice
    from rewriter.theory.time import Moment


class Line(NamedTuple):
    """One line of a layout over a stretch of the score.

    Attributes:
        section: who plays it.
        share: how much of the section.
        players: how many play it.
        level: 0 at the top, empty octaves counted.
        octave: whole octaves from the voice's sounding pitch.
        levels: how many octaves of its stack are played, empty ones not counted.
        voice: what it carries.
        plays: by bar.
        soundings: what it plays, in the voice's octave, moved notes moved already.
        taken_from: for a line handed over, whose it was; else empty.
        unsaid: signs that are left out, since they are not true where it plays.
    """

    section: Section
    share: Share
    players: float
    level: int
    octave: int
    levels: int
    voice: Voice
    plays: dict[int, Play]
    soundings: Sequence[Sounding]
    taken_from: str = ""
    unsaid: Sequence[Untrue] = ()

    @property
    def label(self) -> str:
        """For people: ``half Vc``."""
        return f"{self.share.text} {self.section.key}".strip()

    @property
    def player(self) -> Player:
        """As facts name it."""
        return Player(self.section, self.share, self.octave, self.voice)

    @property
    def played(self) -> PlayedLine:
        """For checking."""
        return PlayedLine(self.player, self.soundings, 12 * self.octave)


class Stretch(msgspec.Struct, frozen=True):
    """A voice from one moment to another.

    Attributes:
        voice: the voice.
        start: first moment.
        stop: first moment behind it.
        soundings: what sounds between them.
        lowest: its lowest pitch, MIDI number in the voice's octave; 0 where nothing sounds.
        highest: its highest.
        breathing: where the piece breathes.
    """

    voice: Voice
    start: Moment
    stop: Moment
    soundings: Sequence[Sounding]
    lowest: float
    highest: float
    breathing: Breathing


def stretch_of(voice: Voice, start: Moment, stop: Moment, breathing: Breathing) -> Stretch:
    """What a voice plays from one moment to another.

    Args:
        voice: the voice.
        start: first moment.
        stop: first moment behind it.
        breathing: where the piece breathes.
    """
    soundings = between(voice, start, stop)
    pitches = {sounding.midi for sounding in soundings}
    lowest, highest = min(pitches, default=0), max(pitches, default=0)
    return Stretch(voice, start, stop, soundings, lowest, highest, breathing)


def line_of(
    placed: PlacedLine, section: Section, stack: Stack, stretch: Stretch, change: str
) -> Line:
    """A placed line that plays the whole of a stretch.

    Args:
        placed: member and octave.
        section: who plays it.
        stack: it is a line of.
        stretch: what it plays.
        change: of its dynamics, see :class:`Play`.
    """
    voice = stretch.voice
    return Line(
        section=section,
        share=placed.member.share,
        players=stack.players_of(placed.member, section),
        level=placed.level,
        octave=placed.octave,
        levels=len(stack.levels),
        voice=voice,
        plays=played_between(voice, placed.octave, stretch.start, stretch.stop, change),
        soundings=stretch.soundings,
    )


def within_limits(
    line: Line, stretch: Stretch, policy: OutOfRange
) -> tuple[Line, list[BroughtBack | NoteBeyond | AtTheTop]]:
    """A line with what its policy does about notes out of range, and what there is to tell."""
    if _is_easy(line, stretch):
        return line, []
    facts: list[BroughtBack | NoteBeyond | AtTheTop] = []
    if policy in {"octave", "rest"}:
        reliefs = relieve(line.played, policy)
        if reliefs:
            facts += [_brought_back(line, relief) for relief in reliefs]
            changed = _moved_notes(line, reliefs)
            line = line._replace(
                plays=with_octaves(line.plays, changed),
                soundings=relieved(line.soundings, reliefs),
            )
    return line, [*facts, *beyond_limits(line.played, line.voice.timeline)]


def _brought_back(line: Line, relief: Relief) -> BroughtBack:
    shift = 12 * line.octave
    notes = line.soundings[relief.first : relief.last + 1]
    before = [note._replace(midi=note.midi + shift) for note in notes]
    return BroughtBack(line.player, before, relief.shift)


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
