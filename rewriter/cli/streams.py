"""Results to stdout, talk to stderr; neither may ever end in a traceback."""

from __future__ import annotations

import os
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final, TextIO

if TYPE_CHECKING:
    from collections.abc import Callable

STREAM: Final = Path("-")
"""What stands for stdin as a sketch or score that is read, and for stdout as one written."""

PLAIN_FORMS = {
    "·": "|",
    "\N{EN DASH}": "-",
    "\N{EM DASH}": "-",
    "\N{MINUS SIGN}": "-",
    "…": "...",
    "“": '"',
    "”": '"',
    "„": '"',
    "\N{LEFT SINGLE QUOTATION MARK}": "'",
    "\N{RIGHT SINGLE QUOTATION MARK}": "'",
    "♭": "b",
    "♯": "#",
    "♮": " natural",
    "→": "->",
    "\N{MULTIPLICATION SIGN}": "x",
    "≥": ">=",
    "≤": "<=",
    "\N{NO-BREAK SPACE}": " ",
}
"""What stands for a sign that the terminal's encoding does not have."""

_CONTROL = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]|\r(?!\n)"
)


def say(text: str, *, aside: bool = False) -> None:
    """Write a result to stdout, or aside, to stderr, where stdout has another.

    A reader that has had enough (``rewriter rules | head``) is no fault: the rest of the
    output goes nowhere, and the work goes on.
    """
    _write(sys.stderr if aside else sys.stdout, text)


def say_bytes(data: bytes) -> None:
    """Write a score to stdout, as it is."""
    if sys.stdout is None:
        return
    sys.stdout.flush()
    _unless_gone(sys.stdout, lambda: _all(sys.stdout, data))


def _all(stream: TextIO, data: bytes) -> None:
    stream.buffer.write(data)
    stream.buffer.flush()


def read_stdin() -> bytes:
    """All that stdin brings, up to the largest file that is read.

    Raises:
        Refused: it is larger, or there is no stdin.
    """
    from rewriter.musicxml.containers import MOST_BYTES
    from rewriter.problems import Refused

    if sys.stdin is None:
        raise Refused("nothing can be read from it", "name a file", file="stdin")
    data = sys.stdin.buffer.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        what = f"it brings more than {MOST_BYTES >> 20} MB"
        raise Refused(what, "split the score into movements", file="stdin")
    return data


def complain(text: str) -> None:
    """Write what is not a result to stderr, ended by a line break."""
    _write(sys.stderr, text + "\n")


def is_terminal(stream: TextIO | None) -> bool:
    """True when somebody is looking; a closed stream is none."""
    return stream is not None and not stream.closed and stream.isatty()


def terminal_columns() -> int:
    """How wide the terminal is that somebody looks at."""
    from shutil import get_terminal_size  # brings all that packs files with it

    return get_terminal_size().columns


def silence(stream: TextIO) -> None:
    """Send everything written to a stream from now on nowhere, its own leftovers included."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, stream.fileno())
    finally:
        os.close(nowhere)


def _write(stream: TextIO | None, text: str) -> None:
    if stream is None:  # closed by the caller, as in ``>&-``
        return
    _unless_gone(stream, lambda: _text(stream, text))


def _text(stream: TextIO, text: str) -> None:
    stream.write(fit_encoding(without_controls(text), stream.encoding or "utf-8"))
    stream.flush()


def _unless_gone(stream: TextIO, write: Callable[[], None]) -> None:
    try:
        write()
    except BrokenPipeError:
        silence(stream)


def without_controls(text: str) -> str:
    r"""A text without what would move the cursor, colour the screen or turn words around.

    Names, titles and rule files are somebody else's; a terminal takes orders from them.

    >>> without_controls("dolce" + chr(27) + "[2J") == "dolce" + chr(92) + "x1b[2J"
    True
    """
    return _CONTROL.sub(lambda sign: repr(sign[0])[1:-1], text)


def fit_encoding(text: str, encoding: str) -> str:
    """A text with nothing in it that an encoding cannot say.

    >>> fit_encoding("tenor 82% · Flöte", "ascii"), fit_encoding("a · ö", "utf-8")
    ('tenor 82% | Fl?te', 'a · ö')
    """
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        pass
    else:
        return text
    for sign, plain in PLAIN_FORMS.items():
        try:
            sign.encode(encoding)
        except UnicodeEncodeError:
            text = text.replace(sign, plain)
    return text.encode(encoding, "replace").decode(encoding)
