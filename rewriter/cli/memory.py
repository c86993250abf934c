"""How much memory there is, and how much of it a sketch takes."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Final

from rewriter.scores.cost import memory_of_size

_PACKED: Final = 25
"""How many bytes a packed one becomes, of music that repeats itself."""

_AT_LEAST: Final = 60 * 2**20
"""What the tool itself takes."""

_GROUP: Final = Path("/sys/fs/cgroup")
_SYSTEM: Final = Path("/proc/meminfo")


def taken_by(sketch: Path) -> int:
    """Bytes that work on a sketch takes, by its size.

    Args:
        sketch: need not be there.
    """
    try:
        size = sketch.stat().st_size
    except OSError:
        size = 0
    packed = _PACKED if sketch.suffix.lower() == ".mxl" else 1
    return _AT_LEAST + memory_of_size(size * packed)


def there_is() -> int:
    """Bytes that may be taken: four fifths of what is free, here and in the group.

    Where the system does not say, half of what the machine has; else 2 GB.
    """
    found = [number for number in (_of_group(), _of_system()) if number is not None]
    if found:
        return min(found) * 4 // 5
    try:
        return os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE") // 2
    except (AttributeError, OSError, ValueError):
        return 2 * 2**30


def _of_system() -> int | None:
    """What Linux says is available."""
    said = re.search(r"^MemAvailable:\s*(\d+) kB", _text(_SYSTEM), re.MULTILINE)
    return int(said[1]) * 1024 if said else None


def _of_group() -> int | None:
    """What is left to a group of processes with a limit, as containers have."""
    most, taken = (_text(_GROUP / name).strip() for name in ("memory.max", "memory.current"))
    if most.isdigit() and taken.isdigit():
        return max(int(most) - int(taken), 0)
    return None


def _text(path: Path) -> str:
    try:
        return path.read_text("ascii")
    except (OSError, UnicodeError):
        return ""
