"""A dynamic printed at an entry: that of the voices that double it."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from rewriter.checking.rule import Mend, Unmended
from rewriter.editing.bar_marking import bar_marked
from rewriter.editing.edits import InBar
from rewriter.editing.music import Sign
from rewriter.musicxml.escaping import word
from rewriter.notating.words import dynamic_direction
from rewriter.theory.dynamics import lasting

if TYPE_CHECKING:
    from rewriter.checking.entries import Entry
    from rewriter.checking.finished import Finished
    from rewriter.editing.edits import Edit
    from rewriter.hearing.lines import Place

_CHANGING: Final = "changing"
"""How loud a voice is that is told to grow or fade, in words, or only an accent."""


def restated(score: Finished, entry: Entry) -> Mend | Unmended:
    """Print at an entry the dynamic of the voices that double it, if they have one.

    Args:
        score: it is in.
        entry: without a dynamic.
    """
    others = _doubling(score, entry)
    if not others:
        return Unmended("nobody doubles it")
    levels = {_level(score, other, entry) for other in others} - {""}
    if not levels:
        return Unmended("who doubles it has no dynamic either")
    if len(levels) > 1 or _CHANGING in levels:
        return Unmended("how loud those are who double it is not certain")
    (level,) = levels
    return Mend(f"print {level}", tuple(_printed(score, entry, level)))


def _doubling(score: Finished, entry: Entry) -> list[Place]:
    """Voices of other parts that double the entry from its first note."""
    return [
        other
        for one in score.doublings
        if one.start == entry.note.time
        for own, other in ((one.upper, one.lower), (one.lower, one.upper))
        if own.part == entry.part != other.part
    ]


def _level(score: Finished, voice: Place, entry: Entry) -> str:
    """The dynamic of a voice at an entry; empty where this movement has told it none."""
    time, end = entry.note.time, entry.note.end
    begin = max(start for bar in score.movements if (start := _start(score, bar)) <= time)
    staff = score.voices(voice.part)[voice.voice].staff
    # what stands a little to the right of the note is for it as well
    told = [one for one in score.loudness(voice.part) if begin <= one.time < end]
    if not told:
        return ""
    at_the_note = sum(one.time >= time for one in told)
    if at_the_note > 1 or score.playing(voice.part).hairpin(time, staff):
        return _CHANGING
    return lasting(told[-1].level) or _CHANGING


def _start(score: Finished, bar: int) -> int:
    return score.reading.timeline.starts[bar]


def _printed(score: Finished, entry: Entry, level: str) -> list[Edit]:
    note = entry.note
    away = note.time - score.reading.timeline.starts[note.bar]
    data = dynamic_direction(b"<dynamics><%b/></dynamics>" % word(level)).strip()
    if score.score.parts[entry.part].staves > 1:
        staff = b"<staff>%b</staff></direction>" % word(note.form.staff)
        data = data.replace(b"</direction>", staff)
    sign = Sign(Fraction(away, score.reading.divisions), data)
    return bar_marked(score.score, InBar(entry.part, note.bar), [sign])
