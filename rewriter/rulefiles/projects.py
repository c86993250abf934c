"""A project: the cues that are worked on together, and what holds for all of them."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, NamedTuple

SUFFIX: Final = "-strings"
"""What the name of a score has after that of its sketch."""


class ProjectCue(NamedTuple):
    """A cue of a project.

    Attributes:
        sketch: its file.
        out: the score.
        parts: folder for its parts; None for none.
        cue_notes: bars of rest from which an entry gets cue notes; 0 for none.
        settings: arguments of :func:`rewriter.expand`, its sketch left out.
    """

    sketch: Path
    out: Path
    parts: Path | None
    cue_notes: int
    settings: Mapping[str, Any]


class Project(NamedTuple):
    """What a project file says.

    Attributes:
        file: where it is, from the current folder.
        defaults: arguments of :func:`rewriter.expand`, and ``cue_notes``, that it sets for
            every cue, listed or not.
        cues: in the order of the file.
    """

    file: Path
    defaults: Mapping[str, Any]
    cues: tuple[ProjectCue, ...]
