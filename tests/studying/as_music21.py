"""A tune's compass, tessitura and intervals as music21 has them: a second opinion."""

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

from music21 import analysis, chord, converter, harmony, note, stream

import rewriter
from rewriter.problems import Refused


class Opinion(NamedTuple):
    """What is said of a tune: MIDI numbers, pitch → quarters, semitones → times."""

    compass: tuple[int, int]
    lengths: dict[int, float]
    intervals: Counter[int]


class Both(NamedTuple):
    """A part of a piece, and what both say of it."""

    name: str
    ours: Opinion
    theirs: Opinion


def parts_of(path: Path) -> Iterator[Both]:
    """The parts of a piece with one voice of single notes, as both see them."""
    score = converter.parse(path).toSoundingPitch()
    ids = [part.id for part in score.parts]
    for part in score.parts:
        if ids.count(part.id) > 1 or not _is_one_line(part):
            continue
        name = str(part.partName or part.id)
        try:
            seen = rewriter.survey(path, tune=name)
        except Refused:  # two parts of one name, or something no tune can have
            continue
        yield Both(f"{path.name} {name}", _ours(seen), _theirs(part))


def _is_one_line(part: stream.Part) -> bool:
    """True for a part of pitched single notes in one voice that is all before our eyes."""
    if part.recurse().getElementsByClass(stream.Voice):
        return False
    notes = list(part.recurse().notes)
    plain = all(isinstance(one, note.Note) for one in notes)
    whole = all(float(one.pitch.midi) == one.pitch.ps for one in notes if plain)
    cues = any(getattr(one.style, "noteSize", None) == "cue" for one in notes)
    odd = any(isinstance(one, chord.Chord | harmony.Harmony) for one in notes)
    return bool(notes) and plain and whole and not cues and not odd


def _ours(seen: rewriter.Survey) -> Opinion:
    total = sum(each.time for each in seen.tessitura.pitches)
    return Opinion(
        (int(seen.lowest.midi), int(seen.highest.midi)),
        {
            int(each.midi): round(each.time / total, 6)
            for each in seen.tessitura.pitches
            if each.time
        },
        Counter({int(each.semitones): each.notes for each in seen.motion.intervals}),
    )


def _theirs(part: stream.Part) -> Opinion:
    lowest, highest = analysis.discrete.Ambitus().getPitchSpan(part)
    flat = part.stripTies().flatten()
    flat.removeByNotOfClass((note.Note, note.Rest))
    for one in [one for one in flat if one.duration.isGrace]:
        flat.remove(one)
    intervals: list[Any] = flat.melodicIntervals(skipRests=True, getOverlaps=True)
    lengths: Counter[int] = Counter()
    for one in flat.notes:
        lengths[one.pitch.midi] += float(one.quarterLength)
    total = sum(lengths.values())
    return Opinion(
        (lowest.midi, highest.midi),
        {midi: round(length / total, 6) for midi, length in sorted(lengths.items())},
        Counter(one.semitones for one in intervals),
    )
