"""What is told of a note itself, beside its pitch: its tie, its tuplet, its head."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.comparing.things import plain_text
from rewriter.scores.children import element_of

if TYPE_CHECKING:
    from rewriter.scores.notes import NoteForm

_COURTESY: Final = ("cautionary", "editorial", "parentheses", "bracket")


def unpitched(form: NoteForm) -> str:
    """What stands for the pitch of a note without one: its line."""
    for tag, child in zip(form.tags, form.children, strict=True):
        if tag == "unpitched":
            element = element_of(child)
            said = (element.findtext("display-step"), element.findtext("display-octave"))
            return f"unpitched {''.join(plain_text(text) for text in said)}".rstrip()
    return "unpitched"


def own_signs(form: NoteForm, data: bytes) -> dict[str, str]:
    """All that is told of a note itself; what is usual is not told."""
    said = {
        "tie": "to the next" if form.starts_tie else "",
        "tuplet": str(form.ratio) if form.ratio != 1 else "",
        "staff": form.staff if form.staff != "1" else "",
        "cue": "cue" if form.cue or b'size="cue"' in data else "",
        "hidden": "hidden" if form.hidden else "",
        "grace": _grace(form, data) if form.grace else "",
        "notehead": "",
        "accidental": "",
    }
    for tag, child in zip(form.tags, form.children, strict=True):
        if tag == "notehead":
            shape = plain_text(element_of(child).text)
            said["notehead"] = shape if shape != "normal" else ""
        elif tag == "accidental":
            element = element_of(child)
            courtesy = any(element.get(name) == "yes" for name in _COURTESY)
            said["accidental"] = f"courtesy {plain_text(element.text)}" if courtesy else ""
    return {kind: text for kind, text in said.items() if text}


def _grace(form: NoteForm, data: bytes) -> str:
    return f"slashed {form.type}" if b'slash="yes"' in data else form.type
