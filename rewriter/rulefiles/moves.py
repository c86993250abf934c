"""Settings that say how far music is moved, as a passage and a whole cue have them."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Protocol, TypeVar

import msgspec

from rewriter.theory.fifths import Direction, Interval, Key, parse_interval, parse_key

if TYPE_CHECKING:
    from collections.abc import Callable

    from rewriter.rulefiles.line_numbers import KeyPath
    from rewriter.rulefiles.shapes import RuleText

T = TypeVar("T")


class SaysMove(Protocol):
    """A block with these settings."""

    key: str | None
    by: str | None
    up: bool
    down: bool


class Move(msgspec.Struct, frozen=True):
    """How far music is moved.

    Attributes:
        key: to which; None for none.
        by: which interval; None for none.
        direction: which way to go to the key.
    """

    key: Key | None
    by: Interval | None
    direction: Direction


def read_move(rule: RuleText, path: KeyPath, read: SaysMove) -> Move:
    """How far a block moves music; faults are noted.

    Args:
        rule: the file.
        path: of the block in it.
        read: the block.
    """
    direction = _direction(rule, path, read)
    key = tried(rule, (*path, "key"), parse_key, read.key)
    by = tried(rule, (*path, "by"), partial(parse_interval, direction=direction), read.by)
    return Move(key, by, direction)


def _direction(rule: RuleText, path: KeyPath, read: SaysMove) -> Direction:
    if read.key is not None and read.by is not None:
        rule.fault(path, "key and by stand together", "keep one of the two")
    if read.up and read.down:
        rule.fault(path, "up and down stand together", "keep one of the two")
    word: Direction = "up" if read.up else "down" if read.down else "nearest"
    if word != "nearest" and read.key is None and read.by is None:
        rule.fault((*path, word), f"{word} is said, but no key to go to", "add key or by")
    return word


def tried(
    rule: RuleText, path: KeyPath, parse: Callable[[str], T], text: str | None
) -> T | None:
    """What a text means; None, and a fault noted, where it means nothing."""
    if text is None:
        return None
    try:
        return parse(text)
    except ValueError as fault:
        rule.fault(path, str(fault))
        return None
