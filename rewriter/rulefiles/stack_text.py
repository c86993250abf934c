"""The stack's characters: cut into words, signs and octaves, each with its place."""

import re
from collections.abc import Iterator
from typing import Literal

import msgspec

from rewriter.texts import one_row

OCTAVE_WORDS = {"15ma": 2, "8va": 1, "loco": 0, "8vb": -1, "15mb": -2}
SHARE_WORDS = ("half", "third", "desk", "desks", "solo", "others")
RESERVED = (*SHARE_WORDS, *OCTAVE_WORDS, "octave")

_MOST_OCTAVES = 8
_ROW = 100  # characters of a stack that are quoted
_QUOTES = '"\u201c\u201d\u201e\u201f'  # word processors make curly ones of straight ones
_OCTAVE = re.compile(rf"octave(?:\s*([+\u2212-]?)([0-9]+))?(?![^\s/+{_QUOTES}])", re.IGNORECASE)
_WORD = re.compile(rf"[^\s/+{_QUOTES}]+")
_CLOSING = re.compile(f"[{_QUOTES}]")

Kind = Literal["/", "+", "word", "share", "octave", "quoted", "end"]


class StackFault(ValueError):  # noqa: N818 - the mistake is the writer's, not the program's
    """A stack that cannot be read.

    Attributes:
        stack: the whole text.
        position: character the mistake begins at, from 0.
        length: characters it covers, at least 1.
        what: what is wrong, lower case, no full stop.
        remedy: what to do about it; may be empty.
    """

    def __init__(
        self, what: str, remedy: str = "", *, stack: str, position: int, length: int = 1
    ) -> None:
        what = one_row(what)
        super().__init__(f"{what}; {remedy}" if remedy else what)
        self.what = what
        self.remedy = remedy
        self.stack = stack
        self.position = position
        self.length = max(1, length)

    @property
    def quotation(self) -> str:
        """The stack, or a row's worth of it, and under the mistake a line of ``~``."""
        start = max(0, min(self.position, len(self.stack) - _ROW))
        start = start if len(self.stack) > _ROW else 0
        row = self.stack[start : start + _ROW]
        shown = "".join(sign if sign.isprintable() else " " for sign in row)
        at = self.position - start
        return f"{shown}\n{' ' * at}{'~' * max(1, min(self.length, _ROW - at))}"


class Token(msgspec.Struct, frozen=True):
    """A word, a sign, a quoted name or an octave word.

    Attributes:
        kind: ``share`` for ``half`` and the like, ``end`` once, after the last.
        text: as written, quotes left off, spaces inside made single.
        position: of its first character, from 0.
        length: in characters, quotes counted.
        octave: whole octaves, for the kind ``octave``.
    """

    kind: Kind
    text: str
    position: int
    length: int
    octave: int = 0

    @property
    def stop(self) -> int:
        """Position after its last character."""
        return self.position + self.length


def tokens_of(stack: str) -> list[Token]:
    """All tokens of a stack, ``end`` last.

    Raises:
        StackFault: a quote never closes, or ``octave`` has no number.
    """
    return [*_tokens(stack), Token("end", "", len(stack), 0)]


def _tokens(stack: str) -> Iterator[Token]:
    at = 0
    while at < len(stack):
        character = stack[at]
        if character.isspace():
            at += 1
            continue
        if character in "/+":
            token = Token("/" if character == "/" else "+", character, at, 1)
        elif character in _QUOTES:
            token = _quoted(stack, at)
        else:
            token = _octave(stack, at) or _word(stack, at)
        yield token
        at = token.stop


def _quoted(stack: str, at: int) -> Token:
    match = _CLOSING.search(stack, at + 1)
    if match is None:
        raise StackFault(
            "this quote never closes", stack=stack, position=at, length=len(stack) - at
        )
    name = " ".join(stack[at + 1 : match.start()].split())
    return Token("quoted", name, at, match.end() - at)


def _octave(stack: str, at: int) -> Token | None:
    match = _OCTAVE.match(stack, at)
    if match is None:
        return None
    sign, digits = match.groups()
    length = match.end() - at
    if digits is None:
        raise StackFault(
            '"octave" has no number',
            "write it like octave +2",
            stack=stack,
            position=at,
            length=length,
        )
    octave = int(digits) * (-1 if sign in {"-", "\u2212"} else 1)
    if abs(octave) > _MOST_OCTAVES:
        raise StackFault(
            f"{octave:+d} octaves are out of hearing",
            f"{_MOST_OCTAVES} up or down are the most",
            stack=stack,
            position=at,
            length=length,
        )
    return Token("octave", match[0], at, length, octave)


def _word(stack: str, at: int) -> Token:
    match = _WORD.match(stack, at)
    text = match[0] if match else stack[at]
    folded = text.lower()
    if folded in OCTAVE_WORDS:
        return Token("octave", text, at, len(text), OCTAVE_WORDS[folded])
    return Token("share" if folded in SHARE_WORDS else "word", text, at, len(text))
