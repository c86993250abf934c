"""A file made MusicXML by music21 in a process of its own, or one clear line."""

import importlib.util
import os
import subprocess
import sys
from typing import Final, NamedTuple

from rewriter.foreign import child
from rewriter.foreign.kinds import Kind
from rewriter.musicxml.faults import EXPORT
from rewriter.problems import Refused

_START: Final = (
    "import sys; kind, *sys.path[:] = sys.argv[1:]; "
    "from rewriter.foreign.child import main; main(kind)"
)
_LONGEST_WAIT: Final = 5 * child.MOST_SECONDS  # of the clock, on a machine with much to do


_ONE_THREAD: Final = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
"""Or numpy takes the memory there may be for its threads, where there are many cores."""
_STUMBLED: Final = b": WARNING: "


class Written(NamedTuple):
    """What music21 made of a file.

    Attributes:
        score: MusicXML.
        stumbles: how often it read on behind something that it did not understand.
    """

    score: bytes
    stumbles: int


def through_music21(data: bytes, kind: Kind) -> Written:
    """A file as MusicXML.

    Args:
        data: of the file; text in UTF-8.
        kind: which it is.

    Raises:
        Refused: music21 is not installed, cannot read the file, or not within the limits.
    """
    if importlib.util.find_spec("music21") is None:
        raise Refused(
            f"this is {kind.said}, which is read through music21, and that is not installed",
            'install it with pip install "rewriter[formats]", or export the score as MusicXML',
        )
    if len(data) > kind.largest:
        raise Refused(
            f"this is {kind.said} of {-(-len(data) >> 10)} KB, more than the "
            f"{kind.largest >> 10} KB that are read of one",
            f"split it into movements, or {EXPORT}",
        )
    try:
        done = subprocess.run(  # noqa: S603 - this interpreter, with its own paths
            [sys.executable, "-P", "-c", _START, kind.format, *sys.path],
            env={**os.environ, **_ONE_THREAD},
            input=data,
            capture_output=True,
            timeout=_LONGEST_WAIT,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise _refusal(child.TOO_MUCH, kind) from None
    except OSError:
        raise Refused(
            "no other process can be started, in which music21 reads it", ""
        ) from None
    if done.returncode or not done.stdout:
        raise _refusal(done.returncode, kind)
    return Written(done.stdout, done.stderr.count(_STUMBLED))


def _refusal(status: int, kind: Kind) -> Refused:
    """Why there is no score; whatever is no status of ours is the system's end of it."""
    if status == child.UNREADABLE:
        return Refused(
            f"this {kind.name} cannot be read", f"look for what is damaged in it, or {EXPORT}"
        )
    if status == child.SEVERAL:
        return Refused(f"this {kind.name} holds several pieces", "give them one by one")
    if status == child.NO_NOTES:
        return Refused(f"this {kind.name} has no notes", EXPORT)
    return Refused(
        f"this {kind.name} takes more than {child.MOST_SECONDS // 60} minutes or "
        f"{child.MOST_MEMORY >> 30} GB of memory to read",
        f"split it into movements, or {EXPORT}",
    )
