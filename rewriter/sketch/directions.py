"""What a ``<direction>`` of the sketch is: for the whole score, a jump, or the line's own.

Tempo, rehearsal marks and whatever the sketch marks as belonging to the system stand once, on
the top part. Segno, coda and the jumps stand in every part, since readers unfold each part by
its own. Everything else belongs to the lines that play. A direction that is several of these at
once is written as several.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

import msgspec
from lxml import etree

from rewriter.musicxml.escaping import attribute
from rewriter.musicxml.note_reading import serialised
from rewriter.sketch.mending import mend_direction
from rewriter.sketch.model import DirectionDetail, Scope, Sign
from rewriter.sketch.sounds import JUMPS, for_strings, scaled_offset, scope_of_sound
from rewriter.sketch.tempo_marks import ALONE, Around
from rewriter.theory.expression_words import expression_in
from rewriter.theory.strings import string_words
from rewriter.theory.techniques import techniques_in
from rewriter.theory.tempo_words import tempo_kind

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Iterator

    from lxml.etree import _Element as Element

    from rewriter.theory.techniques import Technique

_LINES_OWN: Final = frozenset(("dynamics", "wedge", "dashes", "bracket"))
"""What a line keeps though words for all stand beside it, so that both ends stay together."""

_FOR_SCORE: Final = frozenset(("rehearsal", "metronome"))
_FOR_EVERY: Final = frozenset(("segno", "coda"))
_LEFT_BEHIND: Final = {
    "octave-shift": "8va lines", "pedal": "pedal marks", "harp-pedals": "pedal marks",
    "accordion-registration": "accordion registrations",
}  # fmt: skip
_CARRIED: Final = {
    "wedge": "hairpins", "dynamics": "dynamics", "words": "words",
    "rehearsal": "rehearsal marks", "metronome": "tempo marks", "dashes": "dashes",
    "bracket": "brackets", "segno": "jumps", "coda": "jumps",
}  # fmt: skip
_SPANS: Final = frozenset(("wedge", "dashes", "bracket"))

_NUMBER_FOR_ALL: Final = "16"
"""Of dashes on the top part that are for everybody: lines number their own from 1
(W3C MusicXML 4.0, number-level: 1 to 16)."""

_TEMPO: Final = frozenset(("words", "metronome"))
_START: Final = b"<direction"
_SIDE: Final = re.compile(rb' placement="[^"]*"')

_LAYOUT: Final = re.compile(r"\s*\[([^\[\]]+)\]\s*")


class DirectionShape(msgspec.Struct, frozen=True):
    """One direction to write: who has it, what it says, and the kinds it counts as."""

    scope: Scope
    detail: DirectionDetail
    carried: tuple[str, ...] = ()


class DirectionParts(msgspec.Struct, frozen=True):
    """A direction of the sketch taken apart.

    Attributes:
        shapes: what is to be written.
        dropped: kinds that are left behind.
        layouts: stacks between square brackets, which are for the tool and not for players.
        staff: it stands at.
        voice: it belongs to; empty where it does not say.
        mended: what the standard does not allow in it, and what was done.
    """

    shapes: tuple[DirectionShape, ...]
    dropped: tuple[str, ...]
    layouts: tuple[str, ...] = ()
    staff: str = "1"
    voice: str = ""
    mended: tuple[str, ...] = ()


def read_direction(
    direction: Element,
    scale: float,
    around: Around = ALONE,
    is_layout: Callable[[str], bool] = lambda _: False,
) -> DirectionParts:
    """Take a ``<direction>`` apart; the element itself may be changed.

    Args:
        direction: nobody else's.
        scale: output divisions for one division of the sketch.
        around: what stands around it.
        is_layout: says which words between square brackets are for the tool.

    Raises:
        Refused: its offset is no number.
    """
    mended = tuple(mend_direction(direction))
    children: dict[str, list[Element]] = {}
    for child in direction:
        children.setdefault(str(child.tag), []).append(child)
    kinds: dict[Scope, list[Element]] = {"score": [], "every": [], "line": []}
    dropped: list[str] = []
    layouts: list[str] = []
    asker = _Asker(direction, around)
    for holder in children.get("direction-type", ()):
        tags = {str(child.tag) for child in holder}
        if tags & _LEFT_BEHIND.keys():
            dropped += [_LEFT_BEHIND[tag] for tag in sorted(tags & _LEFT_BEHIND.keys())]
            continue
        layout = _LAYOUT.fullmatch(holder.findtext("words") or "") if "words" in tags else None
        if layout and is_layout(layout[1].strip()):
            layouts.append(layout[1].strip())
            continue
        kinds[asker.scope_of(holder, tags)].append(holder)
    sound = next(iter(children.get("sound", ())), None)
    if sound is not None:
        sound, left = for_strings(sound, scale)
        dropped += [kind for kind in left if kind not in dropped]
    _settle_jumps(sound, kinds)
    offset = scaled_offset(children["offset"][0].text, scale) if "offset" in children else 0
    frame = _Frame(direction, children, sound, kinds, offset)
    shapes = tuple(_shape(frame, scope, holders) for scope, holders in kinds.items() if holders)
    if sound is not None and not shapes:
        shapes = (_only_heard(frame, scope_of_sound(sound)),)
    staff, voice = ((direction.findtext(tag) or "").strip() for tag in ("staff", "voice"))
    return DirectionParts(shapes, tuple(dropped), tuple(layouts), staff or "1", voice, mended)


def in_words(directive: Element, at: int) -> Sign:
    """A ``<directive>``, the older way to write a tempo, as words above the top part.

    Args:
        directive: of an ``<attributes>``.
        at: divisions from the start of the bar.
    """
    direction = etree.Element("direction", placement="above", directive="yes")
    kind = etree.SubElement(direction, "direction-type")
    etree.SubElement(kind, "words").text = (directive.text or "").strip()
    return Sign(at, "score", serialised(direction) + b"\n", "direction")


class _Frame(msgspec.Struct, frozen=True):
    """A direction's children by tag, and what of them goes to whom."""

    direction: Element
    children: dict[str, list[Element]]
    sound: Element | None
    kinds: dict[Scope, list[Element]]
    offset: int


