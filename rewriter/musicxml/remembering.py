"""What was worked out once and is the same in the next score."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Generic, TypeVar

if TYPE_CHECKING:
    from collections.abc import Hashable

T = TypeVar("T")

MOST: Final = 4096


class Remembered(Generic[T]):
    """Values by key, forgotten all at once when there are too many.

    Nothing kept here may be changed by whoever gets it: all scores of a process share it.
    """

    def __init__(self) -> None:
        self._values: dict[Hashable, T] = {}
        self.get = self._values.get

    def keep(self, key: Hashable, value: T) -> None:
        """Keep a value."""
        if len(self._values) >= MOST:
            self._values.clear()
        self._values[key] = value
