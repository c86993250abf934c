"""What is wrong with a rule file that is no TOML, in the words of those who write them."""

import re
import tomllib
from typing import Any

_LONGEST_ROW = 1000
_DEEPEST = 100


class NoToml(ValueError):  # noqa: N818 - the mistake is the writer's, not the program's
    """Why a text is no TOML that is read: what is wrong, and what to do about it.

    Attributes:
        line: from 1.
    """

    def __init__(self, what: str, remedy: str, line: int) -> None:
        super().__init__(what, remedy)
        self.line = line


def toml_of(text: str) -> dict[str, Any]:
    """A text as TOML, whatever its keys.

    Numbers of thousands of digits, names of thousands of parts and the like, at which a
    reader stumbles or stands still, need rows that nobody writes: those are refused.

    Raises:
        NoToml: it is none, or no rule file looks like it.
    """
    for number, row in enumerate(text.splitlines(), 1):
        if len(row) > _LONGEST_ROW:
            what = f"this row is longer than {_LONGEST_ROW} characters"
            raise NoToml(what, "break it into several", number)
    try:
        read = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise _worded(fault, text) from None
    except RecursionError:
        read = None
    if read is None or _is_deep(read):
        what = "settings are nested too deeply here"
        raise NoToml(what, "nothing in a rule file needs it", _deep_row(text))
    return read


def _is_deep(read: dict[str, Any]) -> bool:
    """True where blocks and lists are in one another beyond all use."""
    layer: list[Any] = [read]
    for _ in range(_DEEPEST):
        inner = [one.values() if isinstance(one, dict) else one for one in layer]
        layer = [one for some in inner for one in some if isinstance(one, (dict, list))]
        if not layer:
            return False
    return True


def _deep_row(text: str) -> int:
    """The row in which they are."""
    depth = 0
    for number, row in enumerate(text.splitlines(), 1):
        if row.count(".") > _DEEPEST:
            return number
        for sign in row:
            depth += (sign in "[{") - (sign in "]}")
            if depth > _DEEPEST:
                return number
    return 1


def _worded(fault: tomllib.TOMLDecodeError, text: str) -> NoToml:
    """What tomllib says of a text, for people."""
    from rewriter.rulefiles.toml_hints import toml_hint

    said = str(fault)
    match = _AT.search(said)
    last = text.count("\n") + (not text.endswith("\n"))
    line = int(match[1]) if match and match[1] else max(1, last)
    said = _AT.sub("", said)
    rows = text.split("\n")
    row = rows[line - 1] if line <= len(rows) else ""
    if hint := toml_hint(row, twice=said.startswith(_SAID_TWICE)):
        return NoToml(*hint, line)
    what, remedy = next(
        (words for start, words in _WORDS.items() if said.startswith(start)), ("", "")
    )
    if not what:
        character = said.rpartition("character ")[2].strip("'\"")
        what = f'"{character}" cannot stand here' if character != said else "this is no TOML"
    return NoToml(what, remedy, line)


_AT = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)$")

_SAID_TWICE = ("Cannot ", "Duplicate ")
_NO_QUOTE = ("this text has no quote at its end", "")
_TWICE = ("this stands in the file twice", "keep one of the two")

_WORDS = {
    "Expected '=' after": (
        'no "=" stands after the name of this setting',
        'write it like title = "x"',
    ),
    "Expected ']' at": ('no "]" stands after the name of this block', ""),
    "Expected ']]' at": ('no "]]" stands after the name of this block', ""),
    "Expected newline": (
        "more stands here than one setting",
        "begin another row, or close the quotes",
    ),
    "Invalid initial character": ("a setting has no name here", 'write it like title = "x"'),
    "Invalid statement": ("this is no setting", 'write it like title = "x"'),
    "Invalid value": ("this is no value", "put text in quotes"),
    "Invalid date": ("this is no date", "put text in quotes"),
    "Invalid hex": ("this is no number of a character", ""),
    "Escaped character": ("this is no number of a character", ""),
    "Unescaped": ('a "\\" stands alone in this text', "write it twice"),
    "Unclosed array": ('this list has no "]" at its end', ""),
    "Unclosed inline table": ('these settings have no "}" at their end', ""),
    "Unterminated string": _NO_QUOTE,
    "Illegal character '\\n'": _NO_QUOTE,
    "Illegal character '\\r'": _NO_QUOTE,
    "Expected '": _NO_QUOTE,
    'Expected "': _NO_QUOTE,
    **dict.fromkeys(_SAID_TWICE, _TWICE),
}
"""How a message of tomllib begins → what is said instead, and the remedy."""
