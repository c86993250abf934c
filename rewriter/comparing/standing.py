"""What stands until something else does: clefs, keys, metres, transpositions.

Only a change is a thing. A part that says nothing has a treble clef, no sharps or flats, and
sounds as written; saying so changes nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.comparing.things import plain_text
from rewriter.theory.fifths import Interval, kept_within_seven
from rewriter.theory.metre import Metre, metre_from_times

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lxml.etree import _Element as Element

_LINES: Final = {"G": "2", "F": "4", "C": "3"}
_DEFAULTS: Final = {"clef": "G2", "key": "0", "transposition": "", "staff lines": "5"}
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
            steps, semitones = said_in_full = transposition(element)
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
        whole = self._said.get((kind, ""), _DEFAULTS.get(kind, ""))
        if said == self._said.get((kind, staff), whole):
            return
        if not staff:
            for known in [key for key in self._said if key[0] == kind]:
                del self._said[known]
        self._said[kind, staff] = said
        yield kind, staff, said

    def _key(self, element: Element) -> str:
        try:
            written = int(plain_text(element.findtext("fifths")))
        except ValueError:
            steps = (plain_text(str(child.text or "")) for child in element)
            return plain_text(" ".join(steps))
        self._fifths = written + self.transposed.fifths
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
    sign = plain_text(element.findtext("sign"))
    line = plain_text(element.findtext("line")) or _LINES.get(sign, "")
    octaves = plain_text(element.findtext("clef-octave-change"))
    moved = octaves if octaves.lstrip("+-0") else ""
    return f"{sign}{line if sign in _LINES else ''}{f' {moved}' if moved else ''}"


def transposition(element: Element) -> Interval:
    """From what is written to what sounds; steps that are not said follow the semitones.

    Args:
        element: ``<transpose>``.
    """
    semitones = _whole(element.findtext("chromatic"))
    said = element.findtext("diatonic")
    octaves = _whole(element.findtext("octave-change"))
    steps = _whole(said) if said else round(semitones * 7 / 12)
    return Interval(steps + 7 * octaves, semitones + 12 * octaves)


def _whole(text: str | None) -> int:
    try:
        return round(float(plain_text(text) or 0))
    except ValueError:
        return 0
