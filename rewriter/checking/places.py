"""Where something is in one score, and what its notes are called: moments made into places."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import msgspec

from rewriter.problems import Place, exact_text
from rewriter.sketch.describing import Describer
from rewriter.sketch.voices import beat_at
from rewriter.theory.time import Timeline

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.facts import Player, SectionDivided
    from rewriter.placing.lines import Line
    from rewriter.rulefiles.ensembles import Section
    from rewriter.sketch.faults import VoicePlace
    from rewriter.sketch.frame import Frame
    from rewriter.sketch.model import Sounding, Voice


class PartLines(msgspec.Struct, frozen=True):
    """A part of the score: its id, and the lines that stand in it."""

    id: str
    section: Section
    lines: Sequence[Line]

    def has(self, player: Player, bar: int) -> bool:
        """True when a line of this player stands in it in a bar."""
        return any(
            line.voice is player.voice
            and line.octave == player.octave
            and line.share == player.share
            and bar in line.plays
            for line in self.lines
            if line.section is player.section
        )


class Places:
    """Makes the places of one score, whose bars are also the sketch's."""

    def __init__(
        self, frame: Frame, parts: Sequence[PartLines], source: VoicePlace | None = None
    ) -> None:
        """Take the bars.

        Args:
            frame: bars, with what is printed over them.
            parts: of the score, in its order.
            source: where in the sketch faults of reading lie; None for the score.
        """
        self._frame = frame
        self._parts = parts
        self._source = source
        self._timeline = Timeline(bar.length for bar in frame.bars)
        self._describers: dict[int, Describer] = {}
        self._times: dict[tuple[int, int | None], tuple[str, str]] = {}
        self._beats: dict[tuple[int, int], str] = {}
        self._ids: dict[str, list[str]] = {}

    def of_reading(self, source: VoicePlace) -> Places:
        """The same bars, for what was found while a voice of the sketch was read."""
        return Places(self._frame, self._parts, source)

    def note(self, player: Player, note: Sounding) -> Place:
        """Where a note of a line begins."""
        return self._at(note.bar, self._onset(note), player.section, player)

    def sign(self, player: Player, where: tuple[int, int]) -> Place:
        """Where a note of a line begins, given as (bar, place among its notes)."""
        onset = self._describer(player.voice).onset(where)
        return self._at(where[0], onset, player.section, player)

    def first(self, section: Section, note: Sounding | None) -> Place:
        """Where a section begins to play, given the first note; all of it where it has none."""
        if note is None:
            return Place(part=self._part(section), section=section.key)
        return self._at(note.bar, self._onset(note), section)

    def division(self, fact: SectionDivided) -> Place:
        """Where a section that is divided begins to play."""
        return self.first(fact.section, fact.note)

    def bar(self, player: Player, bar: int) -> Place:
        """A whole bar of a line."""
        return self._at(bar, None, player.section, player)

    def bar_of_section(self, section: Section, bar: int) -> Place:
        """A whole bar of all that a section plays."""
        return self._at(bar, None, section)

    def in_sketch(self, bar: int, onset: int | None = None, part: str = "") -> Place:
        """A moment of the voice that was read, or a whole bar of it; or of another part."""
        place = self._at(bar, onset)
        return msgspec.structs.replace(place, part=part, voice="") if part else place

    def name(self, player: Player, note: Sounding) -> str:
        """The spelled name of a note whose `midi` is that of the line."""
        return self._describer(player.voice).name(note, 0)

    def bar_text(self, bar: int, seen_from: int) -> str:
        """A bar for people, its movement only where it is another than a bar's before it."""
        frame = self._frame
        if frame.movement(bar) != frame.movement(seen_from):
            return frame.bar_text(bar)
        return f"bar {frame.bars[bar].number}"

    def beat(self, note: Sounding) -> Fraction:
        """The beat on which a note begins."""
        return beat_at(self._frame.bars[note.bar], self._onset(note), self._frame.divisions)

    def _onset(self, note: Sounding) -> int:
        return note.start - self._timeline.starts[note.bar]

    def _at(
        self,
        bar: int,
        onset: int | None,
        section: Section | None = None,
        player: Player | None = None,
    ) -> Place:
        beat, moment = self._time(bar, onset)
        source = self._source
        if section is not None:
            part, voice = self._part(section, player, bar), ""
        else:
            part, voice = (source.part, source.voice) if source else ("", "")
        return Place(
            part=part,
            section=section.key if section else "",
            share=player.share.text if player else "",
            voice=voice,
            movement=self._frame.movement(bar),
            bar=self._frame.bars[bar].number,
            bar_counted=bar + 1,
            beat=beat,
            moment=moment,
        )

    def _time(self, bar: int, onset: int | None) -> tuple[str, str]:
        """Beat and moment, as text; several lines have a finding at the same."""
        known = self._times.get((bar, onset))
        if known is None:
            beat = "" if onset is None else self._beat_text(bar, onset)
            time = self._timeline.starts[bar] + (onset or 0)
            quarters = exact_text(Fraction(time, self._frame.divisions))
            known = self._times[bar, onset] = beat, quarters
        return known

    def _beat_text(self, bar: int, onset: int) -> str:
        """A beat as text; of bars in one metre the same."""
        framed = self._frame.bars[bar]
        where = id(framed.metre), framed.lacking + onset
        known = self._beats.get(where)
        if known is None:
            beat = beat_at(framed, onset, self._frame.divisions)
            known = self._beats[where] = exact_text(beat)
        return known

    def _part(self, section: Section, player: Player | None = None, bar: int = 0) -> str:
        """The id of a section's part; of the one a line stands in, where it has two."""
        ids = self._ids.get(section.key)
        if ids is None:
            ids = [part.id for part in self._parts if part.section is section]
            self._ids[section.key] = ids
        if player is not None and len(ids) > 1:
            ids = [part.id for part in self._parts if part.has(player, bar)] or ids
        return ids[0] if ids else ""

    def _describer(self, voice: Voice) -> Describer:
        known = self._describers.get(id(voice))
        if known is None:
            known = self._describers[id(voice)] = Describer(voice, self._frame)
        return known
