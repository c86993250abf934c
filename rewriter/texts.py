"""Texts from anywhere, made fit for a message or for XML: one place for each."""

import re
from typing import Final

LONGEST_QUOTE: Final = 80
"""Characters of somebody else's text that a message repeats."""

LONGEST_TEXT: Final = 400
"""Characters of what is wrong, or where."""

LONGEST_LIST: Final = 4000
"""Characters of a remedy, which may list all names there are."""

_QUOTE: Final = re.compile(r'"[^"]*"')
_LONG_WORD: Final = re.compile(r"(\d{40})\d+|(\S{200})\S+")  # a path may be long
_FIT: Final = (
    range(0x9, 0xB), range(0xD, 0xE), range(0x20, 0xD800), range(0xE000, 0xFFFE),
    range(0x10000, 0x110000),
)  # fmt: skip
"""What XML can hold. A pattern of it takes longer to compile than all others together."""


def printable(text: str) -> str:
    r"""A text on one row, whatever is in it: control characters as escapes.

    >>> print(printable("Vn" + chr(10) + "I"))
    Vn\nI
    """
    return text if text.isprintable() else "".join(map(_printable_sign, text))


def _printable_sign(sign: str) -> str:
    if sign.isprintable():
        return sign
    import unicodedata

    return " " if unicodedata.category(sign) == "Zs" else repr(sign)[1:-1]


def one_row(text: str, most: int = LONGEST_TEXT) -> str:
    """A text fit for a message: one row, nothing quoted in it at more length than a row has.

    Args:
        text: which may quote whatever stands in a file.
        most: characters; the rest is left out.

    >>> one_row('no part is called "' + "x" * 90 + '"') == f'no part is called "{"x" * 80}..."'
    True
    """
    if len(text) > LONGEST_QUOTE:  # quotes first, so that what is said of them remains
        text = _LONG_WORD.sub(r"\1\2...", _QUOTE.sub(_shortened, text))
    text = printable(text[:LONGEST_LIST])
    return text if len(text) <= most else f"{text[:most]}..."


def _shortened(quote: re.Match[str]) -> str:
    said = printable(quote[0][1 : LONGEST_QUOTE + 2].removesuffix('"'))
    return f'"{said}"' if len(said) <= LONGEST_QUOTE else f'"{said[:LONGEST_QUOTE]}..."'


def unfit_sign(text: str) -> str:
    """The first character of a text that XML cannot hold; empty for none.

    Source: W3C XML 1.0, production 2.

    >>> unfit_sign("espr." + chr(27)) == chr(27), unfit_sign("Flöte")
    (True, '')
    """
    if text.isprintable():
        return ""
    return next((sign for sign in text if not any(ord(sign) in fit for fit in _FIT)), "")
