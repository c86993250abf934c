"""Parts of an earlier run that the present one does not write: of sections that are gone."""

from __future__ import annotations

import re
from html import unescape
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.musicxml.saving import has_digest, is_untouched
from rewriter.stands.part_heading import file_stem

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from rewriter.stands.extraction import Part

_PART_NAME: Final = re.compile(rb"<part-name[^>]*>([^<]*)</part-name>")
_ENDING: Final = ".musicxml"


class EarlierPart(NamedTuple):
    """A part that an earlier run has written, and this one does not.

    Attributes:
        path: the file.
        untouched: True when nobody has changed it since.
    """

    path: Path
    untouched: bool


def earlier_parts(folder: Path, made: Sequence[Part]) -> list[EarlierPart]:
    """Files in a folder that an earlier run has written there from a score of the same name.

    A file counts that has the tool's digest in it, and the name that a part of its own section
    would get now; what other scores have in the folder does not.

    Args:
        folder: where the parts go; need not be there.
        made: all parts of this run.
    """
    if not made or not folder.is_dir():
        return []
    stem = file_stem(made[0].file_name, made[0].name)
    names = {part.file_name.lower() for part in made}
    found = []
    for path in sorted(folder.iterdir()):
        if path.suffix != _ENDING or not path.name.startswith(f"{stem}-"):
            continue
        if path.name.lower() in names or not path.is_file():
            continue
        data = path.read_bytes()
        named = _PART_NAME.search(data)
        name = unescape(named[1].decode("utf-8", "replace")) if named else ""
        if file_stem(path.name, name) == stem and has_digest(data):
            found.append(EarlierPart(path, is_untouched(data)))
    return found
