"""From what a note of the sketch says to its shape: what is kept, what is left behind.

Each distinct child of a note is looked into once, from one score to the next.
"""

from __future__ import annotations

from copy import deepcopy
from functools import lru_cache
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.musicxml.escaping import word
from rewriter.musicxml.note_reading import FAMILIES, serialised
from rewriter.musicxml.note_shapes import Notation, NoteShape
from rewriter.musicxml.remembering import Remembered
from rewriter.scores.children import element_of
from rewriter.sketch.mending import mended_opening

if TYPE_CHECKING:
    from lxml.etree import _Element as Element

    from rewriter.scores.notes import NoteForm

SIDES: Final = ("placement", "orientation")
"""Which side of the notehead a sign stood on; follows the stems, which are the new page's."""

_FOLLOWS_STEMS: Final = frozenset(("slur", "tied", "tuplet"))
_FINGERING: Final = {
    "fingering": "fingerings", "thumb-position": "fingerings", "pluck": "fingerings",
    "hammer-on": "fingerings", "pull-off": "fingerings", "string": "string numbers",
    "fret": "string numbers",
}  # fmt: skip
_CARRIED: Final = {
    "slur": "slurs", "tied": "ties", "tuplet": "tuplets", "glissando": "glissandi",
    "slide": "slides", "wavy-line": "trill lines", "tremolo": "tremolos", "fermata": "fermatas",
    "dynamics": "dynamics", "arpeggiate": "arpeggios", "accidental-mark": "",
}  # fmt: skip
_LEFT_BEHIND: Final = {"stem": "stems", "instrument": "instrument references"}
_KEPT: Final = frozenset(
    ("grace", "footnote", "level", "type", "dot", "time-modification", "notehead",
     "notehead-text", "beam", "play")
)  # fmt: skip


_BLANK: Final = NoteShape()
_SETTINGS: Final = (
    "kind", "whole_bar", "voice", "staff", "printed", "chord", "cue", "grace",
)  # fmt: skip


class ShapeReader:
    """Makes shapes of a part's notes; each distinct child of a note is looked into once."""

    def __init__(self, *, keep_lyrics: bool) -> None:
        self._keep_lyrics = keep_lyrics
        self._known = _known_children(keep_lyrics)

    def read(self, form: NoteForm, length: int) -> NoteShape:
        """The shape of a note.

        Args:
            form: what the note says but its pitch.
            length: output divisions; 0 for grace notes.
        """
        shape = NoteShape()
        shape.opening = form.opening
        if b"dynamics=" in form.opening:
            shape.opening, _ = mended_opening(form.opening)
        for child in form.children:
            said = self._known.get(child)
            if said is None:
                said = self._look_into(element_of(child))
                self._known.keep(child, said)
            children, notations, beams, carried, dropped, settings = said
            shape.children += children
            shape.beams += beams
            shape.dropped += dropped
            if notations or carried:
                shape.notations += notations
                shape.carried += carried
            for name, value in settings:
                setattr(shape, name, value)
        shape.length = length
        if "duration" in form.tags:
            shape.children.append(("duration", b"<duration>%d</duration>" % length))
        if shape.kind == "rest":
            shape.opening = b"<note>"  # a rest hidden in the sketch has to be seen by who rests
        shape.children.append(("voice", b"<voice>1</voice>"))
        if form.starts_tie or form.stops_tie:
            _settle_ties(shape)
        return shape.finish()

    def _look_into(self, child: Element) -> _Said:
        shape = NoteShape()
        _read_child(shape, child, keep_lyrics=self._keep_lyrics)
        settings = tuple(
            (name, getattr(shape, name))
            for name in _SETTINGS
            if getattr(shape, name) != getattr(_BLANK, name)
        )
        return _Said(
            shape.children, shape.notations, shape.beams, shape.carried, shape.dropped, settings
        )


def _settle_ties(shape: NoteShape) -> None:
    """A tie is heard and drawn: where a file has only one of the two, it means both.

    Source: W3C MusicXML 4.0, ``<tie>`` for sound and ``<tied>`` for notation.
    """
    heard = {tag for tag, _ in shape.children if tag.startswith("tie-")}
    drawn = {f"tie-{sign.type}" for sign in shape.notations if sign.tag == "tied"}
    for end in ("stop", "start"):
        tag, ends = f"tie-{end}", word(end)
        if tag in drawn and tag not in heard and not shape.grace:
            shape.children.append((tag, b'<tie type="%b"/>' % ends))
        elif tag in heard and tag not in drawn:
            tied = Notation("", "tied", end, "1", b'<tied type="%b"/>' % ends)
            shape.notations.append(tied)


