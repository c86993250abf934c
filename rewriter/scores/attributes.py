"""What an ``<attributes>`` says, read once for all that say the same."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from rewriter.scores.children import element_of
from rewriter.scores.notes import positive
from rewriter.scores.staff_signs import (
    ClefSaid,
    KeySaid,
    Transposition,
    read_clef,
    read_key,
    read_transposition,
)
from rewriter.theory.metre import Metre, metre_from_times

if TYPE_CHECKING:
    from collections.abc import Callable

    from lxml.etree import _Element as Element

    from rewriter.scores.staff_signs import CannotBe


Said = Fraction | Metre | KeySaid | ClefSaid | Transposition
SignKind = Literal["metre", "key", "clef", "transposition"]


class Change(NamedTuple):
    """One thing an ``<attributes>`` sets.

    Attributes:
        kind: ``divisions``, ``metre``, ``key``, ``clef`` or ``transposition``.
        staff: counted from the top, as text; empty where it is for all.
        value: what is in force from here on.
    """

    kind: str
    staff: str
    value: Said


class Attributes(NamedTuple):
    """An ``<attributes>``.

    Attributes:
        changes: in document order; what cannot be is left out or put right.
        impossible: (kind of change, what is said) of what cannot be; divisions, of which
            whoever counts time tells, are not among them.
    """

    changes: tuple[Change, ...]
    impossible: tuple[tuple[SignKind, str], ...]


@lru_cache(maxsize=4096)
def read_attributes(data: bytes) -> Attributes:
    """What an ``<attributes>`` says.

    Args:
        data: as lxml writes it.
    """
    return _read(element_of(data))


def changes_in(data: bytes) -> tuple[Change, ...]:
    """What an ``<attributes>`` sets.

    Args:
        data: as lxml writes it.
    """
    return read_attributes(data).changes


def _read(attributes: Element) -> Attributes:
    changes: list[Change] = []
    impossible: list[tuple[SignKind, str]] = []
    for child in attributes.iterchildren("*"):
        tag = str(child.tag)
        # A clef without a number is the first staff's; all else is for every staff.
        staff = (child.get("number") or "").strip() or ("1" if tag == "clef" else "")
        if tag == "divisions":
            divisions = positive(child.text or "")
            changes += [Change(tag, staff, divisions)] if divisions else []
        elif tag in _READERS:
            kind, read = _READERS[tag]
            faults: list[str] = []
            value = read(child, faults.append)
            changes += [Change(kind, staff, value)] if value is not None else []
            impossible += [(kind, said) for said in faults]
    return Attributes(tuple(changes), tuple(impossible))


def _metre(time: Element, cannot_be: CannotBe) -> Metre | None:
    beats, types = (
        [child.text or "" for child in time.iterchildren(tag)] for tag in ("beats", "beat-type")
    )
    pairs = list(zip(beats, types, strict=False))
    try:
        return metre_from_times(pairs, symbol=time.get("symbol", ""))
    except ValueError:
        cannot_be("+".join("/".join(pair) for pair in pairs))
        return None


_READERS: Final[dict[str, tuple[SignKind, Callable[[Element, CannotBe], Said | None]]]] = {
    "time": ("metre", _metre),
    "key": ("key", read_key),
    "clef": ("clef", read_clef),
    "transpose": ("transposition", read_transposition),
}
