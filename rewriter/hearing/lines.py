"""The lines of a finished score: what one player of a voice plays, note after note."""

from __future__ import annotations

from bisect import bisect_right
from functools import cache, partial
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.scores.in_force import PartInForce
from rewriter.scores.voices import joined, voices_of
from rewriter.theory.metre import Metre
from rewriter.theory.numbers import decimal
from rewriter.theory.pitch import FIFTHS_OF_STEP, SEMITONES_OF_STEP, note_name

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from rewriter.scores.reading import Reading
    from rewriter.scores.voices import Chord, Joined, Voice, VoiceNote

_STEPS: Final = "FCGDAEB"
"""Letters by the line of fifths."""
_MOST_MEMBERS: Final = 6
"""Lines one voice can have; more notes in a chord are a keyboard's."""


class Place(NamedTuple):
    """Where a line stands.

    Attributes:
        part: index in score order.
        voice: index among the part's voices (:func:`rewriter.scores.voices.voices_of`).
        member: 0 for the top notes of its chords, 1 for the next below, and so on. Where a
            chord has fewer notes, a lower member has its lowest; but not for more than a bar
            without a note of its own, since then its players are with the others.
    """

    part: int
    voice: int
    member: int


class HeardNote(NamedTuple):
    """A note as it is heard: notes tied to each other are one.

    Attributes:
        time: divisions from the start of the piece.
        end: likewise.
        sounding: MIDI number.
        fifths: its name, as it sounds, on the line of fifths (C 0, G 1, F -1, F# 6, Gb -6).
        tied: the written notes.
    """

    time: int
    end: int
    sounding: float
    fifths: float
    tied: Joined

    @property
    def letter(self) -> int:
        """Its letter: notes of one letter have one number, 0 to 6."""
        return round(self.fifths) % 7

    @property
    def name(self) -> str:
        """What it is called as it sounds: ``F#5``."""
        step = _STEPS[(self.letter + 1) % 7]
        alter = (self.fifths - FIFTHS_OF_STEP[step]) / 7
        octave = round(self.sounding - alter - SEMITONES_OF_STEP[step]) // 12 - 1
        return note_name(step, alter, octave)


class HeardLine(NamedTuple):
    """A line of a finished score; grace notes and cue notes are left out.

    Attributes:
        place: where it stands.
        notes: in the order of time, one at a moment.
    """

    place: Place
    notes: list[HeardNote]


class Bars(NamedTuple):
    """What bars tell about silence.

    Attributes:
        starts: divisions from the start of the piece to each bar, and to the end of the last.
        beats: for every bar the shortest beat felt, in divisions.
    """

    starts: Sequence[int]
    beats: Sequence[float]

    def bar_at(self, time: int) -> int:
        """Index of the bar a moment is in; of the last one for what comes behind it.

        >>> bars = Bars([0, 16, 28], [4, 4])
        >>> bars.bar_at(0), bars.bar_at(16), bars.bar_at(28)
        (0, 1, 1)
        """
        return max(min(bisect_right(self.starts, time), len(self.starts) - 1) - 1, 0)

    def longer_than_a_bar(self, end: int, following: int) -> bool:
        """True when silence lasts longer than the bar it begins in."""
        if following <= end:
            return False
        bar = self.bar_at(end)
        return following - end > self.starts[bar + 1] - self.starts[bar]

    def lasts_a_beat(self, end: int, following: int) -> bool:
        """True when silence lasts a beat or more."""
        return following > end and following - end >= self.beats[self.bar_at(end)]


class Heard:
    """A finished score heard.

    Attributes:
        reading: of the score.
        voices: of each part, in score order.
        lines: of all voices, in score order.
        bars: what its bars tell about silence.
    """

    def __init__(
        self, reading: Reading, voices: Callable[[int], list[Voice]] | None = None
    ) -> None:
        """Listen to every voice.

        Args:
            reading: of the score.
            voices: of a part, by its index, where somebody knows them already.
        """
        self.reading = reading
        parts = range(len(reading.score.parts))
        known = voices or partial(voices_of, reading)
        self.voices: list[list[Voice]] = [known(part) for part in parts]
        self.bars = _bars(reading)
        self.lines: list[HeardLine] = [line for p in parts for line in self._lines(p)]

    def _lines(self, part: int) -> Iterator[HeardLine]:
        """The lines of a part, those of a voice from the top."""
        name = _Naming(self.reading, part)
        begun = {id(tied.notes[0]): tied for tied in joined(self.voices[part])}
        heard: dict[int, HeardNote] = {}
        for index, voice in enumerate(self.voices[part]):
            sets = list(_pitched(voice))
            most = max(map(len, sets), default=0)
            for member in range(min(most, _MOST_MEMBERS)):
                notes: list[HeardNote] = []
                for first in _member(sets, member, self.bars):
                    tied = begun.get(id(first))
                    if tied is None or (notes and notes[-1].time == first.time):
                        continue
                    if (note := heard.get(id(first))) is None:
                        note = heard[id(first)] = name.heard(first, tied)
                    notes.append(note)
                yield HeardLine(Place(part, index, member), notes)


def _member(
    sets: Sequence[Sequence[VoiceNote]], member: int, bars: Bars
) -> Iterator[VoiceNote]:
    """The notes of one member of chords, which has for a moment the lowest of smaller ones."""
    if member == 0:
        yield from (pitched[0] for pitched in sets)
        return
    shared: list[VoiceNote] = []
    end = -1  # of its last own note; below zero before there is one
    for pitched in sets:
        if len(pitched) <= member:
            if end >= 0:
                shared.append(pitched[-1])
            continue
        own = pitched[member]
        if not bars.longer_than_a_bar(end, own.time):
            yield from shared
        shared = []
        yield own
        end = own.end


class _Naming:
    """Gives notes of a part the names they sound by."""

    def __init__(self, reading: Reading, part: int) -> None:
        self._in_force = PartInForce(reading, part)

    def heard(self, first: VoiceNote, tied: Joined) -> HeardNote:
        last = tied.notes[-1]
        end = max(last.time + last.length, first.time)
        return HeardNote(first.time, end, first.sounding or 0, self._fifths(first), tied)

    def _fifths(self, note: VoiceNote) -> float:
        pitch = note.pitch
        if pitch is None:
            return 0
        interval = self._in_force.transposition(note.time, note.form.staff).interval
        return FIFTHS_OF_STEP[pitch.step] + 7 * _alteration(pitch.alter) + interval.fifths


@cache
def _alteration(text: str) -> float:
    """Semitones, as a file says them; there are a handful in a score, and a note asks each."""
    return float(decimal(text or "0") or 0)


def _pitched(voice: Voice) -> Iterator[list[VoiceNote]]:
    """The notes of each chord that sound and take time, from the top."""
    for chord in voice.chords:
        if _counts(chord):
            pitched = [note for note in chord.notes if note.sounding is not None]
            if pitched:
                yield sorted(pitched, key=lambda note: note.sounding or 0, reverse=True)


def _counts(chord: Chord) -> bool:
    form = chord.notes[0].form
    return not form.grace and not form.cue


def _bars(reading: Reading) -> Bars:
    starts = reading.timeline.starts
    told = PartInForce(reading, 0) if reading.score.parts else None
    beats: list[float] = []
    for start in starts[:-1]:
        metre = told.last("metre", start) if told else None
        groups = metre.groups if isinstance(metre, Metre) else ()
        beats.append(float(min(groups, default=1)) * reading.divisions)
    return Bars(starts, beats)