@lru_cache(maxsize=2)
def _known_children(keep_lyrics: bool) -> Remembered[_Said]:  # noqa: FBT001 - cached by position
    """What children of notes say, from one score to the next: most are the same."""
    del keep_lyrics  # there is a memory for either
    return Remembered()


class _Said(NamedTuple):
    """What one child of a note says of its shape; the settings are attributes and values."""

    children: list[tuple[str, bytes]]
    notations: list[Notation]
    beams: list[tuple[str, str]]
    carried: list[str]
    dropped: list[str]
    settings: tuple[tuple[str, object], ...]


def _read_child(shape: NoteShape, child: Element, *, keep_lyrics: bool) -> None:
    tag = str(child.tag)
    if tag in _KEPT:
        shape.children.append((tag, serialised(child)))
        if tag == "grace":
            shape.grace = True
            shape.carried.append("grace notes")
        elif tag == "beam":
            shape.beams.append((child.get("number", "1"), (child.text or "").strip()))
    elif tag == "tie":
        shape.children.append((f"tie-{child.get('type')}", serialised(child)))
    elif tag == "notations":
        for sign in child:
            _read_notation(shape, sign)
    elif tag == "lyric":
        _keep_or_drop(shape, child, "lyrics", keep=keep_lyrics)
    else:
        _read_rest_of(shape, child, tag)


def _read_rest_of(shape: NoteShape, child: Element, tag: str) -> None:
    text = (child.text or "").strip()
    if tag in {"rest", "unpitched"}:
        shape.kind = tag
        shape.whole_bar = child.get("measure") == "yes"
        if tag == "rest" and len(child):
            shape.dropped.append("positions of rests")
    elif tag == "voice":
        shape.voice = text
    elif tag == "staff":
        shape.staff = text
    elif tag == "accidental":
        attributes = serialised(child).partition(b">")[0][len("<accidental") :]
        shape.printed = (text, attributes.rstrip(b"/"))
    elif tag == "chord":
        shape.chord = True
    elif tag == "cue":
        shape.cue = True
    elif tag in _LEFT_BEHIND:
        shape.dropped.append(_LEFT_BEHIND[tag])
    elif tag not in {"pitch", "duration"}:
        _keep_or_drop(shape, child, "listening marks", keep=tag != "listen")


def _keep_or_drop(shape: NoteShape, child: Element, kind: str, *, keep: bool) -> None:
    if keep:
        tag = "lyric" if child.tag == "lyric" else "unknown"
        shape.children.append((tag, serialised(child)))
        if tag == "lyric":
            shape.carried.append(kind)
    else:
        shape.dropped.append(kind)


def _read_notation(shape: NoteShape, sign: Element) -> None:
    tag = str(sign.tag)
    if tag not in FAMILIES:
        if tag in _FOLLOWS_STEMS:
            sign = _without_sides(shape, sign)
        _add_notation(shape, "", sign)
        return
    for member in sign:
        if str(member.tag) in _FINGERING:
            shape.dropped.append(_FINGERING[str(member.tag)])
            continue
        followed = _without_sides(shape, member) if tag == "articulations" else member
        _add_notation(shape, tag, followed)


def _without_sides(shape: NoteShape, sign: Element) -> Element:
    sides = [side for side in SIDES if side in sign.attrib]
    if sides:
        sign = deepcopy(sign)  # the sketch may be read again
        for side in sides:
            del sign.attrib[side]
            shape.dropped.append("sides of slurs, ties and articulations")
    return sign


def _add_notation(shape: NoteShape, family: str, sign: Element) -> None:
    tag, ends = str(sign.tag), sign.get("type", "")
    if tag == "tied":
        ends = ends or "start"
    number = sign.get("number", "1")
    says = frozenset(str(child.tag) for child in sign)
    shape.notations.append(Notation(family, tag, ends, number, serialised(sign), says))
    if kind := kind_of(shape.notations[-1]):
        shape.carried.append(kind)


def kind_of(notation: Notation) -> str:
    """What a notation is counted as; empty for what ends something or belongs to another."""
    if notation.type in {"stop", "continue"}:
        return ""
    return _CARRIED.get(notation.tag, notation.family or "other notations")
