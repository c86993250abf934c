"""Signs that say in which order bars are played, as a part writes them.

``<sound>`` and barlines are believed first. Signs and words count only in a part that has no
jump in its ``<sound>``, and only words that can mean nothing else.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.scores.children import attributes_of, children_of, element_of
from rewriter.scores.directions import read_direction_form

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.scores.score import Part

_ASKED: Final = (b"<barline", b"<sound", b"<segno", b"<coda", b"<words")
_JUMPS: Final = ("dacapo", "dalsegno")
_HEARD: Final = frozenset((*_JUMPS, "tocoda", "fine", "segno", "coda"))
_WORDS: Final = (
    ("dacapo", re.compile(r"(?:d\.? ?c\.?|da capo)(?: al (?:fine|coda))?\.?", re.IGNORECASE)),
    ("dalsegno", re.compile(r"(?:d\.? ?s\.?|d[ae]l segno)(?: al (?:fine|coda))?\.?",
                            re.IGNORECASE)),
    ("tocoda", re.compile(r"(?:to|al) coda", re.IGNORECASE)),
    ("fine", re.compile(r"fine\.?", re.IGNORECASE)),
)  # fmt: skip
_MOST_TURNS: Final = 32
"""Times a passage is played; more are a damaged file."""
_NUMBER: Final = re.compile(r"[0-9]{1,2}", re.ASCII)


class BarSigns(NamedTuple):
    """What a bar says of the order of bars.

    Attributes:
        forward: True where a repeat begins.
        turns: times the passage that is repeated from its end is played; 0 for no repeat.
        ending_starts: numbers of the ending that begins here; empty for none.
        ending_stops: True where an ending stops.
        heard: what ``<sound>`` says, names and values.
        drawn: the same as signs and words say it.
    """

    forward: bool = False
    turns: int = 0
    ending_starts: tuple[int, ...] = ()
    ending_stops: bool = False
    heard: tuple[tuple[str, str], ...] = ()
    drawn: tuple[tuple[str, str], ...] = ()


def signs_of(part: Part) -> list[BarSigns]:
    """What each bar says.

    Args:
        part: of any score.
    """
    return [
        signs_in(bar) if any(sign in bar for sign in _ASKED) else BarSigns()
        for bar in part.bars
    ]


def signs_in(bar: bytes) -> BarSigns:
    """What a bar says.

    Args:
        bar: ``<measure>`` as lxml writes it.
    """
    found = BarSigns()
    heard: list[tuple[str, str]] = []
    drawn: list[tuple[str, str]] = []
    for child in children_of(bar):
        if child.startswith(b"<barline"):
            found = _with_barline(found, child)
            heard += _of_sound(attributes_of(child))
        elif child.startswith(b"<sound"):
            heard += _of_sound(attributes_of(child))
        elif child.startswith(b"<direction"):
            form = read_direction_form(child)
            heard += _of_sound(dict(form.sound))
            drawn += _of_signs([(sign.tag, sign.text) for sign in form.signs])
    return found._replace(heard=tuple(heard), drawn=tuple(drawn))


def _of_sound(sound: dict[str, str]) -> Iterator[tuple[str, str]]:
    for name, value in sound.items():
        if name in _HEARD and value != "no":
            yield name, "" if value == "yes" else value


def _of_signs(signs: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Signs of one direction; a coda's sign beside "to coda" belongs to these words."""
    said = [
        name
        for tag, text in signs
        for name in ([tag] if tag in {"segno", "coda"} else _of_words(tag, text))
    ]
    return [(name, "") for name in said if name != "coda" or "tocoda" not in said]


def _of_words(tag: str, text: str) -> list[str]:
    if tag != "words":
        return []
    plain = " ".join(text.split())
    return [name for name, pattern in _WORDS if pattern.fullmatch(plain)]


def _with_barline(found: BarSigns, data: bytes) -> BarSigns:
    barline = element_of(data)
    ending, repeat = barline.find("ending"), barline.find("repeat")
    if ending is not None and ending.get("type") == "start":
        numbers = tuple(int(text) for text in _NUMBER.findall(ending.get("number", "")))
        found = found._replace(ending_starts=numbers)
    elif ending is not None:
        found = found._replace(ending_stops=True)
    if repeat is None:
        return found
    if repeat.get("direction") == "forward":
        return found._replace(forward=True)
    times = repeat.get("times", "")
    turns = int(times) if _NUMBER.fullmatch(times) else 2
    return found._replace(turns=max(1, min(turns, _MOST_TURNS)))
