"""A slice of the corpus, spliced in many ways; all of it: see ``tests.corpus.spliced``."""

import re
from pathlib import Path

import pytest

from rewriter.editing.edits import Edit
from rewriter.scores.score import Score, read_score
from tests.corpus import spliced
from tests.corpus.spliced import troubles_spliced
from tests.corpus.test_written_again import SLICE
from tests.corpus.trying import pieces

ORCHESTRA = Path(__file__).parents[3] / "shared" / "data" / "orchestra"


def _path(name: str) -> Path:
    return next(path for path in pieces() if path.as_posix().endswith(name))


@pytest.mark.parametrize("name", SLICE)
def test_everything_else_stays(name: str) -> None:
    assert list(troubles_spliced(_path(name))) == []


def test_everything_else_stays_in_an_orchestra() -> None:
    # OpenScore Orchestra, CC0 1.0 (repository MarkGotham/Hauptstimme).
    path = ORCHESTRA / "Beethoven_Op.67_3.mxl"
    if not path.exists():
        pytest.skip("the orchestral movements are not on this machine")
    assert list(troubles_spliced(path, by_others=False)) == []


@pytest.mark.parametrize(
    ("pattern", "instead", "kind"),
    [
        (rb"<octave>4</octave>", rb"<octave>6</octave>", "other music"),
        (rb"<words>spliced in</words>", rb"", "invalid"),
        (rb"<part-name>", rb"<part-name> ", "byte changed"),
        (rb"<words>spliced in</words>", rb"<words>elsewhere</words>", "signs elsewhere"),
    ],
)
def test_trouble_would_be_seen(
    monkeypatch: pytest.MonkeyPatch, pattern: bytes, instead: bytes, kind: str
) -> None:
    whole = spliced.edited

    def spoilt(score: Score, edits: list[Edit]) -> bytes:
        unzipped = read_score(whole(score, edits)).source
        return re.sub(pattern, instead, unzipped, count=1)

    monkeypatch.setattr(spliced, "edited", spoilt)
    found = troubles_spliced(_path("bach/bwv66.6.mxl"), by_others=False)
    assert kind in {one.kind for one in found}
