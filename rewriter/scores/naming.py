"""Parts as people name them, on a command line and in messages."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.scores.score import Part


def said_part(part: Part) -> str:
    """A part for people: ``"Flute" (P1)``."""
    return f'"{part.full_name}" ({part.id})' if part.full_name else part.id


def said_parts(parts: Iterable[Part]) -> str:
    """Parts for people, in one row."""
    return ", ".join(map(said_part, parts))


def parts_called(parts: Sequence[Part], name: str) -> list[Part]:
    """The part with this id, else those with this name; capitals and quotes do not matter."""
    name = without_quotes(name)
    with_id = [part for part in parts if part.id == name and name]
    return with_id or [p for p in parts if p.full_name.casefold() == name.casefold() and name]


def without_quotes(name: str) -> str:
    """A name as it is meant: without the quotes around it."""
    return name.strip().strip("\"'").strip()
