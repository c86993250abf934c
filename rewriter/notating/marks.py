"""What a part needs besides its notes: clefs and 8va lines, at their places."""

from __future__ import annotations

from bisect import bisect_left
from itertools import accumulate
from typing import TYPE_CHECKING

import msgspec

from rewriter.musicxml.escaping import word
from rewriter.notating.clef_places import Reading
from rewriter.notating.clefs import leger_lines, plan_clefs
from rewriter.notating.ottava import plan_ottava, reads_down
from rewriter.sketch.model import Sign
from rewriter.theory.time import Timeline

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rewriter.placing.strands import Play
    from rewriter.rulefiles.ensembles import ClefUse, Section
    from rewriter.sketch.frame import Frame
    from rewriter.sketch.model import Sounding

_NUMBERS = 16
"""Numbers there are for 8va lines (W3C MusicXML 4.0, number-level)."""


class Marks(msgspec.Struct, frozen=True):
    """Clefs and 8va lines of a part.

    Attributes:
        clef: the part begins in it.
        at_bars: by bar, a clef that changes at its beginning.
        signs: by bar, clefs within it and ends of 8va lines, at their onsets.
    """

    clef: ClefUse
    at_bars: dict[int, ClefUse]
    signs: dict[int, list[Sign]]


def clef_bytes(clef: ClefUse) -> bytes:
    """A ``<clef>``."""
    return b"<clef><sign>%b</sign><line>%d</line></clef>" % (word(clef.sign), clef.line)


class MarkPlanner:
    """Chooses clefs and 8va lines for sections; what several play is looked through once."""

    def __init__(self, frame: Frame) -> None:
        self._frame = frame
        self._timeline = Timeline(bar.length for bar in frame.bars)
        self._readings: dict[int, tuple[Sequence[Sounding], Reading]] = {}
        self._highest: dict[int, tuple[Sequence[Sounding], float]] = {}
        self._parts_with_ottava = 0

    def may_need(self, section: Section, soundings: Sequence[Sounding], octave: int) -> bool:
        """True when a line goes so high that another clef or an 8va line may be wanted.

        Args:
            section: whose figures hold.
            soundings: what it plays.
            octave: whole octaves from the soundings to the line.
        """
        if not soundings:
            return False
        known = self._highest.get(id(soundings))
        if known is None:  # the soundings are kept too, so that their id stays theirs
            highest = max([sounding.midi for sounding in soundings])
            known = self._highest[id(soundings)] = (soundings, highest)
        return _goes_high(section, known[1] + 12 * octave)

    def plan(
        self,
        section: Section,
        soundings: Sequence[Sounding],
        octave: int,
        plays: Sequence[Mapping[int, Play]] = (),
    ) -> Marks:
        """Clefs and 8va lines for what a section plays.

        Args:
            section: whose figures hold.
            soundings: what it plays, some octaves away.
            octave: whole octaves from the soundings to the line.
            plays: what each line on its staff plays, by bar.
        """
        if not self.may_need(section, soundings, octave):
            return Marks(section.clefs[0], {}, {})
        reading = self._read(soundings, plays)
        changes = plan_clefs(section, reading, octave)
        marks = Marks(changes[0].clef, {}, {})
        for change in changes[1:]:
            if change.onset == 0:
                marks.at_bars[change.bar] = change.clef
            else:
                piece = b"<attributes>" + clef_bytes(change.clef) + b"</attributes>\n"
                sign = Sign(change.onset, "line", piece, "attributes")
                marks.signs.setdefault(change.bar, []).append(sign)
        spans = self._ottavas(section, reading, soundings, octave)
        for start, end in spans:
            self._add_ottava(marks, start, end)
        self._parts_with_ottava += bool(spans)
        return marks

    def _ottavas(
        self,
        section: Section,
        reading: Reading,
        soundings: Sequence[Sounding],
        octave: int,
    ) -> list[tuple[int, int]]:
        """From when to when a part is read under 8va, in divisions from the start.

        Lines that share a staff share its 8va too: signs that would overlap are one, and where
        another line would come to lie too low there is none.
        """
        spans: list[tuple[int, int]] = []
        for first, planned in plan_ottava(section, reading, octave):
            last = planned
            while last + 1 < len(soundings) and not soundings[last].length:
                last += 1  # signs stand at onsets, so grace notes go with the note they lead to
            times = [(s.start, s.end) for s in soundings[first : last + 1]]
            begin, end = times[0][0], max(time[1] for time in times)
            if spans and begin < spans[-1][1]:
                spans[-1] = (spans[-1][0], max(end, spans[-1][1]))
            elif end > begin:
                spans.append((begin, end))
        if not spans:
            return []
        written = 12 * (octave + section.written_octave)
        pitches = set(reading.midis)
        low_pitches = {m for m in pitches if not reads_down(m + written, section.clefs[-1])}
        low = [sounding for sounding in soundings if sounding.midi in low_pitches]
        starts = [sounding.start for sounding in low]
        ends = list(accumulate((sounding.end for sounding in low), max))
        return [
            (begin, end)
            for begin, end in spans
            if not (before := bisect_left(starts, end)) or ends[before - 1] <= begin
        ]

    def _read(
        self, soundings: Sequence[Sounding], plays: Sequence[Mapping[int, Play]]
    ) -> Reading:
        known = self._readings.get(id(soundings))
        if known is None:
            reading = Reading(soundings, self._frame, plays)
            known = self._readings[id(soundings)] = (soundings, reading)
        return known[1]

    def _add_ottava(self, marks: Marks, begin: int, end: int) -> None:
        first, last = self._timeline.moment(begin), self._timeline.ending(end)
        number = self._parts_with_ottava % _NUMBERS + 1
        start = Sign(first.onset, "line", _ottava("down", number), "direction")
        marks.signs.setdefault(first.bar, []).append(start)
        stop = Sign(last.onset, "line", _ottava("stop", number), "direction")
        marks.signs.setdefault(last.bar, []).insert(0, stop)


def _goes_high(section: Section, highest: float) -> bool:
    figures = [clef.above for clef in section.clefs if clef.above is not None]
    if figures and highest > min(figures):
        return True
    most = section.ottava_beyond_leger_lines
    written = highest + 12 * section.written_octave
    return most is not None and leger_lines(written, section.clefs[-1]) > most


def _ottava(ends: str, number: int) -> bytes:
    """One end of an 8va line.

    It says its staff though the part has only one, and no two parts share its number: without,
    a reader takes lines that begin in the same bar of different parts for one.
    """
    place = b"" if ends == "stop" else b' placement="above"'
    return (
        b'<direction%b><direction-type><octave-shift type="%b" number="%d" size="8"/>'
        b"</direction-type><staff>1</staff></direction>\n" % (place, word(ends), number)
    )
