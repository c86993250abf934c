"""Time and memory of sketches from 32 bars to 10,000: both are to grow with the bars.

One is a tune as it is; the other says something in every bar, since what is slow with many
signs does not show without them.
"""

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any

from tests.bench.movements import LAYOUT, full_of_signs, repeated
from tests.bench.timing import Row, at_most, run

BARS = (32, 300, 3000, 10000)
MOST_LONGER = 1.25
"""Seconds per bar of the longest sketch for those of the second; 1 is linear."""
INPUTS, OUTPUTS = 18, 3
"""Peak memory in sizes of the input and of the output, added."""

# Peak memory belongs to a whole process, and lxml's part of it only the system sees. Linux
# hands a parent's ru_maxrss on to its children, so there the process's own figure is read.
_CHILD = """
import json, pathlib, re, resource, sys, time
import rewriter

def peak():
    status = pathlib.Path("/proc/self/status")
    if status.exists():
        return 1024 * int(re.search(r"VmHWM:\\s+(\\d+) kB", status.read_text())[1])
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss

rewriter.expand(pathlib.Path(sys.argv[1]).read_bytes(), sys.argv[3])
before = peak()
data = pathlib.Path(sys.argv[2]).read_bytes()
start = time.perf_counter()
score = rewriter.expand(data, sys.argv[3]).score
seconds = time.perf_counter() - start
print(json.dumps({"seconds": seconds, "more": peak() - before,
                  "input": len(data), "output": len(score)}))
"""


def rows(rounds: int) -> Iterator[Row]:
    """Microseconds and bytes per bar, and what they are compared with."""
    for name, make in (("", repeated), ("full of signs, ", full_of_signs)):
        yield from _growth(name, make, rounds)


def _growth(name: str, make: Callable[[int], bytes], rounds: int) -> Iterator[Row]:
    with TemporaryDirectory() as folder:
        files = {bars: Path(folder) / f"{bars}.musicxml" for bars in BARS}
        for bars, file in files.items():
            file.write_bytes(make(bars))
        measured: dict[int, list[dict[str, Any]]] = {bars: [] for bars in BARS}
        for _ in range(rounds):
            for bars, file in files.items():
                arguments = ("-c", _CHILD, str(files[BARS[0]]), str(file), LAYOUT)
                measured[bars].append(json.loads(run(arguments, Path(folder) / "compiled")))
    per_bar = {}
    for bars, found in measured.items():
        per_bar[bars] = median(each["seconds"] for each in found) / bars
        yield Row(f"{name}{bars} bars, time a bar", 1e6 * per_bar[bars], "µs")
    longer = per_bar[BARS[-1]] / per_bar[BARS[1]]
    what = f"{name}time a bar, {BARS[-1]} bars for {BARS[1]}"
    yield at_most(what, longer, "times", MOST_LONGER)
    for bars in BARS[1:]:
        yield _memory(f"{name}{bars}", bars, measured[bars])


def _memory(what: str, bars: int, found: list[dict[str, Any]]) -> Row:
    more = median(each["more"] for each in found)
    allowed = INPUTS * found[0]["input"] + OUTPUTS * found[0]["output"]
    note = (
        f"{more / bars / 1000:.1f} kB a bar; input {found[0]['input'] / 1e6:.2f} MB, "
        f"output {found[0]['output'] / 1e6:.2f} MB"
    )
    return at_most(f"{what} bars, peak memory of what is allowed", more / allowed, "", 1, note)
