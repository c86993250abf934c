"""What is wrong with a rule file that is no TOML, in the words of those who write them."""

import re
import tomllib
from typing import NamedTuple


class TomlFault(NamedTuple):
    """Why a text is no TOML.

    Attributes:
        line: from 1.
        what: what is wrong, lower case, no full stop.
        remedy: what to do about it; may be empty.
    """

    line: int
    what: str
    remedy: str


def toml_fault(fault: tomllib.TOMLDecodeError, text: str) -> TomlFault:
    """Word what tomllib says of a text."""
    said = str(fault)
    match = _AT.search(said)
    last = text.count("\n") + (not text.endswith("\n"))
    line = int(match[1]) if match and match[1] else max(1, last)
    said = _AT.sub("", said)
    what, remedy = next(
        (words for start, words in _WORDS.items() if said.startswith(start)), ("", "")
    )
    if not what:
        character = said.rpartition("character ")[2].strip("'\"")
        what = f'"{character}" cannot stand here' if character != said else "this is no TOML"
    return TomlFault(line, what, remedy)


_AT = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)$")

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
    "Cannot ": _TWICE,
    "Duplicate ": _TWICE,
}
"""How a message of tomllib begins → what is said instead, and the remedy."""
