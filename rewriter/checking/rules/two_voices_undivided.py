"""Two voices on a staff of everybody in a section, of which one player cannot play both."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.checking.dividing import divided, who_judges
from rewriter.checking.hands import Hands, hard_for_one, named, parts_of_hands
from rewriter.checking.rule import Rule, Said

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.checking.moments import Sounds
    from rewriter.checking.rule import Mend, Unmended
    from rewriter.rulefiles.ensembles import Section
    from rewriter.scores.voices import VoiceNote


class HardVoices(NamedTuple):
    """Bars that follow each other in which there are several voices.

    Attributes:
        part: index in score order.
        staff: counted from the top, as text.
        bars: indexes.
        hard: what cannot be played by one, each time.
        what: is wrong with the first.
    """

    part: int
    staff: str
    bars: list[int]
    hard: list[Sounds]
    what: list[str]


def find(score: Finished, parameters: Hands) -> Iterator[HardVoices]:
    """Stretches of several voices that one player cannot play, where nothing is divided."""
    for part in parts_of_hands(score):
        if len(score.voices(part)) > 1:
            for stretch in _stretches(score, part):
                _look_through(score, stretch, parameters)
                if stretch.hard:
                    yield stretch


def _stretches(score: Finished, part: int) -> Iterator[HardVoices]:
    """Bars with several voices on a staff, as far as they follow each other."""
    by_staff: dict[str, HardVoices] = {}
    for bar, staff in score.moments(part).of_voices():
        stretch = by_staff.get(staff)
        if stretch is not None and bar == stretch.bars[-1] + 1:
            stretch.bars.append(bar)
            continue
        if stretch is not None:
            yield stretch
        by_staff[staff] = HardVoices(part, staff, [bar], [], [])
    yield from by_staff.values()


def _look_through(score: Finished, stretch: HardVoices, hands: Hands) -> None:
    moments, divisions = score.moments(stretch.part), score.divisions(stretch.part)
    section = score.players[stretch.part].sections[0]
    for bar in stretch.bars:
        for sounds in moments.sounds(bar, stretch.staff):
            if len(sounds.voices) > 1 and not divisions.divided(sounds.time, stretch.staff):
                what = _hard(sounds, section, hands)
                if what:
                    stretch.hard.append(sounds)
                    stretch.what.append(what)


def _hard(sounds: Sounds, section: Section, hands: Hands) -> str:
    """What is wrong with several voices, none of which is wrong alone."""
    apart: dict[float, VoiceNote] = {note.sounding or 0: note for note in sounds.notes}
    what = hard_for_one(tuple(apart.values()), section, hands) if len(apart) > 1 else ""
    if what:
        for voice in sounds.voices:
            own = [note for note in sounds.notes if note.form.voice == voice]
            if len(own) > 1 and hard_for_one(own, section, hands):
                return ""  # a chord, of which another rule speaks
    return what


def say(fact: HardVoices, at: Finished, _: Hands) -> Said:
    """Say where they first cannot be played, and what there is."""
    first, last = fact.hard[0], fact.hard[-1]
    note = first.notes[-1]
    until = at.printed(fact.part, last.notes[-1].bar)
    more = f", and so on up to bar {until}" if last.notes[-1].bar != note.bar else ""
    return Said(
        at.place(fact.part, note.bar, first.time),
        f"several voices are more than one player can play: {fact.what[0]}{more}; "
        f"{who_judges(at.players[fact.part].sections[0])}",
        named(first.notes),
        "voices for one hand",
    )


def mend(score: Finished, fact: HardVoices, _: Hands) -> Mend | Unmended:
    """Print div. where the second voice comes in, and unis. behind the voices."""
    moments = score.moments(fact.part)
    first = next(
        note
        for bar in fact.bars
        for sounds in moments.sounds(bar, fact.staff)
        for note in sorted(sounds.notes, key=lambda one: one.event.place)
        if len(sounds.voices) > 1 and note.time == sounds.time
    )
    end = max(note.end for note in moments.notes(fact.bars[-1], fact.staff))
    return divided(score, fact.part, first, end)


RULE = Rule(
    id="two-voices-undivided",
    title="two voices that one player cannot play",
    why="Without div. every player of a section plays both voices of a staff, as double stops. "
    "Where these cannot be stopped, nobody knows who plays which.",
    instead="Print div. where the second voice comes in, or let the section leader judge.",
    source="common practice, no source; how far a hand reaches: from memory",
    severity="warning",
    about=HardVoices,
    say=say,
    parameters=Hands(),
    mends="certain",
    find=find,
    mend=mend,
)
