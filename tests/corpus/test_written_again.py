"""A slice of the corpus, bars written again; all of it: see ``tests.corpus.written_again``."""

import re
from pathlib import Path

import pytest

from rewriter.scores.score import Score
from tests.corpus import written_again
from tests.corpus.trying import pieces
from tests.corpus.written_again import troubles_again

# By the end of the path; what each is here for.
SLICE = {
    "bach/bwv66.6.mxl": "a chorale: upbeat, fermatas",
    "mozart/k155/movement2.mxl": "a quartet movement: slurs, grace notes, dynamics",
    "schoenberg/opus19/movement2.mxl": "piano: two staves, voices, chords",
    "leadSheet/berlinAlexandersRagtime.mxl": "a lead sheet: chord symbols, lyrics",
}


def _path(name: str) -> Path:
    return next(path for path in pieces() if path.as_posix().endswith(name))


@pytest.mark.parametrize("name", SLICE)
def test_a_bar_written_again_is_the_same_music(name: str) -> None:
    assert list(troubles_again(_path(name))) == []


@pytest.mark.parametrize(
    ("pattern", "instead", "kind"),
    [
        (rb"<octave>4</octave>", rb"<octave>6</octave>", "other music"),
        (rb"<duration>\d+</duration>", rb"", "invalid"),
        (rb"<part-name>", rb"<part-name> ", "byte changed"),
    ],
)
def test_trouble_would_be_seen(
    monkeypatch: pytest.MonkeyPatch, pattern: bytes, instead: bytes, kind: str
) -> None:
    whole = written_again.again

    def spoilt(score: Score) -> bytes:
        return re.sub(pattern, instead, whole(score), count=1)

    monkeypatch.setattr(written_again, "again", spoilt)
    found = troubles_again(_path("bach/bwv66.6.mxl"), by_music21=False)
    assert kind in {one.kind for one in found}
