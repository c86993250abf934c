"""What hangs on a note or chord: articulations, ornaments, lyrics, ends of slurs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.comparing.things import Sign, plain_text
from rewriter.musicxml.remembering import Remembered
from rewriter.scores.children import element_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from lxml.etree import _Element as Element

    from rewriter.musicxml.note_shapes import Notation
    from rewriter.scores.notes import NoteForm

SPANS: Final = {
    "slur": "slur", "glissando": "glissando", "slide": "glissando", "wavy-line": "trill line",
    "hammer-on": "technical", "pull-off": "technical",
}  # fmt: skip
"""Notations with two ends, and their kinds."""

ON_EACH_NOTE: Final = frozenset(("fingering", "string"))
"""Kinds of which the notes of a chord have their own; of others the chord has one."""

_FAMILIES: Final = {
    "articulations": "articulation", "ornaments": "ornament", "technical": "technical",
}  # fmt: skip
_KINDS: Final = {
    "fingering": "fingering", "string": "string", "fermata": "fermata", "dynamics": "dynamic",
    "arpeggiate": "arpeggio", "non-arpeggiate": "arpeggio", "accidental-mark": "ornament",
}  # fmt: skip
_IGNORED: Final = frozenset(("tuplet", "tied", "footnote", "level"))
_SYLLABLES: Final = {"begin": "{}-", "middle": "-{}-", "end": "-{}"}
_KNOWN: Final[Remembered[tuple[str, str]]] = Remembered()


def marks_of(form: NoteForm) -> Iterator[Sign]:
    """All that hangs on a note."""
    for sign in form.notations:
        if found := mark_of(sign):
            yield found
    for tag, child in zip(form.tags, form.children, strict=True):
        if tag == "lyric":
            said = lyric(element_of(child))
            if said:
                yield Sign("lyric", said)


def mark_of(sign: Notation) -> Sign | None:
    """What a notation says; None for what belongs to the note itself."""
    if sign.tag in SPANS and sign.type in {"start", "stop"}:
        what = sign.tag if sign.tag in {"slide", "hammer-on", "pull-off"} else ""
        return Sign(SPANS[sign.tag], what, sign.type, sign.number)
    if sign.tag == "tied" and sign.type == "let-ring":
        return Sign("tie", "let ring")
    if sign.tag not in _IGNORED and sign.type != "continue":
        return Sign(*_told(sign))
    return None


def _told(sign: Notation) -> tuple[str, str]:
    known = _KNOWN.get((sign.family, sign.data))
    if known is None:
        kind = _KINDS.get(sign.tag) or _FAMILIES.get(sign.family, "notation")
        element = element_of(sign.data)
        said = _TELLING.get(sign.tag, _by_name)(element)
        known = kind, said
        _KNOWN.keep((sign.family, sign.data), known)
    return known


def _by_name(element: Element) -> str:
    """Its name, what it says, and what its own children say."""
    words = [str(element.tag), plain_text(element.text)]
    words += [
        plain_text(f"{child.tag} {child.text or ''}")
        for child in element
        if isinstance(child.tag, str)
    ]
    return plain_text(" ".join(words))


def _pointing(element: Element) -> str:
    return str(element.tag) + (" down" if element.get("type") == "down" else "")


def _arpeggio(element: Element) -> str:
    return " ".join(filter(None, (str(element.tag), element.get("direction"))))


def _tremolo(element: Element) -> str:
    kind = element.get("type") or "single"
    return f"tremolo {plain_text(element.text) or 3} {kind}"


def dynamic(element: Element) -> str:
    """What ``<dynamics>`` says: ``<f/><p/>`` is ``fp``, whoever writes it so.

    Args:
        element: with a sign for each child.
    """
    return "".join(
        plain_text(sign.text) if sign.tag == "other-dynamics" else str(sign.tag)
        for sign in element
        if isinstance(sign.tag, str)
    )


def fermata(element: Element) -> str:
    """The shape of a fermata; empty for the usual one."""
    shape = plain_text(element.text)
    return "" if shape == "normal" else shape


def lyric(element: Element) -> str:
    """A syllable with its verse, hyphens where the word goes on; empty for a mere line."""
    said = "".join(
        plain_text(child.text) if child.tag == "text" else "\u203f"
        for child in element
        if child.tag in {"text", "elision"}
    )
    if not said:
        return ""
    shape = _SYLLABLES.get(element.findtext("syllabic") or "", "{}")
    return f"{element.get('number', '1')}: {shape.format(said)}"


_TELLING: Final[dict[str, Callable[[Element], str]]] = {
    "dynamics": dynamic,
    "fermata": fermata,
    "strong-accent": _pointing,
    "arpeggiate": _arpeggio,
    "non-arpeggiate": _arpeggio,
    "tremolo": _tremolo,
    "fingering": lambda element: plain_text(element.text),
    "string": lambda element: plain_text(element.text),
}
