"""Work spread over processes: one that dies takes nothing else along, and none outlives it."""

import multiprocessing
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from rewriter.cli import memory
from rewriter.cli.workers import AHEAD, ended_in_order, spread
from rewriter.scores.cost import MOST_MEMORY, memory_of

ROOM = 2**40
SCORES = Path(__file__).parents[2] / "scores"


def doubled(number: int) -> int:
    if number == 3:
        os.kill(os.getpid(), signal.SIGKILL)
    if number == 4:
        raise ValueError("four")
    return 2 * number


def when(seconds: float) -> tuple[float, float]:
    begun = time.monotonic()
    time.sleep(seconds)
    return begun, time.monotonic()


def where(_: int) -> int:
    return os.getpid()


def many(pieces: list[int], workers: int = 2, most: int = ROOM) -> list[int | None]:
    return list(spread(doubled, pieces, workers, costs=[1] * len(pieces), most=most))


@pytest.mark.parametrize("workers", [1, 2, 5])
@pytest.mark.parametrize("pieces", [[], [1], [3], [3, 1, 3, 3, 2, 5, 3], list(range(5, 40))])
def test_results_are_in_order_and_only_those_of_the_dead_are_missing(
    pieces: list[int], workers: int
) -> None:
    assert many(pieces, workers) == [None if one == 3 else 2 * one for one in pieces]
    assert multiprocessing.active_children() == []


def test_a_fault_of_the_tool_is_raised_and_no_process_is_left() -> None:
    with pytest.raises(ValueError, match="four"):
        many([1, 2, 4, 5, 6])
    assert multiprocessing.active_children() == []


def test_who_stops_listening_ends_them() -> None:
    results = spread(doubled, [1, 2, 5, 6], 2, costs=[1] * 4, most=ROOM)
    assert next(results) == 2
    results.close()
    assert multiprocessing.active_children() == []


def test_no_shared_memory_is_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("_multiprocessing.SemLock", refuse)
    assert many([1, 3, 2]) == [2, None, 4]


