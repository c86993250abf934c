"""What a verb is given, looked at as strictly as the command line looks at its options."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from rewriter.problems import Refused
from rewriter.rulefiles.values import nearest, said

if TYPE_CHECKING:
    from collections.abc import Sequence


def check_texts(**given: object) -> None:
    """Refuse what is no text.

    Raises:
        Refused: naming the argument.
    """
    for name, value in given.items():
        if not isinstance(value, str):
            raise _not(name, value, "text")


def check_text_list(**given: object) -> None:
    """Refuse what is no list of texts.

    Raises:
        Refused: naming the argument.
    """
    for name, value in given.items():
        if not isinstance(value, list | tuple):
            raise _not(name, value, "a list of texts")
        for each in value:
            check_texts(**{name: each})


def check_truths(**given: object) -> None:
    """Refuse what is neither True nor False.

    Raises:
        Refused: naming the argument.
    """
    for name, value in given.items():
        if not isinstance(value, bool):
            raise _not(name, value, "True or False")


def check_number(name: str, value: object) -> None:
    """Refuse what is no whole number from 0 on.

    Raises:
        Refused: naming the argument.
    """
    if isinstance(value, bool) or not isinstance(value, int) or value < 0:
        raise _not(name, value, "a whole number, 0 for none,")


def check_word(
    name: str, value: object, words: Sequence[str], *, may_be_empty: bool = True
) -> None:
    """Refuse what is none of some words.

    Raises:
        Refused: naming the argument, with the nearest of the words.
    """
    if value in words or (value == "" and may_be_empty):
        return
    near = nearest(value, words) if isinstance(value, str) else ""
    raise Refused(f"{shown(value)} is none of {', '.join(words)}", near, file=name)


def name_or_file(name: str, value: object) -> str:
    """The text of a name or of a path to a file.

    Raises:
        Refused: it is neither; naming the argument.
    """
    text = os.fspath(value) if isinstance(value, os.PathLike) else value
    if not isinstance(text, str):
        raise _not(name, value, "a name or a path")
    return text


def shown(value: object) -> str:
    """A value for a message: in quotes if it is text, by its kind if it may be long."""
    if isinstance(value, str):
        return said(value)
    if value is None or isinstance(value, (bool, int, float)):
        return str(value)
    return f"a value of the type {type(value).__name__}"


def _not(name: str, value: object, wanted: str) -> Refused:
    return Refused(f"{shown(value)} stands where {wanted} is wanted", file=name)
