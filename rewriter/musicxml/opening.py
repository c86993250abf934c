"""Opening a score: bytes, a file or a tree in; one partwise tree out, or one clear line."""

import os
from typing import NamedTuple

from lxml import etree


class Opened(NamedTuple):
    """A score that could be read.

    Attributes:
        root: ``<score-partwise>``; without comments, processing instructions and the white
            space between elements. Nobody else holds it, so it may be changed.
        name: the file as the user named it; ``sketch`` for bytes and trees.
        data_digest: SHA-256 of the MusicXML bytes, after unzipping; hexadecimal.
        comments: how many comments were left out.
    """

    root: etree._Element
    name: str
    data_digest: str
    comments: int = 0


def open_score(
    source: str | os.PathLike[str] | bytes | etree._Element | etree._ElementTree,
) -> Opened:
    """Read a score from a path, from bytes or from a tree.

    Raises:
        Refused: the source is no score that can be read.
    """
    raise NotImplementedError