@pytest.mark.parametrize("started", [0, 1])
def test_where_no_process_can_be_started_the_work_is_done_here(
    started: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    start = multiprocessing.Process.start
    number = 0

    def few(process: multiprocessing.Process) -> None:
        nonlocal number
        number += 1
        if number > started:
            raise BlockingIOError(11, "Resource temporarily unavailable")
        start(process)

    monkeypatch.setattr(multiprocessing.Process, "start", few)
    pids = list(spread(where, [1, 2, 5], 3, costs=[1] * 3, most=ROOM))
    assert len(set(pids)) == 1
    assert (os.getpid() in pids) == (started == 0)


@pytest.mark.parametrize(("cost", "together"), [(1, True), (60, False), (900, False)])
def test_what_does_not_fit_into_memory_together_waits(cost: int, together: bool) -> None:  # noqa: FBT001
    (_, first_ended), (second_begun, _) = spread(
        when, [0.5, 0.0], 2, costs=[cost, cost], most=100
    )
    assert (second_begun < first_ended) == together


def test_the_largest_of_the_next_pieces_is_begun_first() -> None:
    """Results come in order all the same."""
    told = list(spread(when, [0.0] * 4, 1, costs=[2, 1, 9, 9], most=ROOM))
    begun = sorted(range(4), key=lambda place: told[place] or (0, 0))
    assert begun == [2, 3, 0, 1]


def test_the_largest_is_alone_and_what_fits_together_follows() -> None:
    told = list(spread(when, [0.5, 0.0, 0.0], 2, costs=[50, 90, 40], most=100))
    (first, large, small) = (one or (0, 0) for one in told)
    assert large[1] <= min(first[0], small[0])
    assert small[0] < first[1]


def waits_for_others(piece: tuple[Path, int]) -> int:
    """The first piece waits until all that may be begun before it is told have been."""
    folder, place = piece
    (folder / str(place)).touch()
    if place == 0:
        while len([*folder.iterdir()]) < 2 * AHEAD:
            time.sleep(0.01)
        time.sleep(0.3)
    return len([*folder.iterdir()])


def test_results_never_pile_up(tmp_path: Path) -> None:
    pieces = [(tmp_path, place) for place in range(3 * AHEAD)]
    told = list(spread(waits_for_others, pieces, 2, costs=[1] * len(pieces), most=ROOM))
    assert told[0] == 2 * AHEAD


@pytest.mark.parametrize("score", sorted(SCORES.glob("*.musicxml")), ids=lambda path: path.stem)
def test_the_cost_told_by_the_size_is_no_less_than_that_told_by_the_music(
    score: Path, tmp_path: Path
) -> None:
    bare = re.sub(rb">\s+<", b"><", score.read_bytes())
    plain, packed = tmp_path / "a.musicxml", tmp_path / "a.mxl"
    for path in (plain, packed):
        path.write_bytes(bare)
    nothing = memory.taken_by(tmp_path / "none.xml")
    assert memory_of(bare, 5) <= memory.taken_by(plain) - nothing <= 2 * memory_of(bare, 5)
    assert memory.taken_by(packed) > memory.taken_by(plain)


def test_no_sketch_is_counted_for_more_than_any_may_take(tmp_path: Path) -> None:
    path = tmp_path / "a.mxl"
    path.write_bytes(b"")
    os.truncate(path, 2**40)
    nothing = memory.taken_by(tmp_path / "none.xml")
    assert memory.taken_by(path) - nothing == MOST_MEMORY


@pytest.mark.parametrize(
    ("files", "bytes_"),
    [
        ({"meminfo": "MemTotal: 9 kB\nMemAvailable:   1000 kB\n"}, 819_200),
        ({"meminfo": "MemAvailable: 1000 kB", "memory.max": "max\n"}, 819_200),
        (
            {"meminfo": "MemAvailable: 9 kB", "memory.max": "900", "memory.current": "400"},
            400,
        ),
    ],
)
def test_memory_is_what_the_system_and_the_group_leave(
    files: dict[str, str], bytes_: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, text in files.items():
        (tmp_path / name).write_text(text)
    monkeypatch.setattr(memory, "_SYSTEM", tmp_path / "meminfo")
    monkeypatch.setattr(memory, "_GROUP", tmp_path)
    assert memory.there_is() == bytes_
    (tmp_path / "meminfo").unlink()
    assert memory.there_is() > 0


SLEEPERS = """\
import os, sys, time
from pathlib import Path
from rewriter.cli.workers import ended_in_order, spread
from rewriter.scores.cost import MOST_MEMORY, memory_of
def work(number):
    Path(f"pid-{number}").write_text("")
    os.rename(f"pid-{number}", f"{os.getpid()}.pid")
    time.sleep(60)
with ended_in_order():
    list(spread(work, [1, 2], 2, costs=[1, 1], most=9))
"""


@pytest.mark.parametrize(("name", "status"), [("SIGTERM", 143), ("SIGHUP", 129)])
def test_a_signal_ends_the_workers_too(name: str, status: int, tmp_path: Path) -> None:
    process = subprocess.Popen([sys.executable, "-c", SLEEPERS], cwd=tmp_path)  # noqa: S603 - the tests' own script
    while len(pids := [int(path.stem) for path in tmp_path.glob("*.pid")]) < 2:
        assert process.poll() is None
        time.sleep(0.02)
    process.send_signal(getattr(signal, name))
    assert process.wait(timeout=30) == status
    for pid in pids:
        with pytest.raises(ProcessLookupError):
            os.kill(pid, 0)


def test_a_hangup_that_is_ignored_stays_so() -> None:
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)  # as nohup has it
    try:
        with ended_in_order():
            assert signal.getsignal(signal.SIGHUP) is signal.SIG_IGN
            assert signal.getsignal(signal.SIGTERM) is not signal.SIG_DFL
        assert signal.getsignal(signal.SIGTERM) is signal.SIG_DFL
    finally:
        signal.signal(signal.SIGHUP, before)
