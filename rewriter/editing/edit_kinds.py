"""What an edit is, and where it is made."""

from __future__ import annotations

from typing import NamedTuple


class InBar(NamedTuple):
    """The inside of a bar.

    Attributes:
        part: index in score order.
        bar: index from the start of the score.
    """

    part: int
    bar: int


class InHeader(NamedTuple):
    """What stands before the parts: ``<work>``, ``<identification>``, ``<part-list>`` ...

    Attributes:
        of: name of one of these for what is inside it; empty for all of them.
    """

    of: str = ""


class InPart(NamedTuple):
    """The bars of a part, in a score sorted by parts.

    Attributes:
        part: index in score order.
    """

    part: int


class OfBar(NamedTuple):
    """The parts of a bar, in a score sorted by bars.

    Attributes:
        bar: index from the start of the score.
    """

    bar: int


class Behind(NamedTuple):
    """What stands behind the header: parts, or the bars of a score sorted by bars."""


Where = InBar | InHeader | InPart | OfBar | Behind


class Replaced(NamedTuple):
    """A child gives way to another element."""

    where: Where
    child: int
    data: bytes


class Inserted(NamedTuple):
    """An element is put before a child; before the one after the last: at the end."""

    where: Where
    child: int
    data: bytes


class Removed(NamedTuple):
    """A child goes, and the white space before it."""

    where: Where
    child: int


class Amended(NamedTuple):
    """A piece of a child changes.

    Attributes:
        where: its place.
        child: which.
        start: of the piece, in bytes of what :func:`bar_children` gives.
        stop: likewise; the same for what is put between.
        data: what stands there instead.
    """

    where: Where
    child: int
    start: int
    stop: int
    data: bytes


class Refilled(NamedTuple):
    """All that is inside gives way, comments too; the start tag stays.

    Attributes:
        where: a bar, mostly.
        data: its new children.
    """

    where: Where
    data: bytes


Edit = Replaced | Inserted | Removed | Amended | Refilled
