"""What is printed above and under the music of a part: its name, titles, who made it, rights.

Sizes and distances: common practice, no source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.musicxml.escaping import escaped, word
from rewriter.theory.numbers import decimal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lxml.etree import _Element as Element

_POINTS: Final = {"title": 22, "subtitle": 16, "part name": 14, "rights": 8}
_MAKERS_POINTS: Final = 12
_TITLE_ROW: Final = 75
_ROW: Final = 50
"""Tenths of a staff space from one row to the next, under a title and under anything else."""


class Page(NamedTuple):
    """The first page of a part, in tenths; a width or height of 0 is not known."""

    width: float = 0
    height: float = 0
    left: float = 0
    right: float = 0
    top: float = 0
    bottom: float = 0


def page_of(root: Element) -> Page:
    """The page a score header asks for."""
    layout = root.find("defaults/page-layout")
    if layout is None:
        return Page()
    margins = layout.find("page-margins[@type='odd']")
    margins = layout.find("page-margins") if margins is None else margins
    sides = ("left-margin", "right-margin", "top-margin", "bottom-margin")
    return Page(
        _tenths(layout, "page-width"),
        _tenths(layout, "page-height"),
        *(_tenths(margins, side) if margins is not None else 0.0 for side in sides),
    )


def name_credit(page: Page, name: str) -> bytes:
    """The part's name at the top left, in line with the title."""
    return _credit(page, "part name", name, "left", page.top)


def title_credits(root: Element) -> bytes:
    """Title, composer, arranger and rights as credits, from where a score has them as data.

    Args:
        root: header of a score without credits; not changed.
    """
    page = page_of(root)
    pieces: list[bytes] = []
    below = page.top
    titles = dict.fromkeys(_texts(root, "work/work-title", "movement-title"))
    for kind, title in zip(("title", "subtitle"), titles, strict=False):
        pieces.append(_credit(page, kind, title, "center", below))
        below += _TITLE_ROW if kind == "title" else _ROW
    for kind in ("composer", "arranger"):
        makers = list(_texts(root, f"identification/creator[@type='{kind}']"))
        if makers:
            pieces.append(_credit(page, kind, ", ".join(makers), "right", below))
            below += _ROW
    rights = list(_texts(root, "identification/rights"))
    if rights:
        foot = page.height - page.bottom
        pieces.append(_credit(page, "rights", "\n".join(rights), "center", foot))
    return b"".join(pieces)


def _texts(root: Element, *paths: str) -> Iterator[str]:
    for path in paths:
        for element in root.iterfind(path):
            text = " ".join((element.text or "").split())
            if text:
                yield text


def _credit(page: Page, kind: str, text: str, side: str, below: float) -> bytes:
    """A credit on the first page.

    Args:
        page: to be placed on; where its size is not known, programs find the place.
        kind: its ``<credit-type>``.
        text: what it says.
        side: ``left``, ``center`` or ``right``.
        below: tenths from the upper edge of the page.
    """
    across = {
        "left": page.left,
        "center": (page.left + page.width - page.right) / 2,
        "right": page.width - page.right,
    }[side]
    place = b""
    if page.height and page.width:
        place = b' default-x="%b" default-y="%b"' % (_text(across), _text(page.height - below))
    return (
        b'<credit page="1"><credit-type>%b</credit-type><credit-words%b justify="%b"'
        b' halign="%b" valign="%b" font-size="%d">%b</credit-words></credit>\n'
    ) % (
        escaped(kind),
        place,
        word(side),
        word(side),
        b"bottom" if kind == "rights" else b"top",
        _POINTS.get(kind, _MAKERS_POINTS),
        escaped(text),
    )


def _tenths(element: Element, tag: str) -> float:
    return float(decimal(element.findtext(tag) or "") or 0)


def _text(tenths: float) -> bytes:
    return word(f"{tenths:.2f}".rstrip("0").rstrip("."))
