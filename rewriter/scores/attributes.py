"""What an ``<attributes>`` says, read once for all that say the same."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.musicxml.remembering import Remembered
from rewriter.scores.children import element_of
from rewriter.scores.notes import positive
from rewriter.theory.metre import Metre, metre_from_times

if TYPE_CHECKING:
    from lxml.etree import _Element as Element


class KeySaid(NamedTuple):
    """A key signature.

    Attributes:
        fifths: sharps above zero, flats below; 0 where it is an unusual one.
        mode: such as ``minor``; empty where it is not said.
        altered: (step, semitones) of each sign of an unusual key.
    """

    fifths: int
    mode: str = ""
    altered: tuple[tuple[str, float], ...] = ()


class ClefSaid(NamedTuple):
    """A clef.

    Attributes:
        sign: such as ``G``.
        line: counted from the bottom, as text; empty where it is not said.
        octaves: it is read higher by; pitches in the file already sound so.
    """

    sign: str
    line: str = ""
    octaves: int = 0


class Transposition(NamedTuple):
    """From what is written to what sounds.

    Attributes:
        diatonic: steps; where they are not said, what so many semitones usually are.
        chromatic: semitones.
        octaves: besides.
        doubled: octaves at which it sounds as well; 0 where it does not.
    """

    diatonic: int = 0
    chromatic: float = 0
    octaves: int = 0
    doubled: int = 0

    @property
    def semitones(self) -> float:
        """From the written pitch to the sounding one."""
        return self.chromatic + 12 * self.octaves


Said = Fraction | Metre | KeySaid | ClefSaid | Transposition


class Change(NamedTuple):
    """One thing an ``<attributes>`` sets.

    Attributes:
        kind: ``divisions``, ``metre``, ``key``, ``clef`` or ``transposition``.
        staff: counted from the top, as text; empty where it is for all.
        value: what is in force from here on.
    """

    kind: str
    staff: str
    value: Said


_KNOWN: Final[Remembered[tuple[Change, ...]]] = Remembered()


def changes_in(data: bytes) -> tuple[Change, ...]:
    """What an ``<attributes>`` sets; what cannot be read is left out.

    Args:
        data: as lxml writes it.
    """
    known = _KNOWN.get(data)
    if known is None:
        known = tuple(_changes(element_of(data)))
        _KNOWN.keep(data, known)
    return known


def _changes(attributes: Element) -> list[Change]:
    found = []
    for child in attributes.iterchildren("*"):
        kind, read = _READERS.get(str(child.tag), ("", _nothing))
        value = read(child)
        if value is not None:
            # A clef without a number is the first staff's; all else is for every staff.
            staff = child.get("number") or ("1" if kind == "clef" else "")
            found.append(Change(kind, staff, value))
    return found


def _nothing(_: Element) -> Said | None:
    return None


def _divisions(element: Element) -> Said | None:
    return positive(element.text or "")


def _number(element: Element, tag: str) -> float:
    try:
        return float(element.findtext(tag) or 0)
    except ValueError:
        return 0


def _metre(element: Element) -> Said | None:
    beats, types = (
        [child.text or "" for child in element.iterchildren(tag)]
        for tag in ("beats", "beat-type")
    )
    try:
        return metre_from_times(list(zip(beats, types, strict=False)))
    except ValueError:
        return None


def _key(element: Element) -> Said | None:
    mode = (element.findtext("mode") or "").strip()
    steps = [(child.text or "").strip() for child in element.iterchildren("key-step")]
    if not steps:
        return KeySaid(int(_number(element, "fifths")), mode)
    alters = []
    for child in element.iterchildren("key-alter"):
        try:
            alters.append(float(child.text or 0))
        except ValueError:
            alters.append(0)
    return KeySaid(0, mode, tuple(zip(steps, alters, strict=False)))


def _clef(element: Element) -> Said | None:
    sign, line = ((element.findtext(tag) or "").strip() for tag in ("sign", "line"))
    return ClefSaid(sign, line, int(_number(element, "clef-octave-change")))


def _transposition(element: Element) -> Said | None:
    double = element.find("double")
    doubled = 0 if double is None else 1 if double.get("above") == "yes" else -1
    chromatic = _number(element, "chromatic")
    if element.find("diatonic") is not None:
        steps = int(_number(element, "diatonic"))
    else:
        steps = round(chromatic * 7 / 12)
    return Transposition(
        steps,
        chromatic,
        int(_number(element, "octave-change")),
        doubled,
    )


_READERS: Final = {
    "divisions": ("divisions", _divisions),
    "time": ("metre", _metre),
    "key": ("key", _key),
    "clef": ("clef", _clef),
    "transpose": ("transposition", _transposition),
}
