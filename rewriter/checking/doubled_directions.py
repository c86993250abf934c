"""Dynamics, hairpins and words made those of the lines that are doubled, where certain.

What holds until something else is told is changed only where the line is told again before it
goes on without the others: what it plays then was never asked about.
"""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.checking.doubled_marks import chords_of
from rewriter.checking.doubled_notes import NOBODY_LEADS
from rewriter.checking.rule import Mend, Unmended
from rewriter.editing.bar_marking import bar_marked
from rewriter.editing.edits import InBar, bar_children
from rewriter.editing.elements import with_child, without
from rewriter.editing.music import Sign
from rewriter.musicxml.escaping import word
from rewriter.scores.directions import read_direction_form

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.doubled import Moment, Unlike
    from rewriter.checking.finished import Finished
    from rewriter.editing.edits import Edit
    from rewriter.hearing.disagreements import Said
    from rewriter.hearing.lines import Place

_NOT_ALONE: Final = Unmended("it stands with something else")
_TAGS: Final = {"dynamic": "dynamics", "words": "words", "hairpin": "wedge"}


class _Standing(NamedTuple):
    """A direction that says one thing.

    Attributes:
        bar: index.
        place: among the bar's children.
        text: of dynamics and words; empty for an end of a hairpin.
        alone: True where it says nothing else.
    """

    bar: int
    place: int
    text: str
    alone: bool


def told_alike(score: Finished, fact: Unlike) -> Mend | Unmended:
    """Tell a line what those are told that it doubles.

    Args:
        score: it is in.
        fact: dynamics, hairpins or words that differ.
    """
    if not fact.led:
        return NOBODY_LEADS
    if fact.moments[0].kind == "technique":
        return Unmended("how it is played is each section's own")
    changed = _Changed(score, fact.line, fact.others[0])
    for moment in fact.moments:
        why = changed.take(moment)
        if why is not None:
            return why
    return Mend("tell it what the others are told", changed.edits())


class _Changed:
    """The bars of a line, and what is put in and taken out."""

    def __init__(self, score: Finished, line: Place, model: Place) -> None:
        self._score = score
        self._line = line
        self._model = model
        self._signs: dict[int, list[Sign]] = defaultdict(list)
        self._gone: dict[int, dict[int, bytes]] = defaultdict(dict)

    def edits(self) -> tuple[Edit, ...]:
        """All of it."""
        edits: list[Edit] = []
        for bar in sorted({*self._signs, *self._gone}):
            where = InBar(self._line.part, bar)
            edits += bar_marked(self._score.score, where, self._signs[bar], self._gone[bar])
        return tuple(edits)

    def take(self, moment: Moment) -> Unmended | None:
        """Change what is told at a moment; or why not."""
        tag = _TAGS[moment.kind]
        lasting = moment.kind == "dynamic" and any(
            said.until > said.time for said in (*moment.own, *moment.theirs)
        )
        if lasting:
            return self._holding(moment)
        for said in moment.own:
            for time in self._ends(said, tag):
                if not self._take_out(tag, time):
                    return _NOT_ALONE
        for said in moment.theirs:
            if tag == "wedge" and self._has_hairpin(said):
                return Unmended("another hairpin of its own is there")
            for time in self._ends(said, tag):
                if not self._put_in(tag, time):
                    return _NOT_ALONE
        return None

    def _ends(self, said: Said, tag: str) -> tuple[int, ...]:
        return (said.time, said.until) if tag == "wedge" else (said.time,)

    def _has_hairpin(self, said: Said) -> bool:
        return any(
            start.kind == "wedge" and start.time <= said.until and stop.time >= said.time
            for start, stop in self._score.spans(self._line.part).paired
        )

    def _holding(self, moment: Moment) -> Unmended | None:
        """A dynamic that holds: told, told otherwise, or no longer told."""
        if not self._told_again(moment):
            return Unmended("how loud it goes on without the others is not certain")
        if self._score.playing(self._line.part).hairpin(moment.time):
            return Unmended("a hairpin of its own leads there")
        own = _standing(self._score, self._line, "dynamics", moment.time)
        theirs = _standing(self._score, self._model, "dynamics", moment.time)
        if not (own or theirs):
            return Unmended("nothing is told just there")
        if theirs and [one.text for one in theirs] != [said.what for said in moment.theirs]:
            return _NOT_ALONE
        done = (not own or self._take_out("dynamics", moment.time)) and (
            not theirs or self._put_in("dynamics", moment.time)
        )
        return None if done else _NOT_ALONE

    def _told_again(self, moment: Moment) -> bool:
        """True where a line is told how loud before it plays on behind a moment."""
        until = max(said.until for said in (*moment.own, *moment.theirs))
        following = [time for time in chords_of(self._score, self._line) if time >= until]
        if not following:
            return True
        first = min(following)
        times = (one.time for one in _directions(self._score, self._line, "dynamics"))
        return any(moment.time < time <= first for time in times)

    def _take_out(self, tag: str, time: int) -> bool:
        found = _standing(self._score, self._line, tag, time)
        if len(found) != 1 or not found[0].alone:
            return False
        self._gone[found[0].bar][found[0].place] = b""
        return True

    def _put_in(self, tag: str, time: int) -> bool:
        found = _standing(self._score, self._model, tag, time)
        if len(found) != 1 or not found[0].alone:
            return False
        one = found[0]
        data = bar_children(self._score.score, InBar(self._model.part, one.bar))[one.place]
        for child in ("offset", "voice", "staff", "sound"):
            data = without(data, child)
        part = self._score.score.parts[self._line.part]
        if part.staves > 1:
            staff = self._score.heard.voices[self._line.part][self._line.voice].staff
            data = with_child(data, b"<staff>%b</staff>" % word(staff))
        bar = self._score.heard.bars.bar_at(time)
        away = time - self._score.reading.timeline.starts[bar]
        if tag == "wedge" and not away and one.bar < bar:
            bar, away = one.bar, time - self._score.reading.timeline.starts[one.bar]
        self._signs[bar].append(Sign(Fraction(away, self._score.reading.divisions), data))
        return True


class _Told(NamedTuple):
    """A direction and its moment."""

    time: int
    standing: _Standing


def _standing(score: Finished, line: Place, tag: str, time: int) -> list[_Standing]:
    """What is told a line at a moment."""
    return [one.standing for one in _directions(score, line, tag) if one.time == time]


def _directions(score: Finished, line: Place, tag: str) -> Iterator[_Told]:
    """The directions of a kind that are for a line, in document order."""
    staff = score.heard.voices[line.part][line.voice].staff
    bars = score.reading.bars(line.part)
    for at in score.score.parts[line.part].saying(b"<%b" % word(tag)):
        start = score.reading.timeline.starts[at]
        for event in bars[at].events:
            if event.tag != "direction":
                continue
            form = read_direction_form(event.data)
            own = [sign for sign in form.signs if sign.tag == tag]
            if own and form.staff in {"", staff}:
                time = start + event.onset + round(form.offset * bars[at].scale_at(event.place))
                yield _Told(time, _Standing(at, event.place, own[0].text, len(form.signs) == 1))
