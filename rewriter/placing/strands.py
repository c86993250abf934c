"""A strand: what one line of a section plays in each bar, and where it stops or starts.

Plans, handovers, divisions and limits all come down to this: for every bar, a voice of the
sketch at some octave, whole or note by note, or rest. Writing a part looks at nothing else.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.sketch.model import Note

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.sketch.model import Voice


class Play(NamedTuple):
    """What a strand plays in a bar.

    Attributes:
        voice: of the sketch.
        octave: whole octaves from the voice's sounding pitch.
        octaves: where the bar is not played as a whole, the octave of each note of the voice
            in it (rests and grace notes included), None where the strand rests.
    """

    voice: Voice
    octave: int
    octaves: tuple[int | None, ...] | None = None

    def sounds_at(self, place: int) -> bool:
        """True when the note at a place (from 0, -1 for the last) is played."""
        return self.octaves is None or (bool(self.octaves) and self.octaves[place] is not None)

    @property
    def silent(self) -> bool:
        """True when no note of the bar is played."""
        return self.octaves is not None and all(octave is None for octave in self.octaves)


class Strand(NamedTuple):
    """One line of a section over the whole score.

    Attributes:
        plays: one entry a bar, None where it rests.
        dynamics: by index of the bar, how its dynamics differ from the sketch's: steps, or a
            mark of its own; empty for as they stand.
    """

    plays: list[Play | None]
    dynamics: dict[int, str]


class Run(NamedTuple):
    """Notes that follow each other without a break, as (bar, place among the notes).

    Attributes:
        voice: they belong to.
        first: first note.
        last: last note.
    """

    voice: Voice
    first: tuple[int, int]
    last: tuple[int, int]


def note_counts(voice: Voice) -> list[int]:
    """How many notes each bar of a voice has, rests and grace notes included."""
    return [sum(isinstance(item, Note) for item in bar.items) for bar in voice.bars]


def runs_of(plays: Sequence[Play | None]) -> list[Run]:
    """The runs of a strand, in order; a change of voice begins a new one.

    A strand of one voice from end to end is one run, found without looking at its notes.
    """
    runs: list[Run] = []
    first: tuple[int, int] | None = None
    last = (0, 0)
    voice: Voice | None = None
    for bar, play in enumerate(plays):
        if (
            voice is not None
            and first is not None
            and (play is None or play.voice is not voice)
        ):
            runs.append(Run(voice, first, last))
            first = None
        voice = play.voice if play else None
        if play is None:
            continue
        for begin, end, closed in _stretches(play, bar):
            if first is None:
                first = (bar, begin)
            elif begin > 0 and last != (bar, begin - 1):
                runs.append(Run(play.voice, first, last))
                first = (bar, begin)
            last = (bar, end)
            if closed:
                runs.append(Run(play.voice, first, last))
                first = None
    if voice is not None and first is not None:
        runs.append(Run(voice, first, last))
    return runs


def _stretches(play: Play, bar: int) -> Iterator[tuple[int, int, bool]]:
    """First and last place of each stretch played in a bar, and whether it ends inside it."""
    if play.octaves is None:
        count = sum(isinstance(item, Note) for item in play.voice.bars[bar].items)
        yield 0, count - 1, False
        return
    begin: int | None = None
    for place, octave in enumerate(play.octaves):
        if octave is not None and begin is None:
            begin = place
        elif octave is None and begin is not None:
            yield begin, place - 1, True
            begin = None
    if begin is not None:
        yield begin, len(play.octaves) - 1, False
