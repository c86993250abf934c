"""The reader of any score against music21: each note of all parts, slurs, dynamics, words."""

import re
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any, NamedTuple

from lxml import etree

from rewriter.problems import Refused
from rewriter.scores.directions import read_direction_form
from rewriter.scores.events import EventReader, common_divisions
from rewriter.scores.reading import Reading
from rewriter.scores.score import Score, read_score
from rewriter.scores.spans import spans_of
from tests.corpus.trying import Trouble


class Written(NamedTuple):
    """A note as it is written: place in quarters from its bar, pitch, ties."""

    part: int
    bar: int
    onset: Fraction
    length: Fraction
    pitch: str
    ties: str


# music21 makes signs of their own of these, sometimes of the words and the sound both.
JUMP = re.compile(
    r"fine\.?|d\.? ?[cs]\.?.*|da capo.*|dal segno.*|(to |al )?coda", re.IGNORECASE
)


class Mark(NamedTuple):
    """What stands beside the notes: how often is counted, not where."""

    part: int
    kind: str
    said: str


Read = Counter[Written | Mark]


def read_by_us(data: bytes) -> Read:
    """Every pitched note of every part, every slur, dynamic and word."""
    score = read_score(data)
    divisions = common_divisions(score.parts)
    found: Read = Counter(_marks(Reading(score)))
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


def _marks(reading: Reading) -> Iterator[Mark]:
    for part in range(len(reading.score.parts)):
        spans = spans_of(reading, part)
        # Where one stays open, which two ends belong together is anybody's guess.
        if not any(end.kind == "slur" for end in (*spans.open, *spans.crossed)):
            yield from (
                Mark(part, "slur", "") for span in spans.paired if span.start.kind == "slur"
            )
        else:
            yield Mark(part, "open slur", "")
        for bar in reading.bars(part):
            for event in bar.events:
                if event.tag == "direction":
                    for sign in read_direction_form(event.data).signs:
                        if sign.tag in {"dynamics", "words"} and not JUMP.fullmatch(sign.text):
                            yield Mark(part, sign.tag, sign.text)


def read_by_music21(data: bytes) -> Read:
    """The same as music21 reads them; staves of one part are put together again."""
    from music21 import converter, stream

    score = converter.parseData(_in_utf_8(read_score(data)), format="musicxml")
    names: list[str] = []
    found: Read = Counter()
    for order, part in enumerate(score.parts):
        is_staff = isinstance(part, stream.PartStaff)
        name = re.sub(r"-Staff\d+$", "", str(part.id)) if is_staff else f"{order}"
        if name not in names:
            names.append(name)
        for bar, measure in enumerate(part.getElementsByClass(stream.Measure)):
            found.update(_of_measure(measure, names.index(name), bar))
        found.update(_marks_of(part, names.index(name)))
    return found


def _in_utf_8(score: Score) -> bytes:
    """The score as music21 can open it."""
    text: bytes = etree.tostring(etree.fromstring(score.source), encoding="UTF-8")
    return text


def _marks_of(part: Any, number: int) -> Iterator[Mark]:
    from music21 import dynamics, expressions, spanner, tempo

    for one in part.recurse():
        match one:
            case spanner.Slur():
                yield Mark(number, "slur", "")
            case dynamics.Dynamic():
                yield Mark(number, "dynamics", one.value)
            case expressions.TextExpression():
                said = one.content.strip()
                if not JUMP.fullmatch(said):
                    yield Mark(number, "words", said)
            case tempo.TempoText():
                yield Mark(number, "words", one.text.strip())


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
    """What only one of the two readers has."""
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
    for one in [one for one in ours if isinstance(one, Mark) and one.kind == "open slur"]:
        del ours[one], theirs[Mark(one.part, "slur", "")]
    for kind, some in (("only ours", ours - theirs), ("only music21's", theirs - ours)):
        yield from (Trouble(kind, path.name, str(tuple(one))) for one in some.elements())
