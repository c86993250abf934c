"""Parts of music21's corpus as music21 sees them; 200 with ``python -m tests.studying``."""

import pytest

from tests.corpus.trying import pieces
from tests.studying.as_music21 import parts_of

SLICE = {  # by the end of the path, how many parts at least can be compared
    "bach/bwv66.6.mxl": 4,
    "mozart/k155/movement2.mxl": 1,
    "monteverdi/madrigal.3.1.mxl": 2,
}


@pytest.mark.parametrize("name", SLICE)
def test_compass_tessitura_and_intervals_are_what_music21_finds(name: str) -> None:
    path = next(path for path in pieces() if path.as_posix().endswith(name))
    found = list(parts_of(path))
    assert len(found) >= SLICE[name]
    for both in found:
        assert both.ours == both.theirs, both.name