class _Asker:
    """Says for whom each ``<direction-type>`` of a direction is."""

    def __init__(self, direction: Element, around: Around) -> None:
        words = [element.text or "" for element in direction.iterfind("direction-type/words")]
        self._lines = around.lines
        self._says_so = around.tempo or _speaks_to_all(direction)
        self._is_tempo = tempo_kind(" ".join(word.strip() for word in words)) == "tempo"

    def scope_of(self, holder: Element, tags: set[str]) -> Scope:
        """Who has it; dashes that go with words of tempo get a number nobody else has."""
        if tags & _FOR_EVERY:
            return "every"
        if tags & _FOR_SCORE:
            return "score"
        if tags & _LINES_OWN:
            lines = {(str(sign.tag), sign.get("number", "1")) for sign in holder}
            if not lines <= self._lines:
                return "line"
            for sign in holder:
                sign.set("number", _NUMBER_FOR_ALL)
            return "score"
        return "score" if self._says_so or self._has_tempo(holder) else "line"

    def _has_tempo(self, holder: Element) -> bool:
        """True for words of tempo; the other words beside them go with them or are a line's."""
        text = " ".join((word.text or "").strip() for word in holder.iterfind("words"))
        if not text:
            return False
        return tempo_kind(text) == "tempo" or (self._is_tempo and not expression_in(text))


def _speaks_to_all(direction: Element) -> bool:
    """True when a direction is marked as the score's as a whole, or has a tempo in figures."""
    if direction.get("directive") == "yes" or direction.get("system") not in {None, "none"}:
        return True
    sound = direction.find("sound")
    if sound is not None and sound.get("tempo") is not None:
        return True
    return direction.find("direction-type/metronome") is not None


def _settle_jumps(sound: Element | None, kinds: dict[Scope, list[Element]]) -> None:
    """Words such as D.S. al Coda go with their sound into every part."""
    if sound is not None and not JUMPS.isdisjoint(sound.keys()):
        for scope in ("line", "score"):
            kinds["every"] += [h for h in kinds[scope] if h.find("words") is not None]
            kinds[scope] = [h for h in kinds[scope] if h.find("words") is None]


def _shape(frame: _Frame, scope: Scope, holders: list[Element]) -> DirectionShape:
    signs = [child for holder in holders for child in holder]
    tags = {str(sign.tag) for sign in signs}
    detail = DirectionDetail(
        dynamic=b"".join(serialised(s) for s in signs if s.tag == "dynamics"),
        techniques=tuple(_techniques(signs)),
        expression=_expression(signs),
        string=_string(signs) if "words" in tags else "",
        rehearsal=_rehearsal(signs) if "rehearsal" in tags else "",
        spans=tuple(
            (str(s.tag), s.get("type", ""), s.get("number", "1"), serialised(s))
            for s in signs
            if s.tag in _SPANS
        ),
        head=_opening(frame.direction, scope, signs)
        + b"".join(serialised(holder) for holder in holders),
        tail=_tail(frame, scope),
        offset=frame.offset,
        offset_sounds=any(e.get("sound") == "yes" for e in frame.children.get("offset", ())),
    )
    return DirectionShape(scope, detail, tuple(_carried(signs)))


