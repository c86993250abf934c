"""What was in force beside a passage that has changed, said again where it no longer is.

At its first note a part is told what the passage needs and the part has been told otherwise;
at the first note behind it what was in force there before.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.checking.dividing import told_before
from rewriter.editing.bar_reading import written_bar
from rewriter.editing.edits import InBar, Inserted, Removed, Replaced, bar_children
from rewriter.editing.elements import found_in, with_only
from rewriter.editing.fitting import statement
from rewriter.musicxml.escaping import word
from rewriter.notating.words import dynamic_direction, words_direction
from rewriter.scores.directions import read_direction_form
from rewriter.scores.playing import told_in
from rewriter.theory.division_words import divisions_in
from rewriter.theory.techniques import ORDINARY, cancelling, techniques_in

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.anew.regions import Region
    from rewriter.checking.divisions import DivisionTold
    from rewriter.checking.finished import Finished
    from rewriter.editing.edits import Edit
    from rewriter.scores.voices import VoiceNote

_TOGETHER: Final = frozenset(("unis", "tutti"))


class Model(NamedTuple):
    """What a part should be told at a moment, by another score in which it is.

    Attributes:
        score: the other one.
        part: index in it.
        time: divisions of it from the start of the piece.
    """

    score: Finished
    part: int
    time: int


def told_at_start(
    score: Finished, before: Finished, source: Finished, one: Region
) -> list[Edit]:
    """Edits that tell the players of a region what its music needs where it begins.

    Args:
        score: with the new music.
        before: as it was.
        source: the new music's own score.
        one: the region.
    """
    if one.source is None:
        return []
    edits = _clef_at(score, one, source)
    first = _first_note(score, one.part, one.start)
    if first is not None and first.time < one.stop:
        model = Model(source, one.source, _in_time_of(source, score, first.time))
        edits += _told_at(score, one.part, first, model)
        edits += _not_told_twice(score, before, one, first)
    return edits


def _not_told_twice(
    score: Finished, before: Finished, one: Region, first: VoiceNote
) -> Iterator[Edit]:
    """A dynamic, or *div.*, goes where the section has played on and knows it."""
    playing, staff = before.playing(one.part), first.form.staff
    known = playing.last("dynamic", one.start - 1, staff)
    ends = [run.time + run.length for run in before.joined(one.part) if run.time < one.start]
    if (
        not (known and ends)
        or playing.hairpin(one.start - 1, staff)
        or before.heard.bars.longer_than_a_bar(max(ends), first.time)
    ):
        return
    division = _kind(before.divisions(one.part).last(one.start - 1, staff))
    start = score.reading.timeline.starts[first.bar]
    for event in score.reading.bars(one.part)[first.bar].events:
        if event.tag == "direction" and start + event.onset == first.time:
            signs = read_direction_form(event.data).signs
            said = [(sign.tag, sign.text) for sign in signs]
            kinds = {one.kind for sign in signs for one in divisions_in(sign.text)}
            if said == [("dynamics", known)] or (kinds == {division} == {"div"}):
                yield Removed(InBar(one.part, first.bar), event.place)


def told_behind(score: Finished, before: Finished, one: Region) -> list[Edit]:
    """Edits that tell them behind it what they were told before.

    Args:
        score: with the new music, and what is told where it begins.
        before: as it was.
        one: the region.
    """
    edits = _clef_behind(score, before, one)
    first = _first_note(score, one.part, one.stop)
    if first is not None:
        edits += _told_at(score, one.part, first, Model(before, one.part, first.time))
    return edits


def _in_time_of(other: Finished, score: Finished, time: int) -> int:
    return int(Fraction(time * other.reading.divisions, score.reading.divisions))


def _first_note(score: Finished, part: int, time: int) -> VoiceNote | None:
    """The first note that sounds from a moment on, in document order where several begin."""
    found = [
        note
        for voice in score.voices(part)
        for chord in voice.chords
        for note in chord.notes[:1]
        if note.time >= time and note.sounding is not None
    ]
    return min(found, key=lambda note: (note.time, note.event.place), default=None)


def _told_at(score: Finished, part: int, note: VoiceNote, model: Model) -> Iterator[Edit]:
    """What a part is told before a note where that is not what it was told last."""
    yield from _division_at(score, part, note, model)
    staff = note.form.staff
    where = InBar(part, note.bar)
    now, wanted = score.playing(part), model.score.playing(model.part)
    for family in ORDINARY:
        told, due = (
            _way(playing.last(family, time, staff))
            for playing, time in ((now, note.time), (wanted, model.time))
        )
        if (told or ("", ORDINARY[family]))[1] != (due or ("", ORDINARY[family]))[1]:
            language = score.ensemble.language
            said = due[0] if due else cancelling(family, language)
            yield Inserted(where, note.event.place, words_direction(said).strip())
    dynamic = _dynamic(model, staff)
    if dynamic and dynamic != now.last("dynamic", note.time, staff):
        mark = dynamic_direction(b"<dynamics><%b/></dynamics>" % word(dynamic))
        yield Inserted(where, note.event.place, mark.strip())


def _dynamic(model: Model, staff: str) -> str:
    """The dynamic told last; empty where a hairpin has led away from it since."""
    score, part, time = model
    told = [
        one
        for one in told_in(score.reading, part)
        if one.kind == "dynamic" and one.staff in {"", staff} and one.time <= time
    ]
    if not told:
        return ""
    last = max(told, key=lambda one: one.time)
    led_away = any(
        span.start.kind == "wedge" and last.time <= span.start.time < time
        for span in score.spans(part).paired
    )
    return "" if led_away else last.value


def _way(words: str) -> tuple[str, str] | None:
    """Words of a technique, and which it is."""
    found = techniques_in(words)
    return (words, found[0].value) if found else None


def _division_at(score: Finished, part: int, note: VoiceNote, model: Model) -> Iterator[Edit]:
    staff = note.form.staff
    now = score.divisions(part).last(note.time, staff)
    due = model.score.divisions(model.part).last(model.time, staff)
    if _kind(now) == _kind(due):
        return
    if due is None or due.kind in _TOGETHER:
        yield told_before(score, part, note, "unis" if _kind(now) == "div" else "tutti")
    elif due.kind == "div":
        yield told_before(score, part, note, "div")
    else:
        yield Inserted(InBar(part, note.bar), note.event.place, _words_of(model, due))


def _kind(told: DivisionTold | None) -> str:
    return "" if told is None or told.kind in _TOGETHER else told.kind


def _words_of(model: Model, told: DivisionTold) -> bytes:
    """The direction in which words stand."""
    reading = model.score.reading
    start = reading.timeline.starts[told.bar]
    events = reading.bars(model.part)[told.bar].events
    return min(
        (event for event in events if event.tag == "direction" and b"<words" in event.data),
        key=lambda event: abs(start + event.onset - told.time),
    ).data


def _clef_at(score: Finished, one: Region, source: Finished) -> list[Edit]:
    """The clef of the new music where it begins."""
    if one.source is None:
        return []
    there = _in_time_of(source, score, one.start)
    wanted = source.in_force(one.source).at(there).clef
    now = score.in_force(one.part).at(one.start).clef
    if wanted is None or now == wanted or (now and now.octaves):
        return []
    return _clef_put(score, one.part, one.start, _clef_bytes(wanted.sign, wanted.line, 0))


def _clef_behind(score: Finished, before: Finished, one: Region) -> list[Edit]:
    """The clef behind the passage as it was."""
    if one.stop >= score.reading.timeline.starts[-1]:
        return []
    wanted = before.in_force(one.part).at(one.stop).clef
    if wanted is None or score.in_force(one.part).at(one.stop).clef == wanted:
        return []
    data = _clef_bytes(wanted.sign, wanted.line, wanted.octaves)
    return _clef_put(score, one.part, one.stop, data)


def _clef_bytes(sign: str, line: str, octaves: int) -> bytes:
    said = b"<line>%b</line>" % word(line) if line else b""
    if octaves:
        said += b"<clef-octave-change>%d</clef-octave-change>" % octaves
    return b"<clef><sign>%b</sign>%b</clef>" % (word(sign), said)


def _clef_put(score: Finished, part: int, time: int, clef: bytes) -> list[Edit]:
    """A clef at a moment, in place of one that stands there."""
    moment = score.reading.timeline.moment(time)
    where = InBar(part, moment.bar)
    bar = written_bar(score.score, where)
    onset = Fraction(moment.onset, score.reading.divisions)
    for place, child in enumerate(bar.children):
        if child.tag == "attributes" and child.onset == onset and found_in(child.own, "clef"):
            return [Replaced(where, place, with_only(child.own, clef))]
    if onset == 0:
        return statement(where, bar_children(score.score, where), [clef])
    places = [
        place
        for place, child in enumerate(bar.children)
        if child.form is not None and child.onset >= onset and not child.form.chord
    ]
    place = places[0] if places else len(bar.children)
    return [Inserted(where, place, b"<attributes>%b</attributes>" % clef)]
