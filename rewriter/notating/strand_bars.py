"""What one strand plays in a bar, as notes and signs: played, silenced, mended, filled up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.notating.courtesies import reminders
from rewriter.notating.cuts import Repairs, VoiceIndex, index_voice, repair
from rewriter.notating.entries import beside_accents
from rewriter.notating.repairs import (
    Written,
    belongs,
    by_their_notes,
    closed_beams,
    mended_note,
    own_sign,
    rests_before_gaps,
    said_before,
    with_dynamics,
    without_rests_by_gaps,
)
from rewriter.notating.sides import Passed
from rewriter.placing.strands import is_whole, runs_of
from rewriter.sketch.beaming import Open
from rewriter.sketch.listening import notes_in
from rewriter.sketch.model import Note
from rewriter.sketch.pauses import held
from rewriter.sketch.rests import rests_between

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

    from rewriter.notating.cuts import Place
    from rewriter.placing.strands import Play, Plays
    from rewriter.sketch.frame import Frame
    from rewriter.sketch.model import Voice


class Strand:
    """A strand with its repairs, bar by bar.

    Attributes:
        plays: by bar.
        mended_bars: those that are not as their voice has them.
        retold: those in which its players are told again how to play.
    """

    def __init__(
        self,
        plays: Plays,
        frame: Frame,
        indexes: dict[int, VoiceIndex],
        unsaid: dict[Place, set[str]],
        ways: Mapping[Place, Sequence[str]],
        joined: Collection[Place] = (),
    ) -> None:
        """Find out what has to be mended where it is cut.

        Args:
            plays: by bar.
            frame: of the score.
            indexes: of voices, by ``id``; filled as needed.
            unsaid: by note, signs that are not true where it plays.
            ways: by note, words of techniques its players have to be told again.
            joined: notes from which more players have it than before.
        """
        self.plays = plays
        self._frame = frame
        self._repairs = _repaired(plays, frame, indexes, joined)
        self._repairs.unsaid = unsaid
        self._repairs.say_first(ways)
        self.retold = {bar for _, bar, _ in ways}
        self.mended_bars = self._repairs.bars()

    def is_plain(self, bar: int) -> bool:
        """True where one voice is played just as the sketch has it."""
        plays = self.plays[bar]
        return len(plays) == 1 and plays[0].is_plain and bar not in self.mended_bars

    def sounds(self, bar: int) -> bool:
        """True where it has a note of its own; outside the score it has none."""
        plays = self.plays[bar] if 0 <= bar < len(self.plays) else ()
        return not all(play.silent for play in plays)

    def items(self, bar: int, *, beside: bool) -> list[Written]:
        """Notes and own signs of a bar: played, silenced, mended.

        Args:
            bar: index.
            beside: it is written as a second voice, or on the stem of another strand.
        """
        plays, repairs = self.plays[bar], self._repairs
        blocks = [block for play in plays for block in self._blocks(bar, play)]
        if len(plays) > 1:
            blocks.sort(key=_in_order)
        written = [one for block in blocks for one in block]
        if len(plays) > 1 or plays[0].octaves is not None:
            opens = beside and not self.sounds(bar - 1)
            closes = beside and not self.sounds(bar + 1)
            written = self._filled(written, bar, opens=opens, closes=closes)
        elif bar not in repairs.beams_cut:
            return written  # all of the bar's notes are there, and so are its beams
        over = {at - bar for voice, at in repairs.beams if voice in map(_voice, plays)}
        return closed_beams(written, Open(before=0 in over, after=1 in over))

    def _blocks(self, bar: int, play: Play) -> Iterator[list[Written]]:
        """What is played, note by note, each with the signs that stand with it."""
        repairs = self._repairs
        block: list[Written] = []
        has_note = False
        place = 0
        notes = notes_in(play.voice, bar)
        for item in by_their_notes(play.voice.bars[bar].items, notes, play.octaves):
            where = (id(play.voice), bar, place)
            octave = play.octave_at(place)
            told: list[Written] = []
            if isinstance(item, Note):
                place += 1
                if octave is None:
                    continue
                told = said_before(item, where, repairs)
                more = mended_note(item, where, octave, repairs)
            elif item.scope == "line" and belongs(play, place, item, notes):
                where = (*where[:2], item.speaks_of(notes, place))
                more = [Written(own_sign(item, where, repairs, play), 0)]
            else:
                continue
            if has_note and octave is not None:
                yield beside_accents(with_dynamics(block, play.change))
                block, has_note = [], False
            block = [*told, *block, *more] if told else [*block, *more]
            has_note = has_note or isinstance(item, Note)
        yield beside_accents(with_dynamics(block, play.change))

    def _filled(
        self, written: Sequence[Written], bar: int, *, opens: bool, closes: bool
    ) -> list[Written]:
        """The bar with rests wherever nothing is played.

        Args:
            written: notes and signs with gaps between them.
            bar: index.
            opens: the section divides within the bar; until then there is nothing to see.
            closes: likewise from where it is one again.
        """
        filled: list[Written] = []
        end = 0
        length = self._frame.bars[bar].length
        kept = without_rests_by_gaps(written, length)
        before_gaps = rests_before_gaps(kept, length)
        for one in kept:
            if isinstance(one.item, Note):
                filled += self._gap(end, one.item.onset, bar, hidden=opens and end == 0)
                if id(one.item) in before_gaps:
                    end = one.item.onset
                    continue
                end = max(end, one.item.onset + one.item.length)
            filled.append(one)
        return filled + self._gap(end, length, bar, hidden=closes)

    def _gap(self, start: int, stop: int, bar: int, *, hidden: bool) -> list[Written]:
        if start >= stop:
            return []
        if hidden:
            return [Written(Passed.between(start, stop), 0)]
        return [Written(rest, 0) for rest in rests_held(start, stop, bar, self._frame)]


def rests_held(start: int, stop: int, bar: int, frame: Frame) -> list[Note]:
    """Rests for a stretch of a bar, with the fermatas that fall into it.

    Args:
        start: divisions from the start of the bar.
        stop: likewise.
        bar: index.
        frame: of the score.
    """
    framed, divisions = frame.bars[bar], frame.divisions
    rests = held(rests_between(start, stop, framed, divisions), framed, divisions)
    return [rest for rest in rests if isinstance(rest, Note)]


def voices_of(strands: Iterable[Plays]) -> Iterable[Voice]:
    """Every voice that strands play, once."""
    found = {id(play.voice): play.voice for plays in strands for bar in plays for play in bar}
    return found.values()


def _repaired(
    plays: Plays,
    frame: Frame,
    indexes: dict[int, VoiceIndex],
    joined: Collection[Place],
) -> Repairs:
    if is_whole(plays) and not joined:
        return Repairs()
    for voice in voices_of([plays]):
        if id(voice) not in indexes:
            indexes[id(voice)] = index_voice(voice, frame.double_bars)
    runs = runs_of(plays, lambda voice, bar: len(indexes[id(voice)].notes[bar]))
    repairs = repair(runs, indexes, joined)
    repairs.reminders = reminders(runs, plays, frame)
    return repairs


def _voice(play: Play) -> int:
    return id(play.voice)


def _in_order(block: Sequence[Written]) -> tuple[int, bool]:
    """By onset, grace notes before what they lead to."""
    notes = [one.item for one in block if isinstance(one.item, Note)]
    if notes:
        return notes[0].onset, notes[0].length > 0
    return (block[0].item.onset if block else 0), False
