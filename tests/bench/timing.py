"""Timing that compares: every round runs everything once, and medians are compared."""

import ctypes
import gc
import os
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage
from statistics import median
from time import perf_counter, process_time
from typing import NamedTuple


class Row(NamedTuple):
    """One line of a table.

    Attributes:
        what: was measured.
        value: in `unit`.
        unit: ``floors``, ``times``, ``ms`` or ``MB``.
        aim: what it should be, as words; empty where there is no aim.
        met: True when it is; None where there is no aim.
        note: what is worth knowing beside it.
    """

    what: str
    value: float
    unit: str
    aim: str = ""
    met: bool | None = None
    note: str = ""


def at_most(what: str, value: float, unit: str, aim: float, note: str = "") -> Row:
    """A row whose value should not be larger."""
    return Row(what, value, unit, f"at most {aim:g}", value <= aim, note)


def at_least(what: str, value: float, unit: str, aim: float, note: str = "") -> Row:
    """A row whose value should not be smaller."""
    return Row(what, value, unit, f"at least {aim:g}", value >= aim, note)


class Spent(NamedTuple):
    """Median seconds: by the clock on the wall, and by the processor, ended children too."""

    wall: float
    processor: float


def interleaved(work: Mapping[str, Callable[[], object]], rounds: int) -> dict[str, Spent]:
    """What each takes; the first round, which fills caches, does not count."""
    times: dict[str, list[Spent]] = {name: [] for name in work}
    for _ in range(rounds + 1):
        for name, call in work.items():
            gc.collect()  # nobody pays for the garbage of the one before
            trim_heap()
            start, busy = perf_counter(), _busy()
            call()
            times[name].append(Spent(perf_counter() - start, _busy() - busy))
    return {
        name: Spent(*(median(values) for values in zip(*spent[1:], strict=True)))
        for name, spent in times.items()
    }


def _busy() -> float:
    """Seconds of the processor for this process and those it has waited for."""
    children = getrusage(RUSAGE_CHILDREN)
    return process_time() + children.ru_utime + children.ru_stime


def trim_heap() -> None:
    """Give back what was freed, so that no call works in the room another has cleared."""
    with suppress(OSError, AttributeError):  # where the C library cannot
        ctypes.CDLL(None).malloc_trim(0)


def environment(cache: Path) -> dict[str, str]:
    """For a process of its own, with compiled modules kept in a folder, as users have them."""
    kept = {key: text for key, text in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPYCACHEPREFIX": str(cache)}


def run(arguments: Sequence[str], cache: Path) -> str:
    """What a Python process of its own prints."""
    done = subprocess.run(  # noqa: S603 - our own commands
        [sys.executable, *arguments],
        env=environment(cache),
        check=True,
        capture_output=True,
        text=True,
    )
    return done.stdout
