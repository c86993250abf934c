"""A run that writes files of several folders; a process of its own imports it too."""

import fcntl  # noqa: F401 - loaded now, so that no step of the run is an import
import shutil  # noqa: F401 - likewise
from pathlib import Path

from rewriter.musicxml.together import Together

OLD = {"out/a.musicxml": b"old score", "stands/b.musicxml": b"old part", "gone.xml": b"old"}
NEW = {"out/a.musicxml": b"new score", "stands/b.musicxml": b"new part", "r.json": b"report"}
"""One is replaced in each folder, one is new, one is to be removed."""


def write() -> None:
    """A run in the current folder that writes some files and removes one."""
    folders = [Path("out"), Path("stands"), Path()]
    with Together(folders, make=folders) as together:
        changes = [together.run.stage(data, Path(name)) for name, data in NEW.items()]
        changes.append(together.run.remove(Path("gone.xml")))
        together.put_in_place(changes)
