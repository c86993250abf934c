"""Ids of music that comes from elsewhere, so that none is given twice in a score."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.escaping import quoted
from rewriter.musicxml.note_reading import serialised
from rewriter.scores.children import element_of, plain
from rewriter.scores.references import forget_strangers, names_strangers, own_names

if TYPE_CHECKING:
    from collections.abc import Callable, Container, Sequence

    from rewriter.scores.score import Score

_IDS: Final = re.compile(
    rb"""<!--.*?-->|<!\[CDATA\[.*?\]\]>|<\?.*?\?>"""
    rb"""|(?<=\s)(?:id|player)\s*=\s*(?:"([^"<]*)"|'([^'<]*)')""",
    re.DOTALL,
)
_TAGS: Final = re.compile(
    rb"""<!--.*?-->|<!\[CDATA\[.*?\]\]>|<\?.*?\?>|<(?:[^>"']|"[^"]*"|'[^']*')*>""", re.DOTALL
)


def ids_in(data: bytes) -> set[str]:
    """Every id that is given or named in a text; what only looks like one may be among them.

    >>> sorted(ids_in(b"<a id='x'/><!-- id='y' --><b  player = 'z'/>"))
    ['x', 'z']
    """
    found = (match[1] or match[2] for match in _IDS.finditer(data))
    return {plain(one) for one in found if one}


def with_own_ids(
    score: Score, entry: bytes, bars: Sequence[bytes]
) -> tuple[bytes, list[bytes]]:
    """A part from elsewhere with ids that a score does not have yet.

    Its own id, its instruments' and players', and those of single elements change where they
    are taken, and all that names them. What names instruments of other parts goes.

    Args:
        score: not changed; the part is to be put into it.
        entry: ``<score-part>`` as lxml writes it.
        bars: likewise, ``<measure>`` each.

    Returns:
        Entry and bars.
    """
    own = own_names(element_of(entry))
    kept = [_without_strangers(bar, own) for bar in bars]
    taken = ids_in(score.text.data)
    names: dict[str, str] = {}
    for name in sorted(ids_in(b"".join((entry, *kept)))):
        names[name] = _free(name, taken)
        taken.add(names[name])
    change = lambda name: quoted(names[name])  # noqa: E731 - one word for it below
    return _renamed(entry, change), [_renamed(bar, change) for bar in kept]


def with_ids_of(score: Score, part: int, bar: bytes) -> bytes:
    """A bar from elsewhere for a part of a score.

    What names instruments that the part has not goes, and ids of single elements that are
    taken.

    Args:
        score: not changed.
        part: index in score order.
        bar: ``<measure>`` as lxml writes it.
    """
    own = own_names(score.parts[part].entry)
    bar = _without_strangers(bar, own)
    given = ids_in(bar) - own
    clashing = given & ids_in(score.text.data) if given else given
    if not clashing:
        return bar
    measure = element_of(bar)
    for element in measure.iter("*"):
        if element.get("id") in clashing:
            del element.attrib["id"]
    return serialised(measure)


def _without_strangers(bar: bytes, own: Container[str]) -> bytes:
    if not names_strangers(bar, own):
        return bar
    measure = element_of(bar)
    forget_strangers(measure, own)
    return serialised(measure)


def _free(name: str, taken: Container[str]) -> str:
    if name not in taken:
        return name
    return next(f"{name}-{n}" for n in range(2, 10**6) if f"{name}-{n}" not in taken)


def _renamed(data: bytes, change: Callable[[str], bytes]) -> bytes:
    def changed(match: re.Match[bytes]) -> bytes:
        name = match[1] or match[2]
        if not name:
            return match[0]
        return match[0][: match[0].index(b"=")] + b'="%b"' % change(plain(name))

    return _TAGS.sub(lambda tag: _IDS.sub(changed, tag[0]), data)
