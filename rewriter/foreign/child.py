"""What the other process does: music21 reads a file from stdin, MusicXML goes to stdout.

In a process of its own, so that a file at which music21 never ends, takes all memory or
crashes can be given up.
"""

import contextlib
import os
import sys
from typing import Any, Final

MOST_SECONDS: Final = 120
MOST_MEMORY: Final = 2 * 2**30

UNREADABLE: Final = 3
SEVERAL: Final = 4
NO_NOTES: Final = 5
TOO_MUCH: Final = 6


def main(kind: str) -> None:
    """Convert stdin to stdout; the exit status says what came of it.

    Args:
        kind: as music21 calls the format.
    """
    _limit()
    result = os.dup(1)
    os.dup2(2, 1)  # whatever music21 prints is not the score
    status, score = convert(sys.stdin.buffer.read(), kind)
    if score:
        with os.fdopen(result, "wb") as out:
            out.write(score)
    os._exit(status)  # threads and exit functions of the libraries are nobody's business


def convert(data: bytes, kind: str) -> tuple[int, bytes]:
    """What becomes of a file: the exit status, and with 0 the MusicXML.

    Args:
        data: of the file; text in UTF-8.
        kind: as music21 calls the format.
    """
    try:
        return _converted(data, kind)
    except (MemoryError, RecursionError):
        return TOO_MUCH, b""
    except Exception:  # noqa: BLE001 - music21 raises what its parts raise, each in its way
        return UNREADABLE, b""


def _limit() -> None:
    """Bounds for time and memory, where the system has them."""
    with contextlib.suppress(ImportError, OSError, ValueError):
        import resource

        resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))


def _converted(data: bytes, kind: str) -> tuple[int, bytes]:
    from music21 import converter, stream
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    read: Any = converter.parseData(data if kind == "midi" else data.decode(), format=kind)
    if isinstance(read, stream.Opus):
        return SEVERAL, b""
    if not read.recurse().notes:
        return NO_NOTES, b""
    for bar in read.recurse().getElementsByClass(stream.Measure):
        # Or a bar that is not full, as on either side of a repeat, is filled with rests.
        lacking = bar.barDuration.quarterLength - bar.paddingLeft - bar.highestTime
        bar.paddingRight = max(bar.paddingRight, lacking)
    return 0, GeneralObjectExporter(read).parse()
