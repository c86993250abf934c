"""What stands until something else does: clefs, keys, metres, transpositions.

Only a change is a thing. A part that says nothing has a treble clef, no sharps or flats, and
sounds as written; saying so changes nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.comparing.things import plain_text
from rewriter.scores.staff_signs import (
    USUAL_LINES,
    read_clef,
    read_key,
    read_transposition,
)
from rewriter.theory.fifths import Interval, kept_within_seven
from rewriter.theory.metre import Metre, metre_from_times

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lxml.etree import _Element as Element

DEFAULTS: Final = {"clef": "G2", "key": "0", "transposition": "", "staff lines": "5"}
"""What stands where nobody has said anything."""
_UNMOVED: Final = Interval(0, 0)


class Standing:
    """What is in force in a part, from its first bar on.

    Attributes:
        metre: in force; None where none was said or it is none that can be.
        transposed: what is written sounds so much higher.
    """

    def __init__(self, by: Interval = _UNMOVED, *, as_written: bool = False) -> None:
        """Begin with what nobody has to say.

        Args:
            by: moves keys and notes.
            as_written: transpositions are told but not applied.
        """
        self.metre: Metre | None = None
        self.transposed = _UNMOVED
        self._by = by
        self._as_written = as_written
        self._fifths = 0
        self._said: dict[tuple[str, str], str] = {}

    @property
    def moved(self) -> Interval:
        """How far notes are moved in the key in force: no further than keys have names."""
        if self._by == _UNMOVED:
            return _UNMOVED
        return kept_within_seven(self._fifths, self._by)

    @property
    def in_force(self) -> tuple[Interval, Interval, Metre | None]:
        """All that bears on a bar that changes nothing of it."""
        return self.transposed, self.moved, self.metre

    @property
    def sounding(self) -> Interval:
        """From what is written to what is compared."""
        steps, semitones = self.transposed
        return Interval(steps + self.moved.steps, semitones + self.moved.semitones)

    def take(self, attributes: Element) -> Iterator[tuple[str, str, str]]:
        """Kind, staff and text of what changes; the staff is empty for all.

        Args:
            attributes: of a bar.
        """
        for element in attributes.iterfind("transpose"):
            steps, semitones = said_in_full = read_transposition(element, _go_on).interval
            if not self._as_written:
                self.transposed = said_in_full
            said = f"{steps} {semitones}" if steps or semitones else ""
            yield from self._changed("transposition", element.get("number", ""), said)
        for element in attributes.iterfind("key"):
            yield from self._changed("key", element.get("number", ""), self._key(element))
        for element in attributes.iterfind("time"):
            yield from self._changed("metre", element.get("number", ""), self._metre(element))
        for element in attributes.iterfind("clef"):
            yield from self._changed("clef", element.get("number", "1"), clef(element))
        for element in attributes.iterfind("staff-details/staff-lines"):
            staff = element.getparent().get("number", "1")  # type: ignore[union-attr]  # found inside it
            yield from self._changed("staff lines", staff, plain_text(element.text))

    def _changed(self, kind: str, staff: str, said: str) -> Iterator[tuple[str, str, str]]:
        whole = self._said.get((kind, ""), DEFAULTS.get(kind, ""))
        if said == self._said.get((kind, staff), whole):
            return
        if not staff:
            for known in [key for key in self._said if key[0] == kind]:
                del self._said[known]
        self._said[kind, staff] = said
        yield kind, staff, said

    def _key(self, element: Element) -> str:
        impossible: list[str] = []
        key = read_key(element, impossible.append)
        if impossible or element.find("fifths") is None:
            steps = (plain_text(str(child.text or "")) for child in element)
            return plain_text(" ".join(steps))
        self._fifths = key.fifths + self.transposed.fifths
        if abs(self._fifths) > 7:  # noqa: PLR2004 - the transposition has no such key
            return str(self._fifths)
        return str(self._fifths + self.moved.fifths)

    def _metre(self, element: Element) -> str:
        beats = [plain_text(one.text) for one in element.iterfind("beats")]
        units = [plain_text(one.text) for one in element.iterfind("beat-type")]
        pairs = list(zip(beats, units, strict=False))
        try:
            self.metre = metre_from_times(pairs) if pairs else None
        except ValueError:
            self.metre = None
        symbol = element.get("symbol", "")
        printed = symbol if symbol in {"common", "cut"} else ""
        return plain_text("+".join("/".join(pair) for pair in pairs) + " " + printed) or "free"


def clef(element: Element) -> str:
    """A clef as text: sign, line, octaves up or down.

    Args:
        element: ``<clef>``.
    """
    sign, said, octaves = read_clef(element, _go_on)
    line = (said or USUAL_LINES[sign]) if sign in USUAL_LINES else ""
    return f"{sign}{line}{f' {octaves}' if octaves else ''}"


def _go_on(_: str) -> None:
    """What cannot be counts as not said."""
