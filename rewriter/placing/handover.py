"""Handover: while a line is out of its section's register, another section has it.

The other takes it at the same sounding octave; nothing moves. Whole slurs (or bars, or what
lies between rests) are handed over, so that the seam lies where the music breathes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.placing.strands import notes_in, with_octaves
from rewriter.placing.tuplets import whole
from rewriter.problems import Finding
from rewriter.rulefiles.stack_lines import Share
from rewriter.theory.pitch import name_of_midi

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.placing.lines import Line, Stretch
    from rewriter.placing.strands import Moment, Where
    from rewriter.rulefiles.ensembles import Section
    from rewriter.rulefiles.layouts import Handover
    from rewriter.sketch.model import Sounding


class HandedOver(NamedTuple):
    """What became of a handover.

    Attributes:
        giver: the line, resting while it is away.
        taken: what the receiver plays of it; None where nothing is handed over.
        left: the receiver's own lines, resting meanwhile.
        findings: one a run, and where it could not be done.
    """

    giver: Line
    taken: Line | None
    left: list[Line]
    findings: list[Finding]


class _Run(NamedTuple):
    """Positions among the soundings, inclusive."""

    first: int
    last: int


def hand_over(
    giver: Line, rule: Handover, receiver: Section, own: Sequence[Line], stretch: Stretch
) -> HandedOver:
    """Hand the runs of a line that are past its limit to another section.

    Args:
        giver: the line.
        rule: its handover.
        receiver: who takes it.
        own: all the receiver plays in this stretch; what it has taken over already, it does
            not leave.
        stretch: what the giver plays.
    """
    runs = _runs(giver, rule, receiver, stretch)
    findings: list[Finding] = []
    taken: list[_Run] = []
    for run in runs:
        between = _moments(giver.soundings, run)
        busy = any(
            _notes_between(line, *between) for line in own if line.taken_from or not rule.leave
        )
        findings.append(_finding(giver, rule, receiver, stretch, run, busy=busy))
        if not busy:
            taken.append(run)
    if not taken:
        return HandedOver(giver, None, list(own), findings)
    moments = [_moments(giver.soundings, run) for run in taken]
    return HandedOver(
        _without(giver, stretch, taken, keep_joints=rule.dovetail),
        _taken(giver, receiver, stretch, taken),
        [_left(line, moments) for line in own],
        findings,
    )


def _runs(giver: Line, rule: Handover, receiver: Section, stretch: Stretch) -> list[_Run]:
    """Runs past the limit, widened, and joined where closer than a bar."""
    soundings, shift = giver.soundings, 12 * giver.octave
    past = [
        at
        for at, sounding in enumerate(soundings)
        if (rule.above is not None and sounding.midi + shift > rule.above)
        or (rule.below is not None and sounding.midi + shift < rule.below)
    ]
    allowed = [receiver.low <= s.midi + shift <= receiver.high for s in soundings]
    runs: list[_Run] = []
    for at in past:
        if runs and at <= runs[-1].last:
            continue
        run = _widened(soundings, at, rule.at)
        if runs and _closer_than_a_bar(soundings, runs[-1].last, run.first):
            runs[-1] = _Run(runs[-1].first, max(run.last, runs[-1].last))
        else:
            runs.append(run)
    cut = [_cut_to(soundings, run, past, allowed) for run in runs]
    return _with_whole_tuplets(soundings, cut, stretch)


def _with_whole_tuplets(
    soundings: Sequence[Sounding], runs: Sequence[_Run], stretch: Stretch
) -> list[_Run]:
    """The runs, each with all of the tuplets and grace notes it begins and ends in.

    Where two come to meet they are one.
    """
    grown: list[_Run] = []
    for run in runs:
        notes = set(whole(stretch.voice, stretch.heard.notes_of(soundings, *run)))
        inside = [at for at, s in enumerate(soundings) if stretch.heard.where(s.index) in notes]
        first, last = min(inside), max(inside)
        while first > 0 and _leads_to(soundings[first - 1], soundings[first]):
            first -= 1
        while last + 1 < len(soundings) and _leads_to(soundings[last], soundings[last + 1]):
            last += 1
        if grown and first <= grown[-1].last:
            grown[-1] = _Run(grown[-1].first, last)
        else:
            grown.append(_Run(first, last))
    return grown


def _leads_to(grace: Sounding, note: Sounding) -> bool:
    """True for a grace note and what it is played before."""
    return grace.length == 0 and (grace.bar, grace.onset) == (note.bar, note.onset)


def _widened(soundings: Sequence[Sounding], at: int, how: str) -> _Run:
    first = last = at
    while first > 0 and _together(soundings, first - 1, first, how):
        first -= 1
    while last + 1 < len(soundings) and _together(soundings, last, last + 1, how):
        last += 1
    return _Run(first, last)


def _together(soundings: Sequence[Sounding], one: int, other: int, how: str) -> bool:
    """True when no join lies between two notes that follow each other."""
    before, after = soundings[one], soundings[other]
    if _leads_to(before, after):
        return True
    if how == "slur":
        return before.group == after.group >= 0
    if how == "bar":
        return before.bar == after.bar
    return before.index + 1 == after.index or before.group == after.group >= 0


def _closer_than_a_bar(soundings: Sequence[Sounding], last: int, first: int) -> bool:
    before, after = soundings[last], soundings[first]
    if after.bar == before.bar:
        return True
    return after.bar == before.bar + 1 and after.onset < before.onset + before.length


def _cut_to(
    soundings: Sequence[Sounding], run: _Run, past: Sequence[int], allowed: Sequence[bool]
) -> _Run:
    """The run without what was added to it beyond the receiver's range."""
    core = [at for at in past if run.first <= at <= run.last]
    first, last = run
    for at in range(core[0] - 1, run.first - 1, -1):
        if not allowed[at]:
            first = _next_join(soundings, at + 1, core[0])
            break
    for at in range(core[-1] + 1, run.last + 1):
        if not allowed[at]:
            last = _last_join(soundings, core[-1], at - 1)
            break
    return _Run(first, last)


