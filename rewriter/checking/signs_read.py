"""What players read from key, bar, octave, staff and the signs printed so far.

A sign holds for its own line or space, in its own octave, to the barline, whichever voice of
the staff it is printed in; a note tied to the one before needs none and sets none.
(:mod:`rewriter.musicxml.accidentals` names the sources.)
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.musicxml.accidentals import alteration_of, key_alterations, name_of
from rewriter.scores.staff_signs import ClefSaid, KeySaid
from rewriter.theory.numbers import decimal, whole
from rewriter.theory.pitch import SEMITONES_OF_STEP, Pitch

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.scores.events import BarEvents, Event, WrittenPitch

_WITHOUT_PITCH: Final = frozenset(("percussion", "TAB", "none", "jianpu"))
"""Clefs under which no sign is read."""
_SUPPORTED: Final = b'element="accidental" type="yes"'
"""What a file says of itself that prints no sign only where none is wanted."""

_Line = tuple[str, str, int]
"""Staff, letter, written octave."""


class WrongSign(NamedTuple):
    """A note that is read as another pitch than the file's.

    Attributes:
        part: index in score order.
        bar: index.
        event: the note.
        pitch: as the file writes it.
        read: semitones that its letter is altered by for whoever reads it.
        needs: children of the bar that print a sign once this is put right, each with its
            semitones: the note first, then those after it on its line that would be read by it.
        more: how many notes after it, on its line, are read wrongly for want of its sign.
    """

    part: int
    bar: int
    event: Event
    pitch: Pitch
    read: float
    needs: tuple[tuple[int, float], ...]
    more: int


def wrong_signs(score: Finished) -> Iterator[WrongSign]:
    """Notes that are read as another pitch than the file's, part by part.

    A score that prints no sign at all has left them to whoever draws it, unless it says that
    it has not.

    Args:
        score: looked at.
    """
    prints = any(b"<accidental" in bar for part in score.score.parts for bar in part.bars)
    if prints or _SUPPORTED in score.score.source:
        for part in range(len(score.score.parts)):
            yield from score.wrong_signs(part)


def wrong_signs_of(score: Finished, part: int) -> Iterator[WrongSign]:
    """Those of one part.

    Args:
        score: looked at.
        part: index in score order.
    """
    staves = _Staves()
    bars = score.score.parts[part].bars
    for index, bar in enumerate(score.reading.bars(part)):
        data = bars[index]
        if data.find(b"<accidental") < 0 > data.find(b"<attributes") and staves.all_in_key(bar):
            continue
        found = _Found(part, index)
        staves.start_bar()
        for event in _by_time(bar, data):
            if event.form is None:
                if event.tag == "attributes":
                    staves.take(event.data)
            elif event.pitch is not None and not event.form.hidden:
                read = staves.read(event)
                if read is not None:
                    found.take(event, read)
        yield from found.told()


def _by_time(bar: BarEvents, data: bytes) -> list[Event]:
    if b"<backup" not in data:
        return bar.events
    return sorted(bar.events, key=lambda event: (event.onset, event.form is not None))


class _Read(NamedTuple):
    """How a note is read: as the page has it, and as it would with what is wrong put right."""

    line: _Line
    alter: float
    now: float
    then: float


class _Staves:
    """What is in force on each staff of a part."""

    def __init__(self) -> None:
        self._keys: dict[str, dict[str, float]] = {"": key_alterations(0)}
        self._in_key: set[WrittenPitch] = set()
        self._silent: set[str] = set()
        self._now: dict[_Line, float] = {}
        self._then: dict[_Line, float] = {}
        self._pitches: dict[WrittenPitch, tuple[str, int, float] | None] = {}

    def start_bar(self) -> None:
        """A barline: only the key signature holds."""
        if self._then:
            self._now, self._then = {}, {}

    def all_in_key(self, bar: BarEvents) -> bool:
        """True where every note is as the one key of all staves has it, as most are."""
        if self._keys.keys() != {""}:
            return False
        known = self._in_key
        for event in bar.events:
            pitch = event.pitch
            if pitch is not None and pitch not in known:
                line = _line_of(pitch)
                if line is not None and line[2] != self._keys[""].get(line[0], 0):
                    return False
                known.add(pitch)
        return True

    def take(self, attributes: bytes) -> None:
        """Go on with another key or clef."""
        from rewriter.scores.attributes import changes_in  # of finished scores alone

        for _, staff, value in changes_in(attributes):
            if isinstance(value, KeySaid):
                self._in_key = set()
                self._keys = {} if not staff else self._keys
                self._keys[staff] = value.alterations
                self.start_bar()
            elif isinstance(value, ClefSaid):
                silent = value.sign in _WITHOUT_PITCH
                self._silent = self._silent | {staff} if silent else self._silent - {staff}

    def read(self, event: Event) -> _Read | None:
        """Read the next note; None where no sign is looked for."""
        form, pitch = event.form, event.pitch
        if form is None or pitch is None or form.staff in self._silent:
            return None
        if pitch not in self._pitches:
            self._pitches[pitch] = _line_of(pitch)
        known = self._pitches[pitch]
        if known is None:
            return None
        step, octave, alter = known
        line = form.staff, step, octave
        if form.printed:
            means = alteration_of(form.printed)
            self._now[line] = alter if means is None else means
        elif form.stops_tie:
            return None
        in_key = self._keys.get(form.staff) or self._keys.get("") or {}
        now = self._now.get(line, in_key.get(step, 0))
        then = now if form.printed else self._then.get(line, in_key.get(step, 0))
        if form.printed or then != alter:
            self._then[line] = alter
        return _Read(line, alter, now, then)


def _line_of(pitch: WrittenPitch) -> tuple[str, int, float] | None:
    alter, octave = decimal(pitch.alter or "0"), whole(pitch.octave)
    if alter is None or octave is None or pitch.step not in SEMITONES_OF_STEP:
        return None
    return (pitch.step, octave, float(alter)) if name_of(float(alter)) else None


class _Found:
    """What is wrong in a bar."""

    def __init__(self, part: int, bar: int) -> None:
        self._where = part, bar
        self._facts: list[WrongSign] = []
        self._last: dict[_Line, int] = {}

    def take(self, event: Event, read: _Read) -> None:
        """Go on with a note."""
        line, alter, now, then = read
        if alter not in (now, then):
            self._last[line] = len(self._facts)
            pitch = Pitch(line[1], alter, line[2])
            needed = ((event.place, alter),)
            self._facts.append(WrongSign(*self._where, event, pitch, now, needed, 0))
        elif now != alter:
            at = self._last[line]
            self._facts[at] = self._facts[at]._replace(more=self._facts[at].more + 1)
        elif then != alter:
            at = self._last[line]
            needs = (*self._facts[at].needs, (event.place, alter))
            self._facts[at] = self._facts[at]._replace(needs=needs)

    def told(self) -> list[WrongSign]:
        """All of it, in the order of time."""
        return self._facts
