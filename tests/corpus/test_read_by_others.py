"""A slice of the corpus and an orchestral movement, as we and as music21 read them."""

import re
from pathlib import Path

import pytest

from tests.corpus import read_by_others
from tests.corpus.read_by_others import reader_troubles
from tests.corpus.test_slice import SLICE
from tests.corpus.trying import pieces

# Beside the project, where there are any: too large to be kept in it.
ORCHESTRA = Path(__file__).parents[3] / "shared" / "data" / "orchestra"


def _path(name: str) -> Path:
    return next(path for path in pieces() if path.as_posix().endswith(name))


@pytest.mark.parametrize("name", SLICE)
def test_every_note_is_where_music21_has_it(name: str) -> None:
    assert list(reader_troubles(_path(name))) == []


def test_every_note_of_an_orchestra() -> None:
    path = next(iter(sorted(ORCHESTRA.glob("Schubert*_1.mxl"))), None)
    if path is None:
        pytest.skip("the orchestral movements are not on this machine")
    assert list(reader_troubles(path)) == []


def test_a_note_misread_would_be_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    path = _path("bach/bwv66.6.mxl")
    read = read_by_others.read_by_us
    spoilt = re.sub(rb"<octave>4</octave>", rb"<octave>6</octave>",
                    read_by_others.read_score(path.read_bytes()).source, count=1)  # fmt: skip
    monkeypatch.setattr(read_by_others, "read_by_us", lambda _: read(spoilt))
    assert {one.kind for one in reader_troubles(path)} == {"only ours", "only music21's"}
