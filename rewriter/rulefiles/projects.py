"""A project: the cues that are worked on together, and what holds for all of them."""

import re
from collections.abc import Mapping
from pathlib import Path, PurePath
from typing import Any, Final

import msgspec

NAME: Final = "rewriter.toml"
"""What a project file is called."""

SUFFIX: Final = "-strings"
"""What the name of a score has after that of its sketch."""

_UNSAFE: Final = re.compile(r'[<>:"\\|?*\x00-\x1f]+')


def score_name(sketch: PurePath) -> str:
    """The file name of a sketch's score, with no sign in it that some system does not allow.

    Source: Microsoft, *Naming Files, Paths, and Namespaces*, from memory.

    >>> score_name(PurePath("cues/Who goes there?.mxl")), score_name(PurePath("con.xml"))
    ('Who goes there-strings.musicxml', 'con-strings.musicxml')
    """
    stem = (
        _UNSAFE.sub("-", sketch.stem).strip("-") if _UNSAFE.search(sketch.stem) else sketch.stem
    )
    return f"{stem}{SUFFIX}.musicxml"


def find_project() -> Path | None:
    """The project file of the current folder or the nearest above; None for none."""
    try:
        for up in range(len(Path.cwd().parents) + 1):
            file = Path(*[".."] * up, NAME)
            if file.is_file():
                return file
    except OSError:  # a folder that is gone, or that may not be looked into
        pass
    return None


class ProjectCue(msgspec.Struct, frozen=True):
    """A cue of a project.

    Attributes:
        sketch: its file.
        out: the score.
        parts: folder for its parts; None for none.
        cue_notes: bars of rest from which an entry gets cue notes; 0 for none.
        copy: whether copies of what is made are kept beside it.
        settings: arguments of :func:`rewriter.expand`, its sketch left out.
    """

    sketch: Path
    out: Path
    parts: Path | None
    cue_notes: int
    copy: bool
    settings: Mapping[str, Any]


class Project(msgspec.Struct, frozen=True):
    """What a project file says.

    Attributes:
        file: where it is, from the current folder.
        defaults: arguments of :func:`rewriter.expand`, ``cue_notes`` and ``copy`` that it
            sets for every cue, listed or not.
        cues: in the order of the file.
    """

    file: Path
    defaults: Mapping[str, Any]
    cues: tuple[ProjectCue, ...]
