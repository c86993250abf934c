"""Above the music of a part: the score's titles and page, its own name, one instrument."""

from __future__ import annotations

import re
import unicodedata
from copy import deepcopy
from typing import TYPE_CHECKING, Final

from rewriter import __version__
from rewriter.musicxml.escaping import word
from rewriter.musicxml.heading import Origin, heading
from rewriter.musicxml.note_reading import serialised
from rewriter.stands.credits import name_credit, page_of, title_credits

if TYPE_CHECKING:
    from collections.abc import Iterable

    from lxml.etree import _Element as Element

    from rewriter.scores.score import Part

_DIGESTS: Final = ("sketch-digest", "layout-digest")
_LONGEST_NAME: Final = 60
_UNSAFE: Final = re.compile(r"[^A-Za-z0-9_]+")


def shared_header(root: Element) -> bytes:
    """What is the same above all parts of a score: titles, rights, page, credits.

    Programs print titles themselves above a score without credits; a part has one credit, its
    name, so it gets all of them.

    Args:
        root: the score's header; not changed.
    """
    root = deepcopy(root)
    for credit in root.findall("credit"):
        if credit.findtext("credit-type") == "part name":
            root.remove(credit)
    credited = root.find("credit") is not None
    fields = {
        str(field.get("name")): field.text or ""
        for field in root.iterfind("identification/miscellaneous/miscellaneous-field")
    }
    sketch, layout = (fields.get(name, "") for name in _DIGESTS)
    written = heading(root, Origin(f"rewriter {__version__}", sketch, layout))
    for name in _DIGESTS:  # a score that was not made from a sketch has none to name
        empty = b'<miscellaneous-field name="%b"></miscellaneous-field>\n' % word(name)
        written = written.replace(empty, b"")
    return written if credited else written + title_credits(root)


def part_header(shared: bytes, root: Element, part: Part) -> bytes:
    """All above the music of one part.

    Args:
        shared: from :func:`shared_header`.
        root: the score, for its page.
        part: its entry becomes the whole part list.
    """
    entry = deepcopy(part.entry)
    for tag in ("part-name", "part-abbreviation"):
        # On the stand the name is at the head of the page and at no system.
        for name in entry.findall(tag):
            name.set("print-object", "no")
    for tag in ("part-name-display", "part-abbreviation-display", "group"):
        for display in entry.findall(tag):
            entry.remove(display)
    return b"".join(
        (
            shared,
            name_credit(page_of(root), part.name),
            b"<part-list>\n",
            serialised(entry),
            b"\n</part-list>\n",
        )
    )


def file_names(stem: str, names: Iterable[str]) -> list[str]:
    """A file name for each part, safe on every file system and told apart without case.

    >>> file_names("harbour thaws", ["Violins I", "Bässe", "Bässe", "Скрипка"])
    ... # doctest: +NORMALIZE_WHITESPACE
    ['harbour-thaws-Violins-I.musicxml', 'harbour-thaws-Basse.musicxml',
     'harbour-thaws-Basse-2.musicxml', 'harbour-thaws-part-4.musicxml']
    """
    taken: set[str] = set()
    found = []
    before = _plain(stem) or "score"
    for number, name in enumerate(names, 1):
        wanted = plain = f"{before}-{_plain(name) or f'part-{number}'}"
        again = 2
        while wanted.lower() in taken:
            wanted, again = f"{plain}-{again}", again + 1
        taken.add(wanted.lower())
        found.append(f"{wanted}.musicxml")
    return found


def file_stem(file_name: str, name: str) -> str:
    """What the names of the files of a score begin with, told from one of them; may be empty.

    Args:
        file_name: as :func:`file_names` gives it.
        name: of its part.

    >>> file_stem("harbour-thaws-Basse-2.musicxml", "Bässe"), file_stem("quay.musicxml", "Vc")
    ('harbour-thaws', '')
    """
    ending = re.escape(_plain(name)) or r"part-\d+"
    found = re.fullmatch(rf"(.+?)-{ending}(?:-\d+)?\.musicxml", file_name)
    return found[1] if found else ""


def _plain(text: str) -> str:
    """A name in letters, figures, hyphens."""
    letters = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return _UNSAFE.sub("-", letters).strip("-")[:_LONGEST_NAME].strip("-")
