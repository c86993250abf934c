"""What a note says, all but its pitch, worked out once for all notes that say the same.

Real scores repeat a few hundred forms of notes thousands of times: the same length, beam and
articulation under another pitch. Each form is read once, each distinct child of a form too.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.note_reading import notations_of
from rewriter.musicxml.remembering import Remembered
from rewriter.scores.children import children_of, element_of
from rewriter.theory.numbers import decimal

if TYPE_CHECKING:
    from collections.abc import Callable

    from lxml.etree import _Element as Element

    from rewriter.musicxml.note_shapes import Notation


_ONE: Final = Fraction(1)


class NoteForm:
    """A note without its pitch.

    Attributes:
        kind: ``pitch``, ``rest`` or ``unpitched``.
        opening: the ``<note>`` tag as bytes.
        children: all children as bytes, in document order; where there is a pitch it is empty.
        duration: what ``<duration>`` says, in divisions of the file; None where there is none
            or it is no number above zero.
        said_duration: the same as text.
        voice: its name; ``1`` where it has none.
        staff: counted from the top, as text; ``1`` where it has none.
        type: such as ``quarter``; empty where it has none.
        dots: how many.
        ratio: of the tuplet, notes played to notes they take the place of; 1 outside tuplets.
        chord: True for all notes of a chord but the first.
        grace: True for grace notes, which take no time.
        cue: True for cue notes.
        hidden: True for what is not printed.
        whole_bar: True for a rest that stands for the bar, whatever its length.
        starts_tie: True when a tie, heard or drawn, begins here; ``let-ring`` is none.
        stops_tie: True when one ends here.
        printed: name of the ``<accidental>``; empty where none is printed.
        beams: (level, value).
        notations: signs of ``<notations>``, in document order.
        tags: names of all children.
    """

    __slots__ = (
        "beams", "children", "chord", "cue", "dots", "duration", "grace", "hidden", "kind",
        "notations", "opening", "printed", "ratio", "said_duration", "staff", "starts_tie",
        "stops_tie", "tags", "type", "voice", "whole_bar",
    )  # fmt: skip

    def __init__(self, opening: bytes, children: list[bytes]) -> None:
        self.kind = "pitch"
        self.opening = opening
        self.children = children
        self.duration: Fraction | None = None
        self.said_duration = ""
        self.voice = self.staff = "1"
        self.type = self.printed = ""
        self.dots = 0
        self.ratio = _ONE
        self.chord = self.grace = self.cue = self.whole_bar = False
        self.starts_tie = self.stops_tie = False
        self.hidden = b'print-object="no"' in opening
        self.beams: tuple[tuple[str, str], ...] = ()
        self.notations: tuple[Notation, ...] = ()
        self.tags: list[str] = []


_Facts = tuple[str, tuple[tuple[str, object], ...]]
"""What a child says: its tag, and attributes of the form it sets."""

_KNOWN: Final[Remembered[_Facts]] = Remembered()
"""Children by their bytes, from one score to the next: most are the same."""


def read_form(data: bytes) -> NoteForm:
    """The form of a note.

    Args:
        data: the ``<note>`` as lxml writes it.
    """
    children = children_of(data)
    form = NoteForm(data[: data.index(b">") + 1], children)
    for place, child in enumerate(children):
        if child.startswith(b"<pitch"):
            children[place] = child = b"<pitch/>"  # noqa: PLW2901 - the one child that differs
        known = _KNOWN.get(child)
        if known is None:
            known = _facts(child)
            _KNOWN.keep(child, known)
        tag, settings = known
        form.tags.append(tag)
        for name, value in settings:
            if name == "dots":
                form.dots += 1
            elif name in {"beams", "notations"}:
                setattr(form, name, getattr(form, name) + value)
            else:
                setattr(form, name, value)
    return form


def _facts(child: bytes) -> _Facts:
    if child.startswith((b"<!", b"<?")):
        return "", ()
    element = element_of(child)
    tag = str(element.tag)
    read = _READERS.get(tag)
    return tag, tuple(read(element).items()) if read else ()


def _text(element: Element) -> str:
    return (element.text or "").strip()


def _duration(element: Element) -> dict[str, object]:
    text = _text(element)
    return {"said_duration": text, "duration": positive(text)}


def positive(text: str) -> Fraction | None:
    """A number above zero out of a file, exactly; None for anything else.

    >>> positive(" 1.5 "), positive("0"), positive("1e9"), positive("many")
    (Fraction(3, 2), None, None, None)
    """
    number = decimal(text)
    return number if number is not None and number > 0 else None


def _rest(element: Element) -> dict[str, object]:
    return {"kind": str(element.tag), "whole_bar": element.get("measure") == "yes"}


def _ratio(element: Element) -> dict[str, object]:
    actual = positive(element.findtext("actual-notes") or "")
    normal = positive(element.findtext("normal-notes") or "")
    return {"ratio": actual / normal} if actual and normal else {}


def _ties(element: Element) -> dict[str, object]:
    said = element.get("type", "")
    facts: dict[str, object] = {"starts_tie": True} if said in {"start", "continue"} else {}
    return facts | ({"stops_tie": True} if said in {"stop", "continue"} else {})


def _notations(element: Element) -> dict[str, object]:
    signs = tuple(notations_of(element))
    facts: dict[str, object] = {"notations": signs}
    for sign in signs:
        if sign.tag == "tied":
            starts = sign.type in {"start", "continue", ""}
            facts |= {"starts_tie": True} if starts else {}
            facts |= {"stops_tie": True} if sign.type in {"stop", "continue"} else {}
    return facts


_READERS: Final[dict[str, Callable[[Element], dict[str, object]]]] = {
    "rest": _rest,
    "unpitched": _rest,
    "chord": lambda _: {"chord": True},
    "grace": lambda _: {"grace": True},
    "cue": lambda _: {"cue": True},
    "duration": _duration,
    "tie": _ties,
    "voice": lambda element: {"voice": _text(element) or "1"},
    "staff": lambda element: {"staff": _text(element) or "1"},
    "type": lambda element: {"type": _text(element)},
    "dot": lambda _: {"dots": 1},
    "accidental": lambda element: {"printed": _text(element)},
    "time-modification": _ratio,
    "beam": lambda element: {"beams": ((element.get("number", "1"), _text(element)),)},
    "notations": _notations,
}
