"""Small scores written out in MusicXML, for what the shorthand has no sign for."""

from collections.abc import Mapping, Sequence

from lxml import etree

import rewriter

COMMON = (
    "<divisions>2</divisions><key><fifths>0</fifths></key>"
    "<time><beats>4</beats><beat-type>4</beat-type></time>"
)
_TYPES = {1: "eighth", 2: "quarter", 4: "half", 8: "whole"}


def note(pitch: str, length: int, after: str = "", *, before: str = "", voice: str = "") -> str:
    """A note, as long as some divisions of two in a quarter.

    Args:
        pitch: such as ``C5`` or ``F#4``; ``r`` for a rest.
        length: 1, 2, 4, 8 or another without a ``<type>``; 0 for none.
        after: what stands behind the ``<type>``.
        before: what stands before the pitch.
        voice: its name; none when empty.
    """
    said = "<rest/>" if pitch == "r" else pitch_xml(pitch)
    duration = f"<duration>{length}</duration>" if length else ""
    place = f"<voice>{voice}</voice>" if voice else ""
    kind = _TYPES.get(length, "eighth" if not length else "")
    kind = f"<type>{kind}</type>" if kind else ""
    return f"<note>{before}{said}{duration}{place}{kind}{after}</note>"


def pitch_xml(pitch: str) -> str:
    """A ``<pitch>``."""
    step, sign, octave = pitch[0], pitch[1:-1], pitch[-1]
    raised = f"<alter>{sign.count('#') - sign.count('b')}</alter>" if sign else ""
    return f"<pitch><step>{step}</step>{raised}<octave>{octave}</octave></pitch>"


def tied(*ends: str) -> tuple[str, str]:
    """``<tie>`` and ``<notations>`` of a note."""
    heard = "".join(f'<tie type="{end}"/>' for end in ends)
    drawn = "".join(f'<tied type="{end}"/>' for end in ends)
    return heard, f"<notations>{drawn}</notations>"


def direction(*kinds: str, rest: str = "", attributes: str = "") -> str:
    """A ``<direction>`` with a ``<direction-type>`` for each kind."""
    said = "".join(f"<direction-type>{kind}</direction-type>" for kind in kinds)
    return f"<direction{attributes}>{said}{rest}</direction>"


def bar_of(*content: str, attributes: str = "") -> str:
    """The content of a bar that begins with attributes."""
    return f"<attributes>{attributes or COMMON}</attributes>" + "".join(content)


def score(parts: Sequence[str] | Mapping[str, Sequence[str]], head: str = "") -> bytes:
    """A score of parts by name; of bars alone, one part called Flute.

    A bar is its content, or a whole ``<measure>``.
    """
    named = parts if isinstance(parts, Mapping) else {"Flute": parts}
    listed = music = ""
    for number, (name, bars) in enumerate(named.items(), start=1):
        listed += f'<score-part id="P{number}"><part-name>{name}</part-name></score-part>'
        music += f'<part id="P{number}">'
        for place, bar in enumerate(bars, start=1):
            whole = bar.startswith("<measure")
            music += bar if whole else f'<measure number="{place}">{bar}</measure>'
        music += "</part>"
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0">'
        f"{head}<part-list>{listed}</part-list>{music}</score-partwise>"
    ).encode()


def parts_of(data: bytes) -> list[etree._Element]:
    """The parts of a score."""
    return etree.fromstring(data).findall("part")


def first_violins(expansion: rewriter.Expansion) -> etree._Element:
    """The top part of an expansion."""
    return parts_of(expansion.score)[0]


def spelled(part: etree._Element) -> list[str]:
    """The pitches of a part as the file spells them, in order: ``F#4``."""
    return [
        (one.findtext("step") or "")
        + {1: "#", -1: "b", 2: "##", -2: "bb", 0: ""}[int(one.findtext("alter") or 0)]
        + (one.findtext("octave") or "")
        for one in part.iter("pitch")
    ]


def accidentals(part: etree._Element) -> list[str]:
    """The printed accidental of each pitched note, empty for none."""
    return [
        one.findtext("accidental") or ""
        for one in part.iter("note")
        if one.find("pitch") is not None
    ]


def text_of(element: etree._Element) -> str:
    """An element as text without line ends."""
    return etree.tostring(element, with_tail=False).decode().replace("\n", "")
