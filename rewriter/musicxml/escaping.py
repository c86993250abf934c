"""Text made fit to stand in XML: the one place where text becomes bytes of a score.

All other bytes of a score are the writer's own or come from lxml, which writes well-formed XML.
So what is written can be read again, and no output has to be parsed to be sure of it.
"""

import re
from typing import Final

from rewriter.problems import Refused
from rewriter.texts import unfit_sign

_WORD: Final = re.compile(r"[A-Za-z0-9_.:+-]*", re.ASCII)
_NAME: Final = re.compile(r"[^\s\"'<>=&/!?\x00-\x20]+")


def escaped(text: str) -> bytes:
    """Text for an element.

    Raises:
        Refused: a character of it can stand in no XML.

    >>> escaped("Flöte & Oboe <2>").decode()
    'Flöte &amp; Oboe &lt;2&gt;'
    """
    return _held(_without_marks(text))


def quoted(text: str) -> bytes:
    """Text for between the quotes of an attribute.

    Raises:
        Refused: as :func:`escaped` does.

    >>> quoted('X"1').decode()
    'X&quot;1'
    """
    return word(text) if text.isalnum() and text.isascii() else _held(_for_attribute(text))


def attribute(name: str, text: str) -> bytes:
    """An attribute with the space before it.

    Raises:
        Refused: as :func:`escaped` does, or no attribute has such a name.

    >>> attribute("number", 'X"1').decode()
    ' number="X&quot;1"'
    """
    if not _NAME.fullmatch(name):
        raise Refused(f'no attribute can be called "{name}"', "take it out")
    return b' %b="%b"' % (_held(name), quoted(text))


def word(text: str) -> bytes:
    """A word that is XML as it stands: a tag, a number, one of the standard's own values.

    Raises:
        ValueError: it is none; text out of a file is for the functions above.

    >>> word("double-sharp")
    b'double-sharp'
    """
    if not _WORD.fullmatch(text):
        raise ValueError(f'"{text}" is no word of the standard')
    return text.encode()


def _without_marks(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _for_attribute(text: str) -> str:
    said = _without_marks(text).replace('"', "&quot;")
    # What a reader would make spaces of is kept by its number.
    return said.replace("\n", "&#10;").replace("\t", "&#9;").replace("\r", "&#13;")


def _held(text: str) -> bytes:
    unfit = unfit_sign(text)
    if unfit:
        what = f"the character U+{ord(unfit):04X} can stand in no score"
        raise Refused(what, "take it out")
    return text.encode()
