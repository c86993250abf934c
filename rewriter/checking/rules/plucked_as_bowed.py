"""Slurs, tremolos and bowings where the strings are plucked."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.checking.rule import NONE, Parameters, Rule, Said

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.checking.manners import MannerTold
    from rewriter.scores.voices import VoiceNote

_OF_THE_BOW = {"tremolo": "a tremolo", "up-bow": "a bowing", "down-bow": "a bowing"}


class PluckedAsBowed(NamedTuple):
    """A stretch of *pizz.* with what only a bow does.

    Attributes:
        part: index in score order.
        told: index of the bar with the words.
        note: the first that is written for the bow.
        what: stands on it.
        times: how many such notes there are in the stretch.
    """

    part: int
    told: int
    note: VoiceNote
    what: str
    times: int


def find(score: Finished, _: Parameters) -> Iterator[PluckedAsBowed]:
    """Stretches of pizz. up to other words, or to the end of the movement."""
    for part in score.of_sections:
        for told, until, _ended in score.manners(part).stretches("bow", "pizz"):
            found = list(_bowed(score, part, told, until))
            if found:
                note, what = found[0]
                yield PluckedAsBowed(part, told.bar, note, what, len(found))


def _bowed(
    score: Finished, part: int, told: MannerTold, until: int
) -> Iterator[tuple[VoiceNote, str]]:
    moments = score.moments(part)
    first, last = (moments.around(time, told.staff)[1] for time in (told.time, until))
    if first is None:
        return
    notes = list(moments.within(first.time, last.time if last else until, told.staff))
    for at, note in enumerate(notes):
        if not moments.one_voice(note.bar, note.form.staff):
            continue  # the other half of the section may have the bow
        for sign in note.form.notations:
            if sign.tag in _OF_THE_BOW and sign.type not in {"stop", "unmeasured"}:
                yield note, _OF_THE_BOW[sign.tag]
            elif sign.tag == "slur" and sign.type == "start" and _moves_on(notes, at):
                yield note, "a slur"


def _moves_on(notes: list[VoiceNote], at: int) -> bool:
    """True where another pitch comes before the slur may end; one pitch is let ring."""
    later = [note for note in notes[at + 1 :] if note.time > notes[at].time][:1]
    return any(note.sounding != notes[at].sounding for note in later)


def say(fact: PluckedAsBowed, at: Finished, _: Parameters) -> Said:
    """Say what stands there, and since when it is plucked."""
    note, more = fact.note, fact.times - 1
    rest = f" (and {more} more like it)" if more else ""
    return Said(
        at.place(fact.part, note.bar, note.time, note.form.voice),
        f"{fact.what}{rest}, and the strings are plucked since bar "
        f"{at.printed(fact.part, fact.told)}; print arco, or take it away",
    )


RULE = Rule(
    id="plucked-as-bowed",
    title="slurs, tremolos or bowings under pizz.",
    why="A plucked string cannot be slurred or bowed; mostly arco has been forgotten.",
    instead="Print arco where the bow comes back, or take the sign away.",
    source="common practice, no source",
    severity="warning",
    about=PluckedAsBowed,
    say=say,
    parameters=NONE,
    find=find,
)
