"""Signs that another register or another instrument makes untrue: harmonics, open strings.

A natural harmonic two octaves lower is none; ``sul G`` means nothing to a line that has left
the string. Such signs are left out where they are not true, and it is said. Pizzicato, arco,
tremolo and mutes are true in any register and stay.
"""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.placing.facts import SignsLeftOut
from rewriter.sketch.listening import notes_in
from rewriter.sketch.model import Note
from rewriter.theory.nodes import PARTIALS
from rewriter.theory.strings import named_strings

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping, Sequence

    from rewriter.placing.facts import Player
    from rewriter.placing.strands import Play
    from rewriter.rulefiles.ensembles import Section
    from rewriter.sketch.listening import Where
    from rewriter.sketch.model import Sign

_ARTIFICIAL_ABOVE: Final = 24
"""Semitones: the touched fourth sounds two octaves above the stopped note."""

_UP_A_STRING: Final = 14
"""Semitones: on the lower strings sections go to the octave or ninth above the open string
(Rimsky-Korsakov, Principles of Orchestration, 1922, ch. I, pp. 8-9)."""


class Untrue(NamedTuple):
    """A sign to leave out.

    Attributes:
        where: the note it is on, or speaks of.
        sign: ``harmonic``, ``open-string``, or the words on the string.
    """

    where: Where
    sign: str


def untrue_signs(section: Section, plays: Mapping[int, Play]) -> list[Untrue]:
    """Every sign of a line that its section cannot make true where it plays.

    Args:
        section: who plays it.
        plays: of the line, by bar.
    """
    found: list[Untrue] = []
    bars = sorted(plays)
    for bar in bars:
        play = plays[bar]
        octaves = play.per_note(bar)
        notes = notes_in(play.voice, bar)
        place = 0
        for item in play.voice.bars[bar].items:
            if isinstance(item, Note):
                octave = octaves[place]
                if octave is not None and item.pitch is not None:
                    pitch = item.pitch.midi + 12 * octave
                    found += _on_note(section, item, pitch, (bar, place))
                place += 1
            elif item.detail is not None and item.detail.string:
                spoken_of = item.speaks_of(notes, place)
                ahead = _next_pitch(plays, bars, bar, spoken_of)
                if ahead is not None and not _on_string(section, item, ahead):
                    found.append(Untrue((bar, spoken_of), item.detail.string))
    return found


def _on_note(section: Section, note: Note, pitch: float, where: Where) -> Iterator[Untrue]:
    for sign in note.shape.notations:
        closed = sign.tag == "open-string" and pitch not in section.strings
        if closed or (sign.tag == "harmonic" and not _is_harmonic(section, sign.says, pitch)):
            yield Untrue(where, sign.tag)


def _is_harmonic(section: Section, says: Collection[str], pitch: float) -> bool:
    if "artificial" in says:
        reached = pitch >= section.strings[0] + _ARTIFICIAL_ABOVE
        return reached or "sounding-pitch" not in says
    if "base-pitch" in says or "touching-pitch" in says:
        return pitch >= section.strings[0]
    return any(pitch - string in PARTIALS for string in section.strings)


def _next_pitch(
    plays: Mapping[int, Play], bars: Sequence[int], bar: int, place: int
) -> float | None:
    """What the line plays next from a note on, in this bar or in a later one."""
    for at in range(bisect_left(bars, bar), len(bars)):
        later = bars[at]
        play = plays[later]
        notes = list(zip(notes_in(play.voice, later), play.per_note(later), strict=True))
        for note, octave in notes[place if later == bar else 0 :]:
            if octave is not None and note.pitch is not None:
                return note.pitch.midi + 12 * octave
    return None


def _on_string(section: Section, sign: Sign, pitch: float) -> bool:
    strings = named_strings(sign.detail.string, section.strings) if sign.detail else []
    return any(string <= pitch <= string + _UP_A_STRING for string in strings)


def signs_left_out(player: Player, unsaid: Sequence[Untrue]) -> Iterator[SignsLeftOut]:
    """Each kind of sign left out of a line, at its first place.

    Args:
        player: whose line it is.
        unsaid: the signs it does not say.
    """
    for kind in dict.fromkeys(one.sign for one in unsaid):
        ones = [one for one in unsaid if one.sign == kind]
        yield SignsLeftOut(player, kind, ones[0].where, len(ones))
