"""A strand: what one line of a section plays in each bar, and where it stops or starts.

Plans, handovers, divisions and limits all come down to this: for every bar, a voice of the
sketch at some octave, whole or note by note, or rest. Writing a part looks at nothing else.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import msgspec

from rewriter.sketch.listening import notes_in
from rewriter.theory.time import Moment

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from rewriter.sketch.listening import Where
    from rewriter.sketch.model import Voice

Plays = list[tuple["Play", ...]]
"""What a strand plays: one entry a bar, empty where it rests."""


class Play(NamedTuple):
    """What a strand plays in a bar, of one voice.

    Attributes:
        voice: of the sketch.
        octave: whole octaves from the voice's sounding pitch.
        octaves: where the bar is not played as a whole, the octave of each note of the voice
            in it (rests and grace notes included), None where the strand does not play.
        change: how dynamics differ from the sketch's: steps such as ``-1``, or a mark of its
            own; empty for as they stand.
    """

    voice: Voice
    octave: int
    octaves: tuple[int | None, ...] | None = None
    change: str = ""

    @property
    def is_plain(self) -> bool:
        """True when the bar is played as the sketch has it, at one octave."""
        return self.octaves is None and not self.change

    @property
    def silent(self) -> bool:
        """True when no note of the bar is played."""
        return self.octaves is not None and all(octave is None for octave in self.octaves)

    def octave_at(self, place: int) -> int | None:
        """The octave of a note of the bar; None where it, or nothing there, is played."""
        if self.octaves is None:
            return self.octave
        return self.octaves[place] if place < len(self.octaves) else None

    def per_note(self, bar: int) -> tuple[int | None, ...]:
        """The octave of each note of a bar, None where it is not played."""
        if self.octaves is not None:
            return self.octaves
        return (self.octave,) * len(notes_in(self.voice, bar))


class Run(NamedTuple):
    """Notes that follow each other without a break.

    Attributes:
        voice: they belong to.
        first: first note.
        last: last note.
        change: of their dynamics.
        level: stretches of the run that stay at one octave, as (first, last).
    """

    voice: Voice
    first: Where
    last: Where
    change: str
    level: tuple[tuple[Where, Where], ...]


def played_between(
    voice: Voice, octave: int, start: Moment, stop: Moment, change: str = ""
) -> dict[int, Play]:
    """A voice at one octave from one moment to another, by bar.

    A note belongs to where it begins; grace notes go with the note they lead to. Borders are
    expected where :func:`cut_moment` puts them.
    """
    whole = Play(voice, octave, None, change)
    last = min(stop.bar + 1, len(voice.bars))
    first = start.bar if start.onset <= 0 else start.bar + 1
    plays = dict.fromkeys(range(first, min(stop.bar, last)), whole)
    for bar in sorted({start.bar, stop.bar}):
        if bar in plays or bar >= last:
            continue
        octaves = tuple(
            octave if start <= (bar, note.onset) < stop else None
            for note in notes_in(voice, bar)
        )
        if any(each is not None for each in octaves):
            cut = None in octaves
            plays[bar] = Play(voice, octave, octaves, change) if cut else whole
    return dict(sorted(plays.items()))


def cut_moment(voice: Voice, moment: Moment, divisions: int) -> Moment:
    """This moment, or the first behind it where a voice can be cut.

    Tuplets and tremolos between two notes are not cut: the border moves behind them. A long
    note is no hindrance; it is played to its end by who began it.
    """
    bar, onset = moment
    if onset <= 0 or bar >= len(voice.bars):
        return moment
    inside = 0
    passed = False
    odd = divisions // (divisions & -divisions)  # only tuplets begin between its multiples
    for note in notes_in(voice, bar):
        if note.onset >= onset:
            if inside == 0 and note.onset % odd == 0:
                return Moment(bar, note.onset) if passed else moment
            passed = True
        for sign in note.shape.notations:
            if sign.tag in {"tuplet", "tremolo"}:
                inside += (sign.type == "start") - (sign.type == "stop")
    return Moment(bar + 1, 0) if passed else moment


def with_octaves(
    plays: Mapping[int, Play], changed: Mapping[Where, int | None]
) -> dict[int, Play]:
    """Plays with some notes at another octave, or silenced with None."""
    new = dict(plays)
    by_bar: dict[int, dict[int, int | None]] = {}
    for (bar, place), octave in changed.items():
        by_bar.setdefault(bar, {})[place] = octave
    for bar, places in by_bar.items():
        if bar not in new:
            continue
        play = new[bar]
        octaves = tuple(
            places.get(place, octave) if octave is not None else None
            for place, octave in enumerate(play.per_note(bar))
        )
        if all(octave == play.octave for octave in octaves):
            new[bar] = play._replace(octaves=None)
        elif all(octave is None for octave in octaves):
            del new[bar]
        else:
            new[bar] = play._replace(octaves=octaves)
    return new


def laid_into(plays: Plays, more: Mapping[int, Play]) -> None:
    """Put plays into a strand that does not sound at those moments.

    Two plays of one voice in one bar become one; a rest of both is the newcomer's, whose
    notes lie around it. Where a note of the strand still sounds, the newcomer waits for its
    next note.
    """
    alone: dict[int, tuple[Play]] = {}  # bars that are played alike are the same
    for bar, play in more.items():
        known = plays[bar]
        if not known:
            plays[bar] = alone.setdefault(id(play), (play,))
            continue
        same = next(
            (k for k in known if k.voice is play.voice and k.change == play.change), None
        )
        if same is not None:
            octaves = tuple(
                new if old is None or (note.pitch is None and new is not None) else old
                for note, old, new in zip(
                    notes_in(play.voice, bar),
                    same.per_note(bar),
                    play.per_note(bar),
                    strict=True,
                )
            )
            joined = same._replace(octaves=octaves)
            if len(set(octaves)) == 1:
                joined = same._replace(octave=octaves[0] or 0, octaves=None)
            others = [k for k in known if k is not same]
            plays[bar] = _one_after_the_other(others, joined, bar) if others else (joined,)
        else:
            plays[bar] = _one_after_the_other(known, play, bar)


def sound_together(one: Play, other: Play, bar: int) -> bool:
    """True when notes of two plays sound at the same time of a bar."""
    return any(
        begin < end and start < stop
        for begin, stop in _times([one], bar, sounding=True)
        for start, end in _times([other], bar, sounding=True)
    )


def last_end(play: Play, bar: int) -> int:
    """Until when a play sounds in a bar, divisions from its start; 0 where it is silent."""
    return max((end for _, end in _times([play], bar, sounding=True)), default=0)


def _one_after_the_other(known: Sequence[Play], play: Play, bar: int) -> tuple[Play, ...]:
    """Plays of several voices in one bar: a note makes way for notes, a rest for both."""
    play = _clear_of(play, _times(known, bar, sounding=True), bar, rests_only=False)
    notes = _times([play], bar, sounding=True)
    kept = [_clear_of(other, notes, bar, rests_only=True) for other in known]
    kept = [other for other in kept if not other.silent]
    return (*kept, _clear_of(play, _times(kept, bar, sounding=False), bar, rests_only=True))


def _times(plays: Sequence[Play], bar: int, *, sounding: bool) -> list[tuple[int, int]]:
    """From when to when the notes of plays last; rests too, if not only what sounds."""
    return [
        (note.onset, note.onset + note.length)
        for play in plays
        for note, octave in zip(notes_in(play.voice, bar), play.per_note(bar), strict=True)
        if octave is not None and (note.pitch is not None or not sounding)
    ]


def _clear_of(
    play: Play, busy: Sequence[tuple[int, int]], bar: int, *, rests_only: bool
) -> Play:
    """A play without its notes, or its rests, that lie in times when another plays."""
    octaves = tuple(
        None
        if (note.pitch is None or not rests_only)
        and any(begin < note.onset + note.length and note.onset < end for begin, end in busy)
        else octave
        for note, octave in zip(notes_in(play.voice, bar), play.per_note(bar), strict=True)
    )
    return play if octaves == play.per_note(bar) else play._replace(octaves=octaves)


def is_whole(plays: Sequence[tuple[Play, ...]]) -> bool:
    """True when a strand plays one voice at one octave from end to end: nothing is cut."""
    first = plays[0][0] if plays and plays[0] else None
    if first is None or not first.is_plain:
        return False
    voice, octave = first.voice, first.octave
    return all(
        len(bar) == 1 and bar[0].voice is voice and bar[0].octave == octave and bar[0].is_plain
        for bar in {id(bar): bar for bar in plays}.values()
    )


class _Piece(msgspec.Struct, frozen=True):
    """Notes at one octave that follow each other in a bar."""

    play: Play
    first: Where
    last: Where
    octave: int
    ends_bar: bool


def runs_of(plays: Plays, counts: Callable[[Voice, int], int]) -> list[Run]:
    """The runs of a strand, in order; a change of voice or of dynamics begins a new one.

    Args:
        plays: of the strand.
        counts: how many notes a voice has in a bar.
    """
    runs: list[Run] = []
    begun: dict[int, list[_Piece]] = {}  # by voice: another may play in between
    for bar, entries in enumerate(plays):
        for piece in _pieces(bar, entries, counts):
            pieces = begun.setdefault(id(piece.play.voice), [])
            if pieces and not _follows(pieces[-1], piece):
                runs.append(_run(pieces))
                pieces.clear()
            pieces.append(piece)
    runs += [_run(pieces) for pieces in begun.values() if pieces]
    return sorted(runs, key=lambda run: (run.first, run.last))


def _pieces(
    bar: int, entries: Sequence[Play], counts: Callable[[Voice, int], int]
) -> Iterator[_Piece]:
    for play in entries:
        count = counts(play.voice, bar)
        if play.octaves is None:
            yield _Piece(play, (bar, 0), (bar, count - 1), play.octave, ends_bar=True)
            continue
        begin = 0
        for place in range(1, count + 1):
            octave = play.octaves[begin]
            if place < count and play.octaves[place] == octave:
                continue
            if octave is not None:
                ends = place == count
                yield _Piece(play, (bar, begin), (bar, place - 1), octave, ends_bar=ends)
            begin = place


def _follows(before: _Piece, after: _Piece) -> bool:
    """True when no note of the voice lies between two pieces of it."""
    if before.play.voice is not after.play.voice or before.play.change != after.play.change:
        return False
    bar, place = before.last
    if after.first[0] == bar:
        return after.first[1] == place + 1
    return before.ends_bar and after.first == (bar + 1, 0)


def _run(pieces: Sequence[_Piece]) -> Run:
    level: list[tuple[Where, Where]] = []
    octave: int | None = None
    for piece in pieces:
        if level and piece.octave == octave:
            level[-1] = (level[-1][0], piece.last)
        else:
            level.append((piece.first, piece.last))
        octave = piece.octave
    first = pieces[0]
    return Run(first.play.voice, first.first, pieces[-1].last, first.play.change, tuple(level))