def _opening(direction: Element, scope: Scope, signs: Collection[Element]) -> bytes:
    """The start tag, its side first: a tempo for the whole score stands above the top part."""
    side = direction.get("placement", "")
    if scope == "score" and any(sign.tag in _TEMPO for sign in signs):
        side = "above"
    opening = _SIDE.sub(b"", serialised(direction).partition(b">")[0])
    placed = attribute("placement", side) if side else b""
    return _START + placed + opening.removeprefix(_START) + b">"


def with_element(detail: DirectionDetail, element: Element) -> DirectionDetail:
    """What a direction says once some of it has been taken out.

    Args:
        detail: as it was read.
        element: what is left of the ``<direction>``.
    """
    opening = detail.head.partition(b">")[0] + b">"
    signs = b"".join(map(serialised, element.findall("direction-type")))
    rest = (child for child in element if child.tag not in {"direction-type", "offset"})
    tail = b"".join(map(serialised, rest)) + b"</direction>\n"
    return detail._replace(head=opening + signs, tail=tail)


def _only_heard(frame: _Frame, scope: Scope) -> DirectionShape:
    """The sound of a direction of which nothing else is kept, behind words that say nothing."""
    head = _opening(frame.direction, scope, ()) + b"<direction-type><words/></direction-type>"
    sound = b"" if frame.sound is None else serialised(frame.sound)
    detail = DirectionDetail(head=head, tail=sound + b"</direction>\n", offset=frame.offset)
    return DirectionShape(scope, detail)


def _tail(frame: _Frame, scope: Scope) -> bytes:
    """What stands behind the offset, in the order of the schema."""
    children = frame.children
    if children.keys() <= {"direction-type", "offset", "voice", "staff"}:
        return b"</direction>\n"
    notes = (*children.get("footnote", ()), *children.get("level", ()))
    sound = _sound_for(frame.sound, scope, frame.kinds)
    listening = children.get("listening", ())
    return b"".join(
        (*map(serialised, notes), sound, *map(serialised, listening), b"</direction>\n")
    )


def _carried(signs: Iterable[Element]) -> list[str]:
    return [
        _CARRIED.get(str(s.tag), "other directions")
        for s in signs
        if s.get("type") not in {"stop", "continue"} or str(s.tag) not in _SPANS
    ]


def _sound_for(sound: Element | None, scope: Scope, kinds: dict[Scope, list[Element]]) -> bytes:
    """The direction's ``<sound>``, cut down to what the scope is about."""
    if sound is None:
        return b""
    order: tuple[Scope, ...] = ("every", "score", "line")
    first = next(scope for scope in order if kinds[scope])
    mine = {
        key: value
        for key, value in sound.items()
        if key[0] != "{" and _owner_of(str(key), kinds, first) == scope
    }  # what has a name of a namespace says nothing to playback
    rest = list(sound) if scope == first else []
    if not mine and not rest:
        return b""
    attributes = b"".join(attribute(name, str(value)) for name, value in mine.items())
    inner = b"".join(serialised(child) for child in rest)
    return b"<sound%b>%b</sound>" % (attributes, inner) if inner else b"<sound%b/>" % attributes


def _owner_of(key: str, kinds: dict[Scope, list[Element]], first: Scope) -> Scope:
    wanted: Scope = "line"
    if key == "tempo":
        wanted = "score"
    elif key in JUMPS or key in {"forward-repeat", "time-only", "divisions"}:
        wanted = "every"
    return wanted if kinds[wanted] else first


def _string(signs: Iterable[Element]) -> str:
    said = (string_words(sign.text or "") for sign in signs if sign.tag == "words")
    return next(filter(None, said), "")


def _rehearsal(signs: Iterable[Element]) -> str:
    said = ((sign.text or "").strip() for sign in signs if sign.tag == "rehearsal")
    return next(filter(None, said), "")


def _techniques(signs: Iterable[Element]) -> Iterator[Technique]:
    for sign in signs:
        if sign.tag == "words" and sign.text:
            yield from techniques_in(sign.text)


def _expression(signs: Iterable[Element]) -> str:
    words = (sign.text.strip() for sign in signs if sign.tag == "words" and sign.text)
    return expression_in(" ".join(words))
