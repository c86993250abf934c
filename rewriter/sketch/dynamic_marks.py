"""What a ``<dynamics>`` of the sketch leaves in force, be it in a direction or on a note."""

from __future__ import annotations

import re
from typing import Final

from rewriter.musicxml.escaping import word
from rewriter.theory.dynamics import lasting

_MARK: Final = re.compile(rb"<(?!dynamics|other-dynamics)([a-z]+)|<other-dynamics[^>]*>([^<]*)")


def lasting_in(data: bytes) -> str:
    """The dynamic in force behind ``<dynamics>`` elements; empty where all are accents.

    Args:
        data: none, one or several of them, with whatever stands between.

    >>> lasting_in(b"<dynamics><mf/><sf/></dynamics>")
    'mf'
    >>> lasting_in(b"<dynamics><rfz/></dynamics>")
    ''
    """
    marks = [known or other for known, other in _MARK.findall(data)]
    levels = [lasting(words[-1]) for mark in marks if (words := mark.decode().split())]
    return next((level for level in reversed(levels) if level), "")


def said_again(data: bytes) -> bytes:
    """``<dynamics>`` for whoever enters later: the mark that lasts; empty where none does.

    A mark that only lasts is said as it was; of one that is an accent as well only what is in
    force remains: *p* of *fp*.

    Args:
        data: ``<dynamics>`` elements of a direction or a note.

    >>> said_again(b"<dynamics><fp/></dynamics>"), said_again(b"<dynamics><sfz/></dynamics>")
    (b'<dynamics><p/></dynamics>', b'')
    """
    level = lasting_in(data)
    if not level:
        return b""
    marks = [(known or other).split()[-1:] for known, other in _MARK.findall(data)]
    if marks == [[word(level)]]:
        return data
    return b"<dynamics><%b/></dynamics>" % word(level)
