"""What to write in place of a row that is no TOML, where one can tell what was meant.

Each guess is a row, and only one that is TOML is told.
"""

import re
import tomllib
from collections.abc import Callable, Iterator
from typing import Final, NamedTuple

_LONGEST: Final = 100  # characters of a row that is told


class Hint(NamedTuple):
    """What is wrong with a row, and what to do about it; both for people."""

    what: str
    remedy: str


class _Guess(NamedTuple):
    what: str
    row: str


_CURLY: Final = "\u201c\u201d\u201e\u201f\u2018\u2019\u201a\u00ab\u00bb"
_STRAIGHT: Final = str.maketrans(dict.fromkeys(_CURLY, '"'))
_QUOTED: Final = re.compile(r"\"[^\"]*\"|'[^']*'")
_BARE: Final = re.compile(r"[\w-]+", re.ASCII)
_ODD_SPACE: Final = re.compile(r"[^\S\t ]")
_REMARK: Final = re.compile(r"(?://|;|%|--|/\*)\s*(.*)")
_BLOCK: Final = re.compile(r"(\[{1,2})\s*([^\[\]#]+?)\s*\]*")
_SETTING: Final = re.compile(r"([^=:]+?)\s*[=:]\s*(.*?)(?:\s+#.*|#)?")
_NO_SIGN: Final = re.compile(r"([\w.-]+)\s+(\".*)", re.ASCII)
_OPEN: Final = re.compile(r"\{[^}]*$")
_COMMA: Final = re.compile(r"-?\d+,\d+")
_LISTS: Final = {"passage", "with", "section", "cue", "scoring"}
_TRUTHS: Final = {
    **dict.fromkeys(("yes", "on", "true"), "true"),
    **dict.fromkeys(("no", "off", "false"), "false"),
}

_NO_QUOTES: Final = "this text has no quotes"
_NO_END: Final = "this text has no quote at its end"
_NO_EQUALS: Final = 'no "=" stands after the name of this setting'
_NAME: Final = "a name with a space or a sign in it needs quotes"


def toml_hint(row: str, *, twice: bool = False) -> Hint | None:
    """What is wrong with a row; None for no idea.

    Args:
        row: at which the reader stumbled.
        twice: it says something that the file has said already.
    """
    row = row.strip(" \t\r")
    if twice:
        return _twice(row)
    if row.startswith(("{\\rtf", "<")):
        return Hint("this is no plain text", "save the file as plain text, in UTF-8")
    if _OPEN.search(_QUOTED.sub("", row)):
        return Hint("settings between { and } stand in one row", "close them in this one")
    for look in _LOOKS:
        for guess in look(row):
            if len(guess.row) <= _LONGEST and _is_toml(guess.row):
                return Hint(guess.what, f"write {guess.row.strip()}")
    return None


def _twice(row: str) -> Hint | None:
    match = _BLOCK.fullmatch(row)
    if match is None or match[1] == "[[" or match[2] not in _LISTS:
        return None
    return Hint("this stands in the file twice", f"write [[{match[2]}]] for each of them")


def _is_toml(row: str) -> bool:
    try:
        tomllib.loads(row)
    except tomllib.TOMLDecodeError:
        return False
    return True


def _curly_quotes(row: str) -> Iterator[_Guess]:
    if set(_CURLY) & set(_QUOTED.sub("", row)):
        yield _Guess("curly quotes stand here, not straight ones", row.translate(_STRAIGHT))


def _odd_spaces(row: str) -> Iterator[_Guess]:
    plain = _ODD_SPACE.sub(" ", row)
    if plain != row:
        yield _Guess("a space that is no plain one stands here", plain)


def _remark(row: str) -> Iterator[_Guess]:
    if match := _REMARK.fullmatch(row):
        yield _Guess('a remark begins with "#"', f"# {match[1]}".rstrip())


def _block(row: str) -> Iterator[_Guess]:
    match = _BLOCK.fullmatch(row)
    if match is None:
        return
    opening, name = match[1], match[2].replace('"', "")
    closing = "]" * len(opening)
    what = f'no "{closing}" stands after the name of this block'
    what = _NAME if row.endswith(closing) else what
    yield _Guess(what, f"{opening}{_name(name)}{closing}")


def _setting(row: str) -> Iterator[_Guess]:
    """Guesses at ``name = value``, its value first."""
    match = _SETTING.fullmatch(row) or _NO_SIGN.fullmatch(row)
    if match is None:
        return
    name, value = match[1].lstrip("- "), match[2]
    value = "" if value.startswith("#") else value
    if "=" in value and not value.startswith("{"):
        return  # two settings in one row
    missing = "" if "=" in row else _NO_EQUALS
    if not all(name.split(".")):
        return
    if not _is_name(name):
        missing, name = missing or _NAME, _name(name)
    yield _Guess(missing or "this is no value", f"{name} = {value}")
    if not value and name in _LISTS:
        yield _Guess("a block begins with its name in brackets", f"[[{name}]]")
    if not value:
        yield _Guess('nothing stands after the "="', f'{name} = "..."')
    if name.endswith("severity") and value == "off":  # a word here, and no truth
        yield _Guess(missing or _NO_QUOTES, f'{name} = "off"')
    for what, guess in _values(value):
        yield _Guess(missing or what, f"{name} = {guess}")


def _values(value: str) -> Iterator[tuple[str, str]]:
    """What is wrong with a value, and what it may have been meant to be."""
    if value.lower() in _TRUTHS:
        yield "this is neither true nor false", _TRUTHS[value.lower()]
    if _COMMA.fullmatch(value):
        yield "a decimal has a point", value.replace(",", ".")
    if value.startswith("."):
        yield "a decimal begins with a figure", f"0{value}"
    if value.endswith(","):
        yield 'no "," stands at the end of a row', value.rstrip(", ")
    if value[:1] not in {'"', "'", "[", "{", ""}:
        yield _NO_QUOTES, f"'{value}'" if '"' in value else f'"{value}"'
    if value[:1] in {'"', "'"} and value.count(value[0]) == 1:
        yield _NO_END, f"{value.rstrip()}{value[0]}"
    if value[:1] == '"' and not value.startswith('"""'):
        inside = " ".join(value.replace('"', " ").split())
        yield "quotes stand around the whole text, and only there", f'"{inside}"'


def _is_name(text: str) -> bool:
    return all(map(_BARE.fullmatch, text.split(".")))


def _name(text: str) -> str:
    """A name with dots, in quotes what needs them."""
    parts = (part.strip().strip('"') for part in text.split("."))
    return ".".join(part if _BARE.fullmatch(part) else f'"{part}"' for part in parts)


_LOOKS: tuple[Callable[[str], Iterator[_Guess]], ...] = (
    _curly_quotes,
    _odd_spaces,
    _remark,
    _block,
    _setting,
)
