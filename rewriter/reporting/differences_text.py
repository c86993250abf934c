"""What two scores do not have alike, as plain text, bar by bar."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Final

from rewriter.problems import Place
from rewriter.reporting.columns import align, count, wrap_hanging
from rewriter.reporting.text import LABEL, WIDTH

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.reporting.differences import ChangedPart, Differences, Told

EVERY_PART: Final = "every part"
"""Stands for the name of a part where all have the same difference."""

THE_SCORE: Final = "score"
"""Likewise for what belongs to no part."""


def differences_as_text(found: Differences, width: int = WIDTH) -> str:
    """Word what two scores do not have alike.

    Args:
        found: all of it.
        width: columns; only a word or a row that is longer goes beyond.

    Returns:
        Lines, each ended.
    """
    groups = groupby(found.differences, key=_bar)
    return _blocks(_head(found, width), *(list(_of_bar(*group)) for group in groups))


def changed_as_text(found: Differences, width: int = WIDTH) -> str:
    """Word which pages are not as they were, and which bars of each part.

    Args:
        found: all that is not alike.
        width: columns; only a word that is longer goes beyond.

    Returns:
        Lines, each ended.
    """
    rows = []
    if found.pages:
        numbers = ", ".join(page.page for page in found.changed_pages) or "none"
        rows = list(_labelled("Pages", f"{numbers} of {found.pages}", width))
    names = [(part.part, _bars_of(part)) for part in found.changed_parts]
    return _blocks(_head(found, width), rows, [f"  {row}" for row in align(names)])


def _bars_of(part: ChangedPart) -> str:
    if not part.bars:
        return "no bar"
    one = len(part.bars) == 1 and "-" not in part.bars[0]
    return f"bar{'s' * (not one)} {', '.join(part.bars)}"


def _blocks(*blocks: list[str]) -> str:
    return "\n".join("\n".join(block) + "\n" for block in blocks if block)


def _head(found: Differences, width: int) -> list[str]:
    said = count(len(found.differences), "difference") if found.differences else "no difference"
    first = f"{found.a}, {found.b}: {'the same music' if found.are_none else said}"
    rows = wrap_hanging(first, first="", rest="    ", width=width)
    lost = ", ".join(f"{kind.kind} ({kind.number})" for kind in found.lost)
    if lost:
        said = f"{lost}: the second score has none anywhere, as when a program drops them"
        rows += ["", *_labelled("Lost", said, width)]
    return rows


def _labelled(label: str, text: str, width: int) -> Iterator[str]:
    margin = f"  {label}".ljust(LABEL)
    yield from wrap_hanging(text, first=margin, rest=" " * LABEL, width=width)


def _bar(one: Told) -> str:
    """The heading a difference stands under."""
    place = one.place
    if not place.bar:
        return "Heading"
    said = Place(movement=place.movement, bar=place.bar).text
    note = ""
    if one.kind == "bar" and one.was is None:
        note = " of the second score"
    elif one.now and one.now.place.bar != place.bar:
        note = f" (now {one.now.place.bar})"
    return said[0].upper() + said[1:] + note


def _of_bar(heading: str, differences: Iterator[Told]) -> Iterator[str]:
    yield heading
    parts: dict[tuple[str, str], list[str]] = {}
    for one in differences:
        parts.setdefault((_beat(one), one.text), []).append(_who(one))
    rows = [(beat, ", ".join(who), text) for (beat, text), who in parts.items()]
    yield from (f"  {row}" for row in align(rows))


def _beat(one: Told) -> str:
    return "" if one.kind in {"bar", "part"} else Place(beat=one.place.beat).text


def _who(one: Told) -> str:
    return one.part or (THE_SCORE if _bar(one) == "Heading" else EVERY_PART)
