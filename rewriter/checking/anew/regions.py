"""Which parts of a finished score change, from when to when, and whether they may."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

from rewriter.checking.anew.certain import NotCertain
from rewriter.checking.scoring_lines import parts_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rewriter.checking.anew.carrier import Carrier
    from rewriter.checking.anew.expanded import Expanded
    from rewriter.checking.finished import Finished
    from rewriter.checking.scoring_facts import Passage


class Region(NamedTuple):
    """A part from one moment to another.

    Attributes:
        part: index in score order.
        start: divisions from the start of the piece.
        stop: likewise.
        source: index of the part of the expansion whose music it gets; None for rests.
    """

    part: int
    start: int
    stop: int
    source: int | None


class Asked(NamedTuple):
    """What is to be written in a passage.

    Attributes:
        expansion: of the passage.
        sections: keys of those that play all of it, in score order.
        resting: True where sections on the tune that are not among them rest.
        replace: True where a section may lose music of its own.
        leave: True where who takes over what is handed over may leave the tune for it.
    """

    expansion: Expanded
    sections: Sequence[str]
    resting: bool
    replace: bool
    leave: bool = False


def regions_of(
    score: Finished, asked: Asked, carrier: Carrier, passage: Passage
) -> list[Region]:
    """What changes in a score for a passage; nothing of what is there already.

    Args:
        score: the finished one.
        asked: what is to be written.
        carrier: has the music.
        passage: where.

    Raises:
        NotCertain: a section has no part of its own, or would lose music of its own.
    """
    made = asked.expansion
    tune = _Tune(score, carrier, passage)
    found: list[Region] = []
    for section in asked.sections:
        for one in _of_section(score, made, section, [(made.start, made.stop)]):
            if not _is_there(score, made, one):
                tune.require_free(one, section, replace=asked.replace)
                found.append(one)
    for section in sorted(made.receiving):
        spans = _taken(score, made, section)
        for one in _of_section(score, made, section, spans):
            if not asked.leave:
                tune.require_silent(one, section, replace=asked.replace)
            tune.require_free(one, section, replace=asked.replace)
            found.append(one)
    if asked.resting:
        found += _resting(score, asked, tune)
    return found


def _resting(score: Finished, asked: Asked, tune: _Tune) -> Iterator[Region]:
    """Sections on the tune that are no longer, as long as they were."""
    made = asked.expansion
    kept = {*asked.sections, *made.receiving}
    for part, start, stop in tune.carried(made.start, made.stop):
        keys = {section.key for section in score.players[part].sections}
        if keys and not keys & kept:
            one = Region(part, start, stop, None)
            tune.require_free(one, " + ".join(sorted(keys)), replace=asked.replace)
            yield one
        elif keys - kept:
            raise NotCertain(f"{' and '.join(sorted(keys))} share a part")


def _of_section(
    score: Finished, made: Expanded, section: str, spans: Sequence[tuple[int, int]]
) -> Iterator[Region]:
    """The regions of a section, part by part; where it has more parts than music they rest."""
    own, sources = parts_of(score, section), made.parts[section]
    if not own:
        raise NotCertain(f"the score has no part for {section}")
    if any(len(score.players[part].sections) > 1 for part in own):
        raise NotCertain(f"{section} shares a part with another section")
    if any(score.score.parts[part].staves > 1 for part in own):
        raise NotCertain(f"{section} has a part on several staves")
    playing = [one for one in sources if _notes_in(made.score, one)]
    if len(playing) > len(own):
        raise NotCertain(f"{section} would need a second staff")
    for start, stop in spans:
        for at, part in enumerate(own):
            yield Region(part, start, stop, playing[at] if at < len(playing) else None)


def _notes_in(score: Finished, part: int) -> bool:
    return any(run.length for run in score.joined(part))


Sounds = list[tuple[Fraction, Fraction, float]]
"""Onset and length in quarters, MIDI number, of all that sounds; sorted."""


def _sounds(score: Finished, part: int, start: Fraction, stop: Fraction) -> Sounds:
    divisions = score.reading.divisions
    found = []
    for run in score.joined(part):
        time = Fraction(run.time, divisions)
        if start <= time < stop:
            length = Fraction(run.length, divisions)
            found.append((time, length, run.notes[0].sounding or 0))
    return sorted(found)


def _is_there(score: Finished, made: Expanded, one: Region) -> bool:
    """True where a part plays already what it is to play."""
    span = [Fraction(time, score.reading.divisions) for time in (one.start, one.stop)]
    now = _sounds(score, one.part, *span)
    return now == ([] if one.source is None else _sounds(made.score, one.source, *span))


def _taken(score: Finished, made: Expanded, section: str) -> list[tuple[int, int]]:
    """From when to when a section plays what is handed over to it, breaths within a bar too."""
    ratio = Fraction(score.reading.divisions, made.score.reading.divisions)
    spans: list[tuple[int, int]] = []
    for part in made.parts[section]:
        for run in sorted(made.score.joined(part), key=lambda run: run.time):
            start, stop = int(run.time * ratio), int((run.time + run.length) * ratio)
            if spans and not score.heard.bars.longer_than_a_bar(spans[-1][1], start):
                spans[-1] = spans[-1][0], max(stop, spans[-1][1])
            else:
                spans.append((start, stop))
    return spans


class _Tune:
    """What of the parts is the music of a passage, which they may lose."""

    def __init__(self, score: Finished, carrier: Carrier, passage: Passage) -> None:
        self._score = score
        self._carrying: dict[int, list[tuple[int, int]]] = {}  # by part: from when to when
        self._notes: set[int] = set()  # `id` of written notes that carry the tune
        self._sounding: dict[int, float] = {}  # by moment: pitch class
        lines = {line.place: line.notes for line in score.heard.lines}
        for note in lines[carrier.line]:
            self._sounding[note.time] = note.sounding % 12
        tune = score.tune if passage.notes else None
        for found in tune.carrying.values() if tune else ():
            for one in found:
                first, last = one.agreeing[0][1], one.agreeing[-1][1]
                self._carrying.setdefault(one.line.part, []).append((one.start, one.stop))
                notes = lines[one.line][first : last + 1]
                self._notes.update(id(note.tied.notes[0]) for note in notes)

    def carried(self, start: int, stop: int) -> Iterator[tuple[int, int, int]]:
        """Parts that carry the tune between two moments, each with its stretches."""
        for part, spans in sorted(self._carrying.items()):
            for first, behind in _joined(spans):
                if max(first, start) < min(behind, stop):
                    yield part, max(first, start), min(behind, stop)

    def require_free(self, one: Region, section: str, *, replace: bool) -> None:
        """See that a section loses nothing but the tune."""
        if replace:
            return
        for run in self._score.joined(one.part):
            first = run.notes[0]
            if (
                one.start <= run.time < one.stop
                and run.length
                and id(first) not in self._notes
                and self._sounding.get(run.time) != (first.sounding or 0) % 12
            ):
                bar = self._score.printed(one.part, first.bar)
                raise NotCertain(f"{section} would lose music of its own in bar {bar}")

    def require_silent(self, one: Region, section: str, *, replace: bool) -> None:
        """See that a section plays nothing."""
        for run in self._score.joined(one.part):
            if not replace and one.start <= run.time < one.stop and run.length:
                bar = self._score.printed(one.part, run.notes[0].bar)
                raise NotCertain(f"{section} is not free in bar {bar}")


def _joined(spans: Iterable[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """Stretches in order, those that touch or overlap as one."""
    open_one: tuple[int, int] | None = None
    for start, stop in sorted(spans):
        if open_one and start <= open_one[1]:
            open_one = open_one[0], max(stop, open_one[1])
            continue
        if open_one:
            yield open_one
        open_one = start, stop
    if open_one:
        yield open_one
