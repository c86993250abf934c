"""The command against the bare start of what it stands on."""

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.bench.movements import LAYOUT, repeated
from tests.bench.timing import Row, at_most, interleaved, run

BARE = ("-c", "import lxml.etree, click")
EXPAND_AIM, HELP_AIM = 80.0, 60.0
BARS = 32


def rows(rounds: int) -> Iterator[Row]:
    """Milliseconds of the processor that `expand` and `--help` take longer."""
    with TemporaryDirectory() as folder:
        place = Path(folder)
        sketch = place / "sketch.musicxml"
        sketch.write_bytes(repeated(BARS))
        expand = [
            *("-m", "rewriter", "expand", str(sketch), "--layout", LAYOUT, "--force"),
            *("-o", str(place / "score.musicxml")),
        ]
        seconds = interleaved(
            {
                "bare": lambda: run(BARE, place / "compiled"),
                "help": lambda: run(["-m", "rewriter", "--help"], place / "compiled"),
                "expand": lambda: run(expand, place / "compiled"),
            },
            rounds,
        )
    more = {
        name: 1000 * (each.processor - seconds["bare"].processor)
        for name, each in seconds.items()
    }
    yield at_most(f"rewriter expand, {BARS} bars, more", more["expand"], "ms", EXPAND_AIM)
    yield at_most("rewriter --help, more", more["help"], "ms", HELP_AIM)
