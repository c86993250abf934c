"""Notes of the edited score made fit for the new one: moved, without what a program adds."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from rewriter.editing.bar_reading import as_music, written_bar
from rewriter.editing.edits import InBar
from rewriter.editing.music import Note, tag_of
from rewriter.editing.note_marks import with_notation
from rewriter.editing.setting import UNISON, sounding
from rewriter.merging.graces import grace_places
from rewriter.musicxml.note_shapes import joined_notations
from rewriter.scores.children import attributes_of, children_of
from rewriter.theory.fifths import transpose

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator, Sequence

    from rewriter.editing.bar_reading import Timed, WrittenBar
    from rewriter.merging.steps import Sung
    from rewriter.merging.three import Three
    from rewriter.musicxml.note_shapes import Notation
    from rewriter.scores.notes import NoteForm

_OF_THE_NOTE: Final = frozenset(("tuplet", "tied"))
"""Notations that belong to the note itself and come with it."""
_LEFT: Final = frozenset(
    ("pitch", "stem", "notations", "lyric", "instrument", "play", "listen", "footnote", "level")
)
"""Children of a note that do not come along: programs add them, or they hang on the note."""
_COURTESY: Final = ("cautionary", "editorial", "parentheses", "bracket")
_WHOLE_REST: Final = b'<rest measure="yes"/>'


def voice_of(three: Three, step: Sung, taken: Collection[str] = ()) -> tuple[str, list[Note]]:
    """The voice that is to be sung, and its music, signs of the new score's notes on it.

    Args:
        three: the scores.
        step: what is to be done.
        taken: voices of the bar that get other notes of the edited score.

    Returns:
        Its name in the bar, and notes and rests in time; none for a voice that is gone.
    """
    _, edited, new = three.scores
    bar = written_bar(new, InBar(step.part, step.bar))
    made = written_bar(edited, InBar(step.made_part, step.made_bar))
    voice = step.voice or _free_voice(bar, step, taken)
    notes = list(_moved(made, step))
    if three.as_written:
        notes = [_made_sounding(note, bar) for note in notes]
    if all(map(_is_rest, notes)):
        alone = all(
            child.form is None or child.form.voice == voice or child.form.staff != step.staff
            for child in bar.children
        )
        notes = _silence(bar, step.staff) if alone else []
    staves = any(
        child.form is not None and "staff" in child.form.tags for child in bar.children
    )
    notes = [note._replace(staff=note.staff or "1" if staves else "") for note in notes]
    return voice, _with_signs_of(bar, voice, notes)


def _made_sounding(note: Note, bar: WrittenBar) -> Note:
    """A note of a score whose transposition is lost, as it would sound with the new score's."""
    setting = bar.setting.copy()
    for child in bar.children:
        if child.tag == "attributes" and not child.onset:
            setting.take(child.data)
    interval = setting.transposition(note.staff)
    return note._replace(pitch=note.pitch and sounding(note.pitch, interval))


def _free_voice(bar: WrittenBar, step: Sung, taken: Collection[str]) -> str:
    """A voice of the staff that only rests, if it can be of the same name; else a new one."""
    forms = [child.form for child in bar.children if child.form is not None]
    playing = {form.voice for form in forms if form.kind != "rest"}
    resting = [
        form.voice for form in forms if form.staff == step.staff and form.voice not in playing
    ]
    free = [voice for voice in resting if voice not in taken]
    own = [voice for voice in step.made_voices if voice in free]
    if free:
        return (own or free)[0]
    names = {*taken, *(form.voice for form in forms)}
    own = [voice for voice in step.made_voices if voice not in names]
    if own:
        return own[0]
    return next(str(name) for name in range(1, len(names) + 2) if str(name) not in names)


def _is_rest(note: Note) -> bool:
    return note.pitch is None and not any(tag_of(child) == "unpitched" for child in note.more)


def _silence(bar: WrittenBar, staff: str) -> list[Note]:
    said = any(child.form is not None and "staff" in child.form.tags for child in bar.children)
    return [
        Note(
            Fraction(0), bar.end, staff=staff if said else "", more=(_WHOLE_REST,), spelled=True
        )
    ]


def _moved(made: WrittenBar, step: Sung) -> Iterator[Note]:
    setting = made.setting.copy()
    for child in made.children:
        if child.tag == "attributes":
            setting.take(child.data)
        if child.form is None or child.form.voice not in step.made_voices:
            continue
        note = as_music(child, setting)
        pitch = note.pitch
        if pitch is not None and step.by != UNISON:
            pitch = transpose(pitch, step.by)
        yield note._replace(
            pitch=pitch,
            opening=_plain_opening(child.form),
            more=(*_own(child.form, note), *_line_of(child)),
            accidental=note.accidental if _is_courtesy(note.accidental) else b"",
        )


def _line_of(child: Timed) -> list[bytes]:
    """What stands for a pitch that cannot be: the note has none, but is no rest."""
    lost = child.form is not None and child.form.kind == "pitch" and child.written is None
    return [b"<unpitched/>"] if lost else []


def _plain_opening(form: NoteForm) -> bytes:
    return b'<note print-object="no">' if form.hidden else b"<note>"


def _is_courtesy(accidental: bytes) -> bool:
    said = attributes_of(accidental) if accidental else {}
    return any(said.get(name) == "yes" for name in _COURTESY)


def _own(form: NoteForm, note: Note) -> Iterator[bytes]:
    """What belongs to the note itself."""
    yield from (child for child in note.more if tag_of(child) not in _LEFT)
    kept = [sign for sign in form.notations if sign.tag in _OF_THE_NOTE]
    if kept:
        yield joined_notations(kept)


def _with_signs_of(bar: WrittenBar, voice: str, notes: Sequence[Note]) -> list[Note]:
    """Notes with the signs that hang on the notes they take the place of."""
    own = [
        child for child in bar.children if child.form is not None and child.form.voice == voice
    ]
    signs = {(child.onset, grace, at): list(_signs(child)) for child, grace, at in _places(own)}
    told = zip(notes, _places_of_notes(notes), strict=True)
    return [_hung(note, signs.get((note.onset, *place), [])) for note, place in told]


def _places(children: Sequence[Timed]) -> Iterator[tuple[Timed, int, int]]:
    """Notes, their places among grace notes, and among the notes of their chord."""
    forms = [child.form for child in children if child.form is not None]
    graces = grace_places([(form.grace, form.chord) for form in forms])
    at = 0
    for child, form, grace in zip(children, forms, graces, strict=True):
        at = at + 1 if form.chord else 0
        yield child, grace, at


def _places_of_notes(notes: Sequence[Note]) -> Iterator[tuple[int, int]]:
    graces = grace_places(
        [(any(tag_of(one) == "grace" for one in note.more), note.chord) for note in notes]
    )
    at = 0
    for note, grace in zip(notes, graces, strict=True):
        at = at + 1 if note.chord else 0
        yield grace, at


def _signs(child: Timed) -> Iterator[Notation | bytes]:
    form = child.form
    if form is None:
        return
    yield from (sign for sign in form.notations if sign.tag not in _OF_THE_NOTE)
    yield from (data for data in form.children if tag_of(data) == "lyric")


def _hung(note: Note, signs: Iterable[Notation | bytes]) -> Note:
    whole = b"<note>" + b"".join(note.more) + b"</note>"
    for sign in signs:
        if isinstance(sign, bytes):
            whole = whole.replace(b"</note>", sign + b"</note>")
        else:
            whole = with_notation(whole, sign.data)
    return note._replace(more=tuple(children_of(whole)))
