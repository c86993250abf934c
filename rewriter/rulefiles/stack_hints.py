"""What was probably meant by words of a stack that are no section's name."""

import re
from collections.abc import Callable, Sequence
from typing import Final, NamedTuple

from rewriter.rulefiles.stack_lines import octave_word
from rewriter.rulefiles.stack_text import OCTAVE_WORDS, Token

Find = Callable[[str], object]
"""The sections a name means; nothing where it means none."""


class Hint(NamedTuple):
    """A mistake that people make.

    Attributes:
        what: what is wrong.
        remedy: what to write.
        first: token it begins with.
        last: token it ends with.
    """

    what: str
    remedy: str
    first: Token
    last: Token


_SIGN: Final = re.compile(r"[|\\,;&>]")
_BETWEEN: Final = {*"|\\,;&>-", "\N{EN DASH}", "\N{EM DASH}", "and", "und", "et", "e"}
_LEVELS: Final = 'write "/" for an octave lower, "+" for the same octave'
_NEARLY_OCTAVE: Final = re.compile(r"(8|15|16) ?(v|va|ve|vb|ma|mb|a|b|ba)?\.?", re.IGNORECASE)
_DIVIDED: Final = "name the section on two levels, or half, third or desks of it"
_ALL: Final = "leave it out: a name is the whole section"
_SAID_OTHERWISE: Final = {
    "div": _DIVIDED,
    "divisi": _DIVIDED,
    "tutti": _ALL,
    "unis": _ALL,
    "all": _ALL,
}
_BELOW: Final = {"bassa", "basso", "sotto"}


def hint(words: Sequence[Token], find: Find) -> Hint | None:
    """What is wrong with the words of a name that no section has; None for no idea.

    Args:
        words: of the name.
        find: looks a name up.
    """
    return _of_signs(words, find) or _of_octaves(words, find) or _of_shares(words)


def hint_after(octave: Token, word: Token) -> Hint | None:
    """What is wrong with a word behind an octave word; None for no idea."""
    said = word.text.lower()
    if octave.kind == "octave" and said in _BETWEEN:
        return Hint(f'"{word.text}" says nothing in a stack', _LEVELS, word, word)
    if octave.kind == "octave" and said in _BELOW and octave.octave:
        what = f'"{octave.text} {word.text}" is no octave word'
        return Hint(what, f"write {octave_word(-abs(octave.octave))}", octave, word)
    return None


def _of_signs(words: Sequence[Token], find: Find) -> Hint | None:
    """Signs and words people put between sections."""
    for index, word in enumerate(words):
        before = [one.text for one in words[:index]]
        sign = word.text if word.text.lower() in _BETWEEN else ""
        if match := _SIGN.search(word.text):
            before.append(word.text[: match.start()])
            sign = match[0]
        if before and before[-1].lower() in OCTAVE_WORDS:
            before.pop()
        if sign and find(" ".join(before).strip()):
            return Hint(f'"{sign}" says nothing in a stack', _LEVELS, word, word)
    return None


def _of_octaves(words: Sequence[Token], find: Find) -> Hint | None:
    """Octave words that are nearly one, behind a name."""
    for length in (2, 1):
        name, tail = words[:-length], words[-length:]
        said = " ".join(word.text for word in tail)
        match = _NEARLY_OCTAVE.fullmatch(said)
        if match and name and find(" ".join(word.text for word in name)):
            octaves = 1 if match[1] == "8" else 2
            below = "b" in (match[2] or "").lower()
            remedy = f"write {octave_word(-octaves if below else octaves)}"
            return Hint(f'"{said}" is no octave word', remedy, tail[0], tail[-1])
    return None


def _of_shares(words: Sequence[Token]) -> Hint | None:
    for word in words:
        remedy = _SAID_OTHERWISE.get(word.text.lower().rstrip("."))
        if remedy and len(words) > 1:
            return Hint(f'"{word.text}" says nothing in a stack', remedy, word, word)
    return None
