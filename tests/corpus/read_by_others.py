"""The reader of any score against music21, all parts and voices, note by note."""

import re
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any, NamedTuple

from rewriter.problems import Refused
from rewriter.scores.events import EventReader, common_divisions
from rewriter.scores.score import read_score
from tests.corpus.trying import Trouble


class Written(NamedTuple):
    """A note as it is written: place in quarters from its bar, pitch, ties."""

    part: int
    bar: int
    onset: Fraction
    length: Fraction
    pitch: str
    ties: str


def read_by_us(data: bytes) -> Counter[Written]:
    """Every pitched note of every part."""
    score = read_score(data)
    divisions = common_divisions(score.parts)
    found = Counter[Written]()
    for number, part in enumerate(score.parts):
        for bar, events in enumerate(EventReader(part, divisions).bars()):
            for event in events.events:
                if event.form is None or event.pitch is None:
                    continue
                step, alter, octave = event.pitch
                at, length = Fraction(event.onset, divisions), Fraction(event.length, divisions)
                ends = (event.form.starts_tie, "start"), (event.form.stops_tie, "stop")
                ties = " ".join(name for said, name in ends if said)
                pitch = f"{step}{float(alter or 0):+g}{octave}"
                found[Written(number, bar, at, length, pitch, ties)] += 1
    return found


def read_by_music21(data: bytes) -> Counter[Written]:
    """The same as music21 reads them; staves of one part are put together again."""
    from music21 import converter, stream

    score = converter.parseData(read_score(data).source, format="musicxml")
    names: list[str] = []
    found = Counter[Written]()
    for order, part in enumerate(score.parts):
        is_staff = isinstance(part, stream.PartStaff)
        name = re.sub(r"-Staff\d+$", "", str(part.id)) if is_staff else f"{order}"
        if name not in names:
            names.append(name)
        for bar, measure in enumerate(part.getElementsByClass(stream.Measure)):
            found.update(_of_measure(measure, names.index(name), bar))
    return found


def _of_measure(measure: Any, part: int, bar: int) -> Iterator[Written]:
    from music21 import chord, harmony, note

    for one in measure.flatten().notes:
        if isinstance(one, harmony.Harmony):
            continue
        for head in one.notes if isinstance(one, chord.Chord) else (one,):
            if not isinstance(head, note.Note):
                continue
            kind = head.tie.type if head.tie else ""
            ties = {"continue": "start stop", "let-ring": ""}.get(kind, kind)
            pitch = f"{head.pitch.step}{head.pitch.alter:+g}{head.pitch.octave}"
            at, length = (
                Fraction(value).limit_denominator(5000)
                for value in (one.offset, 0 if one.duration.isGrace else one.quarterLength)
            )
            yield Written(part, bar, at, length, pitch, ties)


def reader_troubles(path: Path) -> Iterator[Trouble]:
    """Notes that only one of the two readers has."""
    data = path.read_bytes()
    try:
        ours = read_by_us(data)
    except Refused as refused:
        yield Trouble("refused", path.name, str(refused))
        return
    try:
        theirs = read_by_music21(data)
    except Exception as stopped:  # noqa: BLE001 - it stops at much that is allowed
        yield Trouble("music21 stops", path.name, repr(stopped)[:100])
        return
    for kind, some in (("only ours", ours - theirs), ("only music21's", theirs - ours)):
        yield from (Trouble(kind, path.name, str(tuple(one))) for one in some.elements())
