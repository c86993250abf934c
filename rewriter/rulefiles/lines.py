"""On which line of a TOML text a key stands; asked only when there is a fault to tell."""

from collections.abc import Iterator, Mapping, MutableSequence
from typing import Any

KeyPath = tuple[str | int, ...]

_MARK = "\u0001here\u0001"


def line_of(text: str, path: KeyPath) -> int:
    """Line, from 1, of the key or list item a path leads to.

    Where the path leads nowhere (a key that is missing), the line of the table it is missing
    from. The text must be sound TOML.
    """
    for candidate in _candidates(text, path):
        line = _marked_line(text, candidate)
        if line:
            return line
    return 1


def _candidates(text: str, path: KeyPath) -> Iterator[KeyPath]:
    """The path, then what lies first inside it, then what lies around it."""
    import tomllib

    for length in range(len(path), 0, -1):
        yield path[:length]
        inner: KeyPath = path[:length]
        value = _value(tomllib.loads(text), inner)
        while isinstance(value, dict | list) and value:
            key = next(iter(value)) if isinstance(value, dict) else 0
            inner, value = (*inner, key), value[key]
            yield inner


def _value(raw: Any, path: KeyPath) -> Any:
    for key in path:
        try:
            raw = raw[key]
        except (KeyError, IndexError, TypeError):
            return None
    return raw


def _marked_line(text: str, path: KeyPath) -> int:
    """Line of one item, by marking it and writing the text again; 0 where that is not seen."""
    import tomlkit
    from tomlkit.items import Array, InlineTable, Item

    document = tomlkit.parse(text)
    parent: Any = document
    for key in path[:-1]:
        parent = _value(parent, (key,))
    last = path[-1]
    item = _value(parent, (last,))
    if item is None:
        return 0
    inline = isinstance(parent, Array | InlineTable)
    if inline and isinstance(parent, Mapping | MutableSequence):
        parent[last] = _MARK  # type: ignore[index]  # the key came out of this very text
    elif isinstance(item, Item):
        item.trivia.indent = _MARK + item.trivia.indent
    before, found, _ = tomlkit.dumps(document).partition(_escaped(inline=inline))
    return before.count("\n") + 1 if found else 0


def _escaped(*, inline: bool) -> str:
    """The mark as it is written: escaped inside a value, plain before a key."""
    return "\\u0001here\\u0001" if inline else _MARK
