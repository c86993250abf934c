"""On which line of a TOML text a setting stands; asked only when there is a fault to tell.

tomllib keeps no lines, so the text is gone over once more, from front to back: every setting,
block and list item with the line it begins on.
"""

import re
import tomllib
from functools import lru_cache
from typing import Final

KeyPath = tuple[str | int, ...]

_BLANK: Final = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_STRING: Final = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*"{3,5}'
    r"|'''(?:[^']|'(?!''))*'{3,5}"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_BARE: Final = re.compile(r"[^\s\"'=.,#\[\]{}]+")
_REST: Final = re.compile(r"[^,#\]}\n]*")  # of a number, a truth or a date
_SPACES: Final = re.compile(r"[ \t]*")


def line_of(text: str, path: KeyPath) -> int:
    """Line, from 1, of the setting or list item a path leads to.

    Where the path leads nowhere (a setting that is missing), the line of the block it is
    missing from. The text must be sound TOML.
    """
    lines = _lines(text)
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return 1


@lru_cache(maxsize=1)
def _lines(text: str) -> dict[KeyPath, int]:
    return _Places(text).found


class _Places:
    """Goes over a sound text once.

    Attributes:
        found: path → line, of the first time it is named.
    """

    def __init__(self, text: str) -> None:
        self.found: dict[KeyPath, int] = {}
        self._text = text
        self._at = self._counted = 0
        self._line = 1
        self._blocks: dict[KeyPath, int] = {}
        block: KeyPath = ()
        while self._next():
            if text[self._at] == "[":
                block = self._block()
            else:
                self._setting(block)

    def _next(self, *signs: str) -> bool:
        """Go over what says nothing, and these signs; False at the end."""
        while True:
            self._take(_BLANK)
            if self._at >= len(self._text):
                return False
            if self._text[self._at] not in signs:
                return True
            self._at += 1

    def _take(self, pattern: re.Pattern[str]) -> str:
        """Go over what a pattern matches here."""
        match = pattern.match(self._text, self._at)
        if match is None:
            return ""
        self._at = match.end()
        return match[0]

    def _note(self, path: KeyPath) -> None:
        self._line += self._text.count("\n", self._counted, self._at)
        self._counted = self._at
        self.found.setdefault(path, self._line)

    def _block(self) -> KeyPath:
        """``[name]`` or ``[[name]]``: the path of the settings under it."""
        is_list = self._text.startswith("[[", self._at)
        start = self._at
        self._at += 1 + is_list
        keys = self._key()
        self._at += 1 + is_list
        path: KeyPath = ()
        for key in keys[:-1]:  # inside a list it is about its last item
            path = self._inside((*path, key))
        path = (*path, keys[-1])
        end, self._at = self._at, start
        for length in range(1, len(path) + 1):
            self._note(path[:length])
        if is_list:
            self._blocks[path] = self._blocks.get(path, -1) + 1
            path = self._inside(path)
            self._note(path)
        self._at = end
        return path

    def _inside(self, path: KeyPath) -> KeyPath:
        return (*path, self._blocks[path]) if path in self._blocks else path

    def _setting(self, within: KeyPath) -> None:
        start = self._at
        path = (*within, *self._key())
        end, self._at = self._at, start
        for length in range(len(within) + 1, len(path) + 1):
            self._note(path[:length])
        self._at = end
        self._next("=")
        self._value(path)

    def _key(self) -> list[str]:
        """A name with its dots, as its parts."""
        keys: list[str] = []
        while True:
            self._take(_SPACES)
            quoted = self._take(_STRING)
            keys.append(tomllib.loads(f"x = {quoted}")["x"] if quoted else self._take(_BARE))
            self._take(_SPACES)
            if not self._text.startswith(".", self._at):
                return keys
            self._at += 1

    def _value(self, path: KeyPath) -> None:
        sign = self._text[self._at]
        if sign == "[":
            self._items(path)
        elif sign == "{":
            self._at += 1
            while self._next(",") and self._text[self._at] != "}":
                self._setting(path)
            self._at += 1
        elif not self._take(_STRING):
            self._take(_REST)

    def _items(self, path: KeyPath) -> None:
        self._at += 1
        index = 0
        while self._next(",") and self._text[self._at] != "]":
            self._note((*path, index))
            self._value((*path, index))
            index += 1
        self._at += 1
