"""The library call against the same expansion written as a script for music21."""

from collections.abc import Iterator
from copy import deepcopy

import rewriter
from tests.bench.movements import LAYOUT, first_violin
from tests.bench.timing import Row, at_least, interleaved

NAMES = ("mozart/k156/movement4", "haydn/opus1no1/movement1", "haydn/opus74no1/movement2")
OCTAVES = (("Violin I", 0), ("Violin II", -1), ("Viola", -1), ("Violoncello", -2))
AIM = 100.0


def rows(rounds: int) -> Iterator[Row]:
    """How many times faster, the movements short, as the script is slow."""
    for name in NAMES:
        movement = first_violin(name)
        seconds = interleaved(
            {
                "script": lambda data=movement.data: scripted(data),
                "ours": lambda data=movement.data: rewriter.expand(data, LAYOUT).score,
            },
            rounds,
        )
        ratio = seconds["script"].wall / seconds["ours"].wall
        yield at_least(f"{name}, first violin", ratio, "times", AIM, f"{movement.bars} bars")


def scripted(data: bytes) -> bytes:
    """Parse, copy and transpose by octaves, put the parts together, write MusicXML."""
    from music21 import converter, instrument, interval, note, stream
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    tune = converter.parse(data, format="musicxml").parts[0]
    score = stream.Score()
    for name, octaves in OCTAVES:
        part = deepcopy(tune)
        if octaves:
            part.transpose(interval.Interval(12 * octaves), inPlace=True)
        part.partName = name
        part.insert(0, instrument.fromString(name))
        score.insert(0, part)
    basses = stream.Part(id="Contrabass")
    for measure in tune.getElementsByClass(stream.Measure):
        resting = stream.Measure(number=measure.number)
        resting.append(note.Rest(quarterLength=measure.barDuration.quarterLength))
        basses.append(resting)
    score.insert(0, basses)
    return GeneralObjectExporter(score).parse()