def _next_join(soundings: Sequence[Sounding], begin: int, end: int) -> int:
    """The first note from `begin` on that begins a bar or a slur; `end` if none does."""
    for at in range(begin, end):
        before, here = soundings[at - 1], soundings[at]
        if here.bar != before.bar or here.group != before.group:
            return at
    return end


def _last_join(soundings: Sequence[Sounding], begin: int, end: int) -> int:
    """The last note up to `end` that ends a bar or a slur; `begin` if none does."""
    for at in range(end, begin, -1):
        here, after = soundings[at], soundings[at + 1]
        if here.bar != after.bar or here.group != after.group:
            return at
    return begin


def _moments(soundings: Sequence[Sounding], run: _Run) -> tuple[Moment, Moment]:
    """From the first onset of a run to the onset of the note behind it."""
    start = (soundings[run.first].bar, soundings[run.first].onset)
    if run.last + 1 < len(soundings):
        after = soundings[run.last + 1]
        return start, (after.bar, after.onset)
    last = soundings[run.last]
    return start, (last.bar, last.onset + max(last.length, 1))


def _notes_between(line: Line, start: Moment, stop: Moment) -> list[Where]:
    """The notes of a line that sound between two moments, begun before or not."""
    found = []
    for bar in range(start[0], stop[0] + 1):
        play = line.plays.get(bar)
        if play is None:
            continue
        notes = zip(notes_in(play.voice, bar), play.per_note(bar), strict=True)
        found += [
            (bar, place)
            for place, (note, octave) in enumerate(notes)
            if octave is not None
            and note.pitch is not None
            and (bar, note.onset) < stop
            and (bar, note.onset + max(note.length, 1)) > start
        ]
    return found


def _positions(runs: Sequence[_Run]) -> Iterator[int]:
    for run in runs:
        yield from range(run.first, run.last + 1)


def _without(giver: Line, stretch: Stretch, runs: Sequence[_Run], *, keep_joints: bool) -> Line:
    gone: set[Where] = set()
    for run in runs:
        notes = set(_notes_of(stretch, giver, run))
        if keep_joints:
            for joint in run:
                notes -= set(_notes_of(stretch, giver, _Run(joint, joint)))
        gone |= notes
    kept = [s for s in giver.soundings if stretch.heard.where(s.index) not in gone]
    silenced = dict.fromkeys(sorted(gone))
    return giver._replace(plays=with_octaves(giver.plays, silenced), soundings=kept)


def _notes_of(stretch: Stretch, giver: Line, run: _Run) -> list[Where]:
    """Every note of a run, the rests of its tuplets included."""
    return whole(stretch.voice, stretch.heard.notes_of(giver.soundings, *run))


def _taken(giver: Line, receiver: Section, stretch: Stretch, runs: Sequence[_Run]) -> Line:
    """The receiver's line: the giver's notes in the runs, at the giver's octave."""
    wanted = {where for run in runs for where in _notes_of(stretch, giver, run)}
    plays = {}
    for bar in sorted({bar for bar, _ in wanted} & giver.plays.keys()):
        play = giver.plays[bar]
        octaves = tuple(
            octave if (bar, place) in wanted else None
            for place, octave in enumerate(play.per_note(bar))
        )
        whole = all(octave == play.octave for octave in octaves)
        plays[bar] = play._replace(octaves=None if whole else octaves, change="")
    return giver._replace(
        section=receiver,
        share=Share(),
        strength=float(receiver.strength),
        plays=plays,
        soundings=[giver.soundings[at] for at in _positions(runs)],
        taken_from=giver.label,
    )


def _left(own: Line, moments: Sequence[tuple[Moment, Moment]]) -> Line:
    """A line of the receiver's own, silent as long as it plays what it has taken."""
    sounding = [where for start, stop in moments for where in _notes_between(own, start, stop)]
    silenced = whole(own.voice, sounding)
    if not silenced:
        return own
    onsets = {(bar, notes_in(own.voice, bar)[place].onset) for bar, place in silenced}
    return own._replace(
        plays=with_octaves(own.plays, dict.fromkeys(silenced)),
        soundings=[s for s in own.soundings if (s.bar, s.onset) not in onsets],
    )


def _finding(
    giver: Line, rule: Handover, receiver: Section, stretch: Stretch, run: _Run, *, busy: bool
) -> Finding:
    shift = 12 * giver.octave
    first, last = giver.soundings[run.first], giver.soundings[run.last]
    bar, beat, name = stretch.describe(first._replace(midi=first.midi + shift))
    end = stretch.describe(last._replace(midi=last.midi + shift))[0]
    limits = [
        f"{word} {name_of_midi(limit)}"
        for word, limit in (("above", rule.above), ("below", rule.below))
        if limit is not None
    ]
    limit = " or ".join(limits)
    until = f" to bar {end}" if end != bar else ""
    if busy:
        text = (
            f"the line goes {limit} here{until}, but {receiver.key} is busy; not handed over, "
            f"set leave = true or name another section"
        )
    else:
        text = f"handed over to {receiver.key} here{until}; the line goes {limit}"
    return Finding(
        rule="handed-over" if not busy else "receiver-busy",
        severity="warning" if busy else "advice",
        section=giver.label,
        bar=bar,
        beat=beat,
        sounds=name,
        text=text,
    )
