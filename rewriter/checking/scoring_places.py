"""Where in a finished score a rule about its layout holds."""

from __future__ import annotations

from bisect import bisect_left
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from rewriter.checking.carried_tune import with_short_lines
from rewriter.checking.scoring_facts import Passage
from rewriter.theory.dynamics import lasting, loudness

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rewriter.checking.carried_tune import CarriedNote
    from rewriter.checking.finished import Finished
    from rewriter.checking.score_bars import ScoreBars
    from rewriter.hearing.statements import Statement
    from rewriter.rulefiles.houses import Scoring, Where

_FEWEST: Final = 3
"""Notes of a passage."""

_TREMOLO_STOP: Final = b'<tremolo type="stop"'

Span = tuple[int, int]
"""From when to when, in divisions from the start of the piece."""


def needs_tune(one: Scoring) -> bool:
    """True when nothing can be said of a rule without knowing the tune."""
    where = one.where
    return (
        one.want is not None
        or one.handover is not None
        or one.broader
        or (one.levels_at_least or one.levels_at_most) is not None
        or where.statement is not None
        or _of_notes(where)
    )


def _of_notes(where: Where) -> bool:
    """True where something is asked of the notes of the tune themselves."""
    return bool(
        where.dynamic_at_least
        or where.dynamic_at_most
        or where.tune_in
        or where.above is not None
        or where.below is not None
    )


def passages_of(
    score: Finished, bars: ScoreBars, one: Scoring, tune: Sequence[CarriedNote] | None
) -> list[Passage]:
    """The passages a rule is about, in the order of time.

    They go from a note of the tune to the end of one, of those that begin in the bars and
    statements that are named. What is asked of notes holds for a bar or more, or for all that
    is named: for less nobody changes a layout. For as long it must not be so to end a passage.
    Silence of the tune for more than a bar ends it too, and another key or place of the tune
    does. Fewer than three notes are no passage: nobody can tell by ear what they are.

    Args:
        score: looked at.
        bars: of it.
        one: the rule.
        tune: its notes; None where they are not known and not asked for.

    Raises:
        Refused: the score has no such bar, mark or beat.
    """
    spans: list[Span] = [(0, score.reading.timeline.starts[-1])]
    if one.where.start is not None or one.where.stop is not None:
        spans = [bars.span(one.where)]
    if tune is None:
        return [Passage(*span) for span in spans]
    if one.where.statement is not None:
        spans = list(_overlaps(spans, _statements(score, one.where.statement, tune)))
    return [
        passage
        for span in spans
        for run in _runs(score, tune, span)
        for passage in _where_true(score, one.where, run)
        if len(passage.notes) >= _FEWEST
    ]


def statements_at(score: Finished, time: int) -> list[tuple[Statement, Statement]]:
    """The statement a moment lies in and the one before it; none in a first one.

    Args:
        score: whose tune is known.
        time: divisions from the start of the piece.
    """
    divisions = score.reading.divisions
    return [
        (here, before)
        for theme in score.statements
        for before, here in pairwise(theme)
        if here.start * divisions <= time < here.stop * divisions
    ]


def _statements(
    score: Finished, which: int | str, tune: Sequence[CarriedNote]
) -> Iterator[Span]:
    """The statements of that number of each theme; of a tune that never comes back, itself."""
    divisions = score.reading.divisions
    if not score.statements and which in {1, "last"} and tune:
        yield tune[0].time, max(note.end for note in tune)
    for theme in score.statements:
        for one in theme:
            if one.number == (len(theme) if which == "last" else which):
                yield int(one.start * divisions), int(one.stop * divisions)


def _overlaps(spans: Iterable[Span], others: Iterable[Span]) -> Iterator[Span]:
    all_others = list(others)
    for start, stop in spans:
        for first, behind in all_others:
            if max(start, first) < min(stop, behind):
                yield max(start, first), min(stop, behind)


