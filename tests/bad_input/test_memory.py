"""A score takes as much room as it has, whatever it says."""

import tracemalloc
from pathlib import Path

from rewriter.musicxml.opening import read_source
from tests.bad_input.cases import zipped
from tests.shorthand import sketch


def test_no_room_is_taken_for_the_largest_score_there_may_be(tmp_path: Path) -> None:
    """Asking a file for as many bytes as are read at the most takes room for them all."""
    score = sketch("4/4 | C5q D5 E5h |")
    for data in (score, zipped(("tune.xml", score))):
        path = tmp_path / "sketch.musicxml"
        path.write_bytes(data)
        tracemalloc.start()
        try:
            assert read_source(path).data == score
            most = tracemalloc.get_traced_memory()[1]
        finally:
            tracemalloc.stop()
        assert most < 4 * 2**20
