"""A part as the score has it against the part on the stand, as music.

Left aside is what is the part's own affair: cue notes and the names above them, page and
heading, beams, courtesy accidentals, numbers of voices; and how high a part is written, as
long as it sounds as the score does.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from rewriter.comparing.comparison import Sides, transposes
from rewriter.comparing.contents import UNMOVED, contents
from rewriter.comparing.difference import PartPair
from rewriter.scores.events import common_divisions
from rewriter.theory.fifths import Interval

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from rewriter.comparing.comparison import Comparison
    from rewriter.comparing.contents import Contents
    from rewriter.comparing.things import Bar, Thing
    from rewriter.scores.score import Score

OF_THE_NOTES: Final = frozenset(
    ("note", "pitch", "length", "tie", "tuplet", "grace", "hidden", "bar")
)
"""Kinds of differences that make a part say other notes than the score."""

_OWN_AFFAIR: Final = frozenset(
    ("accidental", "beam", "creator", "cue", "ensemble", "instrument sound", "part",
     "part name", "short name", "title", "transposition", "voice")
)  # fmt: skip
_OCTAVE: Final = Interval(7, 12)
_OCTAVE_DOWN: Final = Interval(-7, -12)


def part_compared(
    wanted: Score, given: Score, cued_by: Collection[str], *, octaves: bool
) -> Comparison:
    """What a part says otherwise than the score.

    Args:
        wanted: the part as it would be made of the score now.
        given: the part on the stand; it has one part.
        cued_by: names of those who may stand above cue notes.
        octaves: it may be written, and read, an octave higher or lower throughout, as basses
            are whose transposition a program does not say.

    Returns:
        Differences that count, `a` the score; those of kinds the part has nowhere apart.

    Raises:
        ValueError: their lengths have no common division that music needs.
    """
    divisions = common_divisions((*wanted.parts, *given.parts))

    def compared(by: Interval = UNMOVED, *, as_written: bool = False) -> Comparison:
        a, b = (
            _without_cues(contents(part, divisions, move, as_written=as_written), cued_by)
            for part, move in ((wanted.parts[0], by), (given.parts[0], UNMOVED))
        )
        if octaves:
            a, b = _in_any_octave(a), _in_any_octave(b)
        return _counting(_laid_side_by_side(wanted, given, divisions, a, b))

    best = compared()
    ways: list[dict[str, Any]] = []
    if transposes(wanted) != transposes(given):  # lost by a program, which left what is written
        ways.append({"as_written": True})
    if octaves:
        ways += [{"by": _OCTAVE}, {"by": _OCTAVE_DOWN}]
    for way in ways:
        if not _notes_in(best):
            break
        best = min(best, compared(**way), key=_notes_in)
    return best


def _laid_side_by_side(
    wanted: Score, given: Score, divisions: int, a: Contents, b: Contents
) -> Comparison:
    sides = Sides(wanted, given, [PartPair(0, 0)], divisions, [a], [b])
    return sides.compared(_in_step(a.bars, b.bars))


def _in_step(a: Sequence[Bar], b: Sequence[Bar]) -> dict[int, int]:
    """Which bar is which: from the beginning, and where there are fewer or more, the end."""
    same = min(len(a), len(b))
    if len(a) == len(b):
        return {bar: bar for bar in range(same)}
    sounds = [[_sounds(bar) for bar in bars] for bars in (a, b)]
    first = next((n for n in range(same) if sounds[0][n] != sounds[1][n]), same)
    from_end = (n for n in range(same - first) if sounds[0][-1 - n] != sounds[1][-1 - n])
    last = next(from_end, same - first)
    between = range(first, same - last)
    bars = {bar: bar for bar in (*range(first), *between)}
    return bars | {len(a) - n: len(b) - n for n in range(last, 0, -1)}


def _sounds(bar: Bar) -> list[tuple[int, str, int]]:
    return sorted((note.thing.at.onset, note.thing.what, note.length) for note in bar.notes)


def _without_cues(read: Contents, cued_by: Collection[str]) -> Contents:
    return read._replace(
        heading=[], bars=[_bar_without_cues(bar, cued_by) for bar in read.bars]
    )


def _bar_without_cues(bar: Bar, cued_by: Collection[str]) -> Bar:
    cues = {note.thing.place for note in bar.notes if "cue" in note.says}
    things = [
        one
        for one in bar.things
        if one.place not in cues
        and one.kind not in _OWN_AFFAIR
        and not (cues and one.kind == "words" and _names(one.what, cued_by))
    ]
    notes = [note for note in bar.notes if "cue" not in note.says]
    return bar._replace(notes=notes, things=things)


def _names(words: str, cued_by: Collection[str]) -> bool:
    return any(words == name or words.startswith(f"{name} ") for name in cued_by)


def _in_any_octave(read: Contents) -> Contents:
    """Clefs without the octave above or below them, which says what a transposition may say."""
    bars = [bar._replace(things=[*map(_clef_alone, bar.things)]) for bar in read.bars]
    return read._replace(bars=bars)


def _clef_alone(thing: Thing) -> Thing:
    if thing.kind != "clef":
        return thing
    return thing._replace(what=thing.what.partition(" ")[0])


def _counting(found: Comparison) -> Comparison:
    """A comparison with what counts alone, and no marks of notes that are astray."""
    gone = [one for one in found.gone if one.kind not in _OWN_AFFAIR]
    differences = [one for one in found.differences if one.kind not in _OWN_AFFAIR]
    astray = {one.at for one in differences if one.kind == "note"}
    kept = [one for one in differences if one.kind in OF_THE_NOTES or one.at not in astray]
    return found._replace(differences=kept, gone=gone)


def _notes_in(found: Comparison) -> int:
    return sum(one.kind in OF_THE_NOTES for one in found.all)
