"""What a score costs in memory: measured in a process of its own, and refused beforehand."""

import subprocess
import sys
from pathlib import Path

import pytest

from rewriter.problems import Refused
from rewriter.scores.cost import memory_of, require_memory
from rewriter.verbs.expand import expand
from tests.bad_input.cases import zipped
from tests.shorthand import sketch

MEASURE = """
import re, sys
from pathlib import Path
from rewriter.verbs.expand import expand
from rewriter.scores.score import read_score
def peak():  # what getrusage says begins with the size of whoever started the process
    return int(re.search(r"VmHWM:\\s+(\\d+) kB", Path("/proc/self/status").read_text())[1])
before = peak()
expand(sys.argv[1], sys.argv[2]) if sys.argv[2] else read_score(sys.argv[1])
print((peak() - before) * 1024)
"""
STEPS = "CDEFGAB"


def _dense(megabytes: float) -> bytes:
    """A tune of sixteenths of two octaves, hardly a bar like another, without indentation."""
    bars, size, number = [], 0, 0
    while size < megabytes * 2**20:
        number += 1
        notes = "".join(
            f"<note><pitch><step>{STEPS[(number * (at + 3) + at) % 7]}</step>"
            f"<octave>{4 + (number // 7 + at) % 2}</octave></pitch>"
            "<duration>1</duration><type>16th</type></note>"
            for at in range(16)
        )
        bars.append(f'<measure number="{number}">{FIRST * (number == 1)}{notes}</measure>')
        size += len(bars[-1])
    return f"{HEAD}{''.join(bars)}</part></score-partwise>".encode()


HEAD = (
    '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Tune</part-name>'
    '</score-part></part-list><part id="P1">'
)
FIRST = (
    "<attributes><divisions>4</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"
    "</attributes>"
)


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux tells the peak of one program")
@pytest.mark.parametrize(
    ("layout", "lines"), [("", 0), ("Vn I", 1), ("Vn I / Vn II + Vla / Vc / Db", 5)]
)
def test_the_cost_is_told_beforehand(tmp_path: Path, layout: str, lines: int) -> None:
    path = tmp_path / "dense.musicxml"
    path.write_bytes(_dense(4))
    run = [sys.executable, "-c", MEASURE, str(path), layout]
    took = int(subprocess.run(run, capture_output=True, check=True).stdout)  # noqa: S603 - ours
    told = memory_of(path.read_bytes(), lines)
    assert took * 0.9 < told < took * 1.8


def test_it_grows_with_tags_text_and_lines() -> None:
    assert memory_of(b"<a/>") > memory_of(b"abcd")
    assert memory_of(b"<a/>  ") > memory_of(b"<a/>")
    assert memory_of(b"<a/>", 2) - memory_of(b"<a/>", 1) == memory_of(b"<a/>", 1) - memory_of(
        b"<a/>"
    )


@pytest.mark.parametrize(
    ("data", "lines", "unpacked", "said"),
    [
        (
            b" " * (120 * 2**20),
            5,
            False,
            "this score of 120 MB would take about 2.3 GB of memory for 5 lines, more than the "
            "2 GB it may; split it into movements, or make 4 lines at a time",
        ),
        (
            b" " * (256 * 2**20),
            2,
            True,
            "this score of 256 MB when unpacked would take about 2.5 GB of memory for 2 lines, "
            "more than the 2 GB it may; split it into movements, or make 1 line at a time",
        ),
        (
            b"<" * (16 * 2**20),
            0,
            False,
            "this score of 16 MB would take about 2.5 GB of memory, more than the 2 GB it may; "
            "split it into movements",
        ),
    ],
)
def test_the_limit_says_what_it_costs(
    data: bytes, lines: int, *, unpacked: bool, said: str
) -> None:
    with pytest.raises(Refused) as caught:
        require_memory(data, lines, unpacked=unpacked)
    assert str(caught.value) == said


def test_what_fits_passes() -> None:
    require_memory(b" " * (80 * 2**20), 5)
    require_memory(b" " * (80 * 2**20))


@pytest.mark.parametrize("packed", [False, True])
def test_it_is_asked_before_a_sketch_is_parsed(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, *, packed: bool
) -> None:
    data = sketch("4/4 | C5w | D5w |")
    path = tmp_path / "lantern.mxl"
    path.write_bytes(zipped(("lantern.musicxml", data)) if packed else data)
    monkeypatch.setattr("rewriter.scores.cost.MOST_MEMORY", memory_of(data, 2))
    assert expand(path, "Vn I / Vla").score
    with pytest.raises(Refused) as caught:
        expand(path, "Vn I / Vla / Vc")
    assert str(caught.value).startswith(f"{path}: this score of 1 MB")
    assert str(caught.value).endswith("split it into movements, or make 2 lines at a time")
