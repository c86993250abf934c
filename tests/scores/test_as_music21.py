"""Whole scores, every part and voice, as we and as music21 read them."""

from collections import Counter
from fractions import Fraction
from pathlib import Path

import pytest

from rewriter.musicxml.opening import read_source
from rewriter.scores.reading import Reading
from rewriter.scores.score import read_score
from rewriter.scores.spans import spans_of
from tests.corpus.trying import pieces
from tests.outside.heard import heard_by_music21
from tests.outside.slurs import Slur, slurs_by_music21
from tests.outside.spans import spanner_faults
from tests.scores.test_voices import heard_by_reader

# Beside the project, where there are any: too large to be kept in it.
ORCHESTRA = Path(__file__).parents[3] / "shared" / "data" / "orchestra"
MOVEMENTS = ("Beethoven_Op.67_3.mxl", "Beethoven_Op.92_2.mxl", "Schubert_D.485_1.mxl")
EVERY = 26
CORPUS = pieces()[::EVERY]
NAMES = [path.name for path in CORPUS]


def orchestral(name: str) -> bytes:
    path = ORCHESTRA / name
    if not path.exists():
        pytest.skip("the orchestral movements are not on this machine")
    return read_source(path).data


def slurs_by_reader(data: bytes) -> Counter[Slur]:
    reading = Reading(read_score(data))
    found = Counter[Slur]()
    for part in range(len(reading.score.parts)):
        for span in spans_of(reading, part).paired:
            if span.start.kind == "slur":
                start, stop = (
                    (end.bar, Fraction(end.event.onset, reading.divisions)) for end in span
                )
                found[Slur(part, start, stop)] += 1
    return found


def unpaired(data: bytes) -> set[int]:
    """Parts in which a slur stays open or uses a number in use: nobody knows which is which."""
    return {
        part
        for part in range(len(read_score(data).parts))
        if any(" slur " in fault for fault in spanner_faults(data, part))
    }


def without(found: Counter[Slur], parts: set[int]) -> Counter[Slur]:
    return Counter({slur: count for slur, count in found.items() if slur.part not in parts})


def assert_heard_alike(data: bytes) -> None:
    for ours, theirs in zip(heard_by_reader(data), heard_by_music21(data), strict=True):
        assert Counter(ours) == Counter(theirs)


@pytest.mark.parametrize("path", CORPUS, ids=NAMES)
def test_every_note_of_the_corpus_sounds_alike(path: Path) -> None:
    assert_heard_alike(read_source(path).data)


# music21 says where dashes stop without having started, and goes on.
@pytest.mark.filterwarnings("ignore:Line <dashes>:Warning")
@pytest.mark.parametrize("name", MOVEMENTS)
def test_every_note_of_an_orchestra_sounds_alike(name: str) -> None:
    assert_heard_alike(orchestral(name))


def test_every_slur_of_an_orchestra_is_the_same() -> None:
    data = orchestral("Schubert_D.485_1.mxl")
    assert unpaired(data) == set()
    assert slurs_by_reader(data) == slurs_by_music21(data)


def test_every_slur_of_the_corpus_is_the_same() -> None:
    """Of the pieces that have slurs and a quartet, in all parts that leave no doubt."""
    compared = 0
    quartet = [path for path in pieces() if "mozart/k155" in path.as_posix()]
    for path in [*CORPUS, *quartet]:
        data = read_source(path).data
        if b"<slur " not in data:
            continue
        doubtful = unpaired(data)
        ours = without(slurs_by_reader(data), doubtful)
        assert ours == without(slurs_by_music21(data), doubtful), path.name
        compared += ours.total()
    assert compared > 300
