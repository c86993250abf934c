"""Slurs and signs on notes made those of the lines that are doubled, where that is certain."""

from __future__ import annotations

from collections import defaultdict
from functools import partial
from typing import TYPE_CHECKING, Final

from rewriter.checking.doubled_notes import NOBODY_LEADS
from rewriter.checking.rule import Mend, Unmended
from rewriter.editing.cutting import attribute_in
from rewriter.editing.edits import InBar, Replaced, bar_children
from rewriter.editing.elements import without_attributes
from rewriter.editing.note_marks import with_notation, without_notations
from rewriter.musicxml.escaping import attribute
from rewriter.musicxml.note_reading import POSITIONS

if TYPE_CHECKING:
    from collections.abc import Callable

    from rewriter.checking.doubled import Moment, Unlike
    from rewriter.checking.finished import Finished
    from rewriter.editing.edits import Edit
    from rewriter.hearing.disagreements import Said
    from rewriter.hearing.lines import Place
    from rewriter.scores.voices import Chord

OF_SEVERAL: Final = frozenset(("tremolo", "accidental-mark", "wavy-line"))
"""Signs that say how a note is played, or belong to another: they are not held against each
other, and nothing is copied that stands beside them."""
_ON_THE_PAGE: Final = (*POSITIONS, "placement", "color", "id")
_NUMBERS: Final = [str(number) for number in range(1, 7)]
_NO_NOTE: Final = Unmended("it has no note there")


def marked_alike(score: Finished, fact: Unlike) -> Mend | Unmended:
    """Give notes of a line the slurs and signs of those it doubles.

    Args:
        score: it is in.
        fact: slurs, articulations, ornaments or bowings that differ.
    """
    if not fact.led:
        return NOBODY_LEADS
    changed = _Changed(score, fact.line)
    for moment in fact.moments:
        why = (
            _slurred(changed, moment)
            if moment.kind == "slur"
            else _signed(changed, fact, moment)
        )
        if why is not None:
            return why
    return Mend("mark it as the others are", changed.edits())


class _Changed:
    """Notes of a line, and how they are changed."""

    def __init__(self, score: Finished, line: Place) -> None:
        self.score = score
        self.line = line
        self.chords = chords_of(score, line)
        self._changes: dict[tuple[int, int], list[Callable[[bytes], bytes]]] = defaultdict(list)
        self.numbers: list[tuple[int, int, str]] = []

    def change(self, bar: int, place: int, how: Callable[[bytes], bytes]) -> None:
        """Change a note."""
        self._changes[bar, place].append(how)

    def edits(self) -> tuple[Edit, ...]:
        """All of it."""
        edits = []
        for (bar, place), changes in self._changes.items():
            where = InBar(self.line.part, bar)
            data = bar_children(self.score.score, where)[place]
            for change in changes:
                data = change(data)
            edits.append(Replaced(where, place, data))
        return tuple(edits)


def chords_of(score: Finished, line: Place) -> dict[int, Chord]:
    """What the voice of a line has at each moment, grace notes and rests left out."""
    return {
        chord.notes[0].time: chord
        for chord in score.heard.voices[line.part][line.voice].chords
        if not chord.notes[0].form.grace and chord.notes[0].sounding is not None
    }


def _signed(changed: _Changed, fact: Unlike, moment: Moment) -> Unmended | None:
    """Change signs on a note; or why not."""
    chord = changed.chords.get(moment.time)
    model = chords_of(changed.score, fact.others[0]).get(moment.time)
    if chord is None or model is None:
        return _NO_NOTE
    theirs = {sign.tag: sign for note in model.notes for sign in note.form.notations}
    if OF_SEVERAL & theirs.keys():
        return Unmended("theirs has signs that are its own")
    for said in moment.own:
        for note in chord.notes:
            if any(sign.tag == said.what for sign in note.form.notations):
                gone = partial(without_notations, tag=said.what)
                changed.change(note.bar, note.event.place, gone)
    for said in moment.theirs:
        sign = without_attributes(theirs[said.what].data, _ON_THE_PAGE)
        first = chord.notes[0]
        changed.change(first.bar, first.event.place, partial(with_notation, sign=sign))
    return None


def _slurred(changed: _Changed, moment: Moment) -> Unmended | None:
    """Change slurs; or why not."""
    for said in moment.own:
        if not _without_slur(changed, said):
            return Unmended("its own slur is not plain")
    for said in moment.theirs:
        if not _with_slur(changed, said):
            return _NO_NOTE
    return None


def _without_slur(changed: _Changed, said: Said) -> bool:
    line = changed.line
    name = changed.score.heard.voices[line.part][line.voice].name
    for start, stop in changed.score.spans(line.part).paired:
        times = start.time, stop.time
        if start.kind == "slur" and start.voice == name and times == (said.time, said.until):
            for end in (start, stop):
                gone = partial(_without_end, number=end.number, side=end.side)
                changed.change(end.bar, end.event.place, gone)
            return True
    return False


def _without_end(note: bytes, number: str, side: str) -> bytes:
    def is_it(slur: bytes) -> bool:
        own = attribute_in(slur, "number") or "1"
        return (own, attribute_in(slur, "type")) == (number, side)

    return without_notations(note, "slur", is_it)


def _with_slur(changed: _Changed, said: Said) -> bool:
    first, last = (changed.chords.get(time) for time in (said.time, said.until))
    if first is None or last is None:
        return False
    taken = {
        start.number
        for start, stop in changed.score.spans(changed.line.part).paired
        if start.kind == "slur" and start.time <= said.until and stop.time >= said.time
    }
    taken |= {
        n for start, stop, n in changed.numbers if start <= said.until and stop >= said.time
    }
    number = next((one for one in _NUMBERS if one not in taken), None)
    if number is None:
        return False
    changed.numbers.append((said.time, said.until, number))
    for chord, side in ((first, "start"), (last, "stop")):
        note = chord.notes[0]
        sign = b"<slur%b%b/>" % (attribute("type", side), attribute("number", number))
        changed.change(note.bar, note.event.place, partial(with_notation, sign=sign))
    return True
