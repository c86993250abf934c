"""What is for everybody stands in several parts of many files: here it is said once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.sketch.sounds import JUMPS
from rewriter.sketch.tempo_marks import LINES
from rewriter.theory.phrases import plain_words

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from lxml.etree import _Element as Element

Topic = tuple[str, str]
"""What a sign says: an element's name and its text; of a sound, the attribute's name."""


def topics(within: Element) -> Iterator[Topic]:
    """All that the directions and sounds in an element say, itself among them.

    Dashes say nothing: they belong to words.
    """
    for holder in within.iter("direction-type"):
        for sign in holder:
            if sign.tag not in LINES:
                text = "".join(str(piece) for piece in sign.itertext())
                yield str(sign.tag), plain_words(text) or " ".join(text.split())
    for sound in within.iter("sound"):
        yield from (("sound", str(name)) for name in sound.keys() if name in {"tempo", *JUMPS})  # noqa: SIM118 - an element


class SaidOnce:
    """Takes out of the signs of one part, one after the other, what is said already."""

    def __init__(self) -> None:
        self._without_dashes = False  # their words are said, so they are drawn already

    def left_of(self, element: Element, is_said: Callable[[Topic], bool]) -> Element | None:
        """What is still to be said; None where nothing is left.

        Args:
            element: ``<direction>`` or ``<sound>``; it is changed.
            is_said: what is said already.
        """
        says = set(topics(element))
        if element.tag == "sound":
            return None if says and all(map(is_said, says)) else element
        for holder in element.findall("direction-type"):
            said = list(topics(holder))
            if said:
                self._without_dashes = all(map(is_said, said))
            if self._without_dashes if said else self._has_no_words(holder):
                element.remove(holder)
        sound = element.find("sound")
        if sound is not None and is_said(("sound", "tempo")):
            sound.attrib.pop("tempo", None)
            if not sound.attrib and len(sound) == 0:
                element.remove(sound)
        return element if element.find("direction-type") is not None else None

    def _has_no_words(self, holder: Element) -> bool:
        return self._without_dashes and all(sign.tag in LINES for sign in holder)
