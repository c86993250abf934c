"""On which line of a TOML text a setting stands; asked only when there is a fault to tell.

tomllib keeps no lines. The text is therefore read again, a line longer each time: where a
setting appears first, its statement ends. Inside a statement of several lines tomlkit, which
writes back exactly what it read, tells the place of a mark.
"""

import tomllib
from functools import lru_cache
from typing import Any

KeyPath = tuple[str | int, ...]

_MARK = "\u0001"
_WRITTEN_MARK = "\\u0001"


def line_of(text: str, path: KeyPath) -> int:
    """Line, from 1, of the setting or list item a path leads to.

    Where the path leads nowhere (a setting that is missing), the line of the block it is
    missing from. The text must be sound TOML.
    """
    for length in range(len(path), 0, -1):
        before = 0
        for count, raw in _readings(text):
            if _value(raw, path[:length]) is not None:
                statement = "".join(text.splitlines(keepends=True)[before:count])
                return before + _line_inside(statement, path[:length])
            before = count
    return 1


@lru_cache(maxsize=1)
def _readings(text: str) -> list[tuple[int, dict[str, Any]]]:
    """Numbers of first lines that are sound by themselves, each with what they say."""
    lines = text.splitlines(keepends=True)
    readings = []
    for count in range(1, len(lines) + 1):
        try:
            readings.append((count, tomllib.loads("".join(lines[:count]))))
        except tomllib.TOMLDecodeError:
            continue
    return readings


def _value(raw: Any, path: KeyPath) -> Any:
    for key in path:
        try:
            raw = raw[key]
        except (KeyError, IndexError, TypeError):
            return None
    return raw


def _line_inside(statement: str, path: KeyPath) -> int:
    """Line, from 1, inside one statement; only list items stand lower than their setting."""
    import tomlkit
    from tomlkit.items import Array

    if statement.count("\n") <= 1:
        return 1
    raw = tomllib.loads(statement)
    inside = next(
        (path[at:] for at in range(len(path)) if _value(raw, path[at:]) is not None), ()
    )
    for length in range(len(inside), 1, -1):
        document = tomlkit.parse(statement)
        parent: Any = _value(document, inside[: length - 1])
        if isinstance(parent, Array):
            parent[int(inside[length - 1])] = _MARK
            return tomlkit.dumps(document).partition(_WRITTEN_MARK)[0].count("\n") + 1
    return 1
