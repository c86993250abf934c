"""Directions the tool itself puts in a part: dynamics, techniques, and who plays."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.escaping import escaped, quoted, word
from rewriter.theory.division_words import said

if TYPE_CHECKING:
    from rewriter.rulefiles.stack_lines import Share

DYNAMICS: Final = ("pppppp", "ppppp", "pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff",
                   "ffff", "fffff", "ffffff")  # fmt: skip
"""From the softest; what a step softer or louder means."""

_MARK: Final = re.compile(rb"<([pmf]+)/>")


def share_words(share: Share, language: str) -> str:
    """What is printed where part of a section plays; empty for all of it."""
    if share.kind in {"whole", "equal"}:
        return ""
    return said(share.kind, language).format(first=share.first, last=share.last)


def words_direction(text: str, *, italic: bool = False, below: bool = False) -> bytes:
    """Words above the staff, or below it."""
    style = b' font-style="italic"' if italic else b""
    return (
        b'<direction placement="%b"><direction-type><words%b>%b</words></direction-type>'
        b"</direction>\n" % (b"below" if below else b"above", style, escaped(text))
    )


def dynamic_direction(dynamics: bytes) -> bytes:
    """A ``<dynamics>`` element below the staff."""
    return (
        b'<direction placement="below"><direction-type>%b</direction-type></direction>\n'
        % dynamics
    )


def line_start(data: bytes) -> bytes:
    """A hairpin or dashed line begun again."""
    return (
        b'<direction placement="below"><direction-type>%b</direction-type></direction>\n' % data
    )


def line_end(tag: str, number: str) -> bytes:
    """The end of a hairpin or line."""
    extra = b' line-end="none"' if tag == "bracket" else b""
    return (
        b'<direction><direction-type><%b type="stop" number="%b"%b/></direction-type>'
        b"</direction>\n" % (word(tag), quoted(number), extra)
    )


def stepped(data: bytes, change: str) -> bytes:
    """A direction or ``<dynamics>`` with its marks made softer or louder.

    Args:
        data: bytes with marks such as ``<mf/>`` in them.
        change: ``-1``, ``+2`` and so on.
    """
    steps = int(change.replace("\N{MINUS SIGN}", "-"))

    def moved(match: re.Match[bytes]) -> bytes:
        mark = match[1].decode()
        if mark not in DYNAMICS:
            return match[0]
        place = min(max(DYNAMICS.index(mark) + steps, 0), len(DYNAMICS) - 1)
        return b"<%b/>" % word(DYNAMICS[place])

    return _MARK.sub(moved, data)
