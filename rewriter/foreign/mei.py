"""MEI made plain enough for music21, which stops at some of what the guidelines allow."""

from typing import Final, NamedTuple

from lxml import etree

from rewriter.foreign.tidying import Unread
from rewriter.musicxml.faults import EXPORT_AGAIN, broken_xml
from rewriter.musicxml.parsing import safe_parser
from rewriter.problems import Refused

_MEI: Final = "{http://www.music-encoding.org/ns/mei}"
_SYLLABLES: Final = {"wordpos": "imt", "con": "sdtu"}
"""Values of attributes of ``<syl>`` that music21 knows; s, a word of its own, it does not."""


class Mei(NamedTuple):
    """An MEI file with one movement.

    Attributes:
        data: for music21, in UTF-8.
        music: the movement, as a tree.
        unread: what music21 does not take over.
    """

    data: bytes
    music: etree._Element
    unread: Unread


def plain_mei(data: bytes) -> Mei:
    """An MEI file without what music21 stops at.

    Bars are numbered through, as it takes only whole numbers; a syllable loses how it is
    joined to the next where it does not know the word for it, and a clef that only points to
    another goes.

    Raises:
        Refused: it is damaged, or holds no score or several.
    """
    try:
        root = etree.fromstring(data.lstrip(), safe_parser())
    except etree.XMLSyntaxError as error:
        raise broken_xml(data, error) from None
    movements = [
        one for one in root.iter(f"{_MEI}mdiv") if one.find(f"{_MEI}score") is not None
    ]
    if len(movements) > 1:
        raise Refused(f"this MEI holds {len(movements)} movements", "give them one by one")
    if not movements:
        raise Refused("this MEI holds no score", EXPORT_AGAIN)
    music = movements[0]
    bars = []
    for place, bar in enumerate(music.iter(f"{_MEI}measure"), 1):
        bars.append(bar.get("n", ""))
        bar.set("n", str(place))
    for syllable in music.iter(f"{_MEI}syl"):
        for name, known in _SYLLABLES.items():
            if syllable.get(name, known[0]) not in known:
                del syllable.attrib[name]
    for clef in list(music.iter(f"{_MEI}clef")):
        parent = clef.getparent()
        if parent is not None and not (clef.get("shape") and clef.get("line")):
            parent.remove(clef)
    title = root.findtext(f".//{_MEI}titleStmt/{_MEI}title") or ""
    unread = Unread(" ".join(title.split()), _names(music), bars)
    return Mei(etree.tostring(root, encoding="UTF-8"), music, unread)


def _names(music: etree._Element) -> list[str]:
    """What the staves are called, from the top."""
    names: dict[str, str] = {}
    for staff in music.iter(f"{_MEI}staffDef"):
        said = staff.get("label") or staff.findtext(f"{_MEI}label") or ""
        names.setdefault(str(staff.get("n", "")), " ".join(said.split()))
    return list(names.values())
