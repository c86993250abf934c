"""What music21 writes, made the same on every day, without what the file did not say."""

from collections.abc import Sequence
from typing import Final, NamedTuple

from lxml import etree

from rewriter.musicxml.opening import partwise_root

_ITS_OWN: Final = {"Music21", "Music21 Fragment"}
"""What music21 calls composer and title where a file names none."""
_OF_ITS_PAGE: Final = ("identification/encoding", "identification/miscellaneous", "defaults")


class Unread(NamedTuple):
    """What a file says and music21 does not take over.

    Attributes:
        title: empty where there is none.
        names: of the parts; they count if there are as many.
        bars: printed numbers, likewise.
    """

    title: str = ""
    names: Sequence[str] = ()
    bars: Sequence[str] = ()


def tidied(data: bytes, unread: Unread | None = None) -> bytes:
    """MusicXML that is the same whenever the same file is read.

    Args:
        data: as music21 writes it: with the date, numbers drawn by lot for the parts, comments
            between the bars, a composer and a title of its own, a barline on every bar.
        unread: put in where music21 left it out.

    Raises:
        Refused: it is no MusicXML.
    """
    root = partwise_root(data, "")
    title, names, bars = unread or Unread()
    _leave_out(root)
    if title and root.find("work/work-title") is None and root.find("movement-title") is None:
        heading = etree.Element("movement-title")
        heading.text = title
        root.insert(0, heading)
    _number(root)
    _name(root, names)
    for part in root.findall("part"):
        _number_bars(part.findall("measure"), bars)
    return etree.tostring(root, encoding="UTF-8", xml_declaration=True)


def _leave_out(root: etree._Element) -> None:
    """What music21 adds of its own goes."""
    for path in _OF_ITS_PAGE:
        for element in root.findall(path):
            _remove(element)
    for path in ("work/work-title", "movement-title", "identification/creator"):
        for element in root.findall(path):
            if element.text in _ITS_OWN:
                _remove(element)
    for barline in root.findall("part/measure/barline"):
        if [(child.tag, child.text) for child in barline] == [("bar-style", "regular")]:
            _remove(barline)


def _remove(element: etree._Element) -> None:
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)


def _number(root: etree._Element) -> None:
    """Parts and their instruments called by their place."""
    now: dict[str, str] = {}
    for place, part in enumerate(root.findall("part-list/score-part"), 1):
        now[part.get("id", "")] = f"P{place}"
        for number, instrument in enumerate(part.findall("score-instrument"), 1):
            now[instrument.get("id", "")] = f"P{place}-I{number}"
    for element in root.iter(
        "score-part", "part", "score-instrument", "midi-instrument", "midi-device", "instrument"
    ):
        old = element.get("id")
        if old in now:
            element.set("id", now[old])


def _number_bars(found: Sequence[etree._Element], numbers: Sequence[str]) -> None:
    """Bars with the numbers they have, and without one told from a first bar 0.

    Else they would begin a movement.

    Source: W3C MusicXML 4.0, ``<measure>``: a number that is none, such as X1, and implicit.
    """
    if len(numbers) == len(found):
        for bar, number in zip(found, numbers, strict=True):
            bar.set("number", number or "0")
    unnumbered = [bar for bar in found if bar.get("number") == "0"]
    for bar in unnumbered:
        bar.set("implicit", "yes")
    if unnumbered and unnumbered[0] is found[0]:
        del unnumbered[0]
    for place, bar in enumerate(unnumbered, 1):
        bar.set("number", f"X{place}")


def _name(root: etree._Element, names: Sequence[str]) -> None:
    """Parts without a name given theirs."""
    parts = root.findall("part-list/score-part")
    if len(parts) != len(names):
        return
    for part, name in zip(parts, names, strict=True):
        element = part.find("part-name")
        if element is not None and not element.text:
            element.text = name