def _runs(
    score: Finished, tune: Sequence[CarriedNote], span: Span
) -> Iterator[list[CarriedNote]]:
    """The notes that begin in a span, as far as they are one line in one key."""
    run: list[CarriedNote] = []
    times = [note.time for note in tune]
    first, behind = _whole(score, tune, *(bisect_left(times, time) for time in span))
    for note in tune[first:behind]:
        if run and (
            note.stretch.placement != run[-1].stretch.placement
            or score.heard.bars.longer_than_a_bar(run[-1].end, note.time)
        ):
            yield run
            run = []
        run.append(note)
    if run:
        yield run


def _whole(
    score: Finished, notes: Sequence[CarriedNote], first: int, behind: int
) -> tuple[int, int]:
    """First note and the one behind the last, both where the tune can be cut."""
    while first < behind and _is_bound(score, notes[first]):
        first += 1
    while first < behind < len(notes) and _is_bound(score, notes[behind]):
        behind += 1
    return first, behind


def _is_bound(score: Finished, note: CarriedNote) -> bool:
    """True for a note in a tuplet, or of a tremolo between two, that is not its first."""
    if _TREMOLO_STOP in note.heard.tied.notes[0].event.data:
        return True
    return any(
        span.start.kind == "tuplet" and span.start.time < note.time <= span.stop.time
        for span in score.spans(note.leading.part).paired
    )


def _where_true(score: Finished, where: Where, run: Sequence[CarriedNote]) -> Iterator[Passage]:
    if not _of_notes(where):
        yield _passage(score, run, 0, len(run))
        return
    true = [_is_so(score, where, note) for note in run]
    first = 0
    stretches: list[tuple[int, int, bool]] = []  # first note, the one behind the last
    for at in range(1, len(run) + 1):
        if at == len(run) or true[at] != true[first]:
            stretches.append((first, at, true[first]))
            first = at
    stretches = [
        one if one[2] or _lasts(score, run, one) or one[0] == 0 or one[1] == len(run)
        else (*one[:2], True)
        for one in stretches
    ]  # fmt: skip
    for first, behind in _joined(stretches):
        if _lasts(score, run, (first, behind, True)) or (first, behind) == (0, len(run)):
            yield _passage(score, run, first, behind)


def _joined(stretches: Iterable[tuple[int, int, bool]]) -> Iterator[tuple[int, int]]:
    """Stretches in which it is so, those that meet as one."""
    open_one: tuple[int, int] | None = None
    for first, behind, so in stretches:
        if so:
            open_one = (open_one[0] if open_one else first), behind
        elif open_one:
            yield open_one
            open_one = None
    if open_one:
        yield open_one


def _lasts(score: Finished, run: Sequence[CarriedNote], stretch: tuple[int, int, bool]) -> bool:
    """True for a stretch of a bar or more, from its first note to what follows its last."""
    first, behind, _ = stretch
    stop = run[behind].time if behind < len(run) else run[behind - 1].end
    timeline = score.reading.timeline
    return stop - run[first].time >= timeline.length(timeline.moment(run[first].time).bar)


def _passage(score: Finished, run: Sequence[CarriedNote], first: int, behind: int) -> Passage:
    first, behind = _whole(score, run, first, behind)
    notes = with_short_lines(score, run[first:behind])
    if not notes:
        return Passage(0, 0)
    return Passage(notes[0].time, max(note.end for note in notes), notes)


def _is_so(score: Finished, where: Where, note: CarriedNote) -> bool:
    """True when all that is asked of a note is so."""
    if where.above is not None and note.midi <= where.above:
        return False
    if where.below is not None and note.midi >= where.below:
        return False
    if where.tune_in and not any(
        section.key == where.tune_in
        for level in note.levels
        for line in level.lines
        for section in score.players[line.part].sections
    ):
        return False
    return _is_as_loud(score, where, note)


def _is_as_loud(score: Finished, where: Where, note: CarriedNote) -> bool:
    least, most = where.dynamic_at_least, where.dynamic_at_most
    if not (least or most):
        return True
    place = note.leading
    staff = score.heard.voices[place.part][place.voice].staff
    now = score.playing(place.part).last("dynamic", note.time, staff)
    if not lasting(now):
        return False
    return (not least or loudness(now) >= loudness(least)) and (
        not most or loudness(now) <= loudness(most)
    )
