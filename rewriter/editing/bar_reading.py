"""A bar of a score as it is to be written in: its children in exact time, its setting."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.editing.bar_signs import ITSELF, Head, KeyChange
from rewriter.editing.edits import InBar, bar_children
from rewriter.editing.music import Note, tag_of
from rewriter.editing.setting import setting_before, sounding
from rewriter.musicxml.note_reading import FractionalDuration
from rewriter.scores.events import EventReader
from rewriter.scores.notes import read_form
from rewriter.theory.numbers import decimal, whole
from rewriter.theory.pitch import SEMITONES_OF_STEP, Pitch

if TYPE_CHECKING:
    from rewriter.editing.setting import Setting
    from rewriter.scores.events import BarEvents, Event
    from rewriter.scores.notes import NoteForm
    from rewriter.scores.score import Part, Score

_MIDDLE: Final = 4
"""The octave of a note whose octave cannot be."""
MOVES: Final = frozenset(("backup", "forward"))
_WRITTEN_ANEW: Final = frozenset(("pitch", "chord", "voice", "staff", "accidental"))


class Timed(NamedTuple):
    """A child of a bar.

    Attributes:
        onset: quarters from the start of the bar.
        length: quarters; of a move, how far it goes.
        tag: element name.
        data: as the reader has it, everything in it.
        own: as it stands in the file.
        divisions: in force from it on.
        form: of a note; None for all else.
        written: pitch of a note that has one as the staff shows it.
    """

    onset: Fraction
    length: Fraction
    tag: str
    data: bytes
    own: bytes
    divisions: Fraction
    form: NoteForm | None
    written: Pitch | None

    @property
    def takes_time(self) -> bool:
        """True for what the next child stands behind in time."""
        return self.form is not None and not self.form.chord


class WrittenBar(NamedTuple):
    """A bar of a score.

    Attributes:
        where: its place.
        children: its elements, in document order.
        end: where the last of them ends, in quarters.
        divisions: where it begins.
        setting: before it.
    """

    where: InBar
    children: list[Timed]
    end: Fraction
    divisions: Fraction
    setting: Setting


def written_bar(score: Score, where: InBar) -> WrittenBar:
    """Read a bar.

    Args:
        score: not changed.
        where: which.
    """
    part = score.parts[where.part]
    setting = setting_before(part, where.bar)
    counted, found = _events(part, where.bar, setting.divisions)
    whole = [child for child in part.children(where.bar) if tag_of(child)]
    now = counted / found.scale
    children = []
    at = 0
    own = bar_children(score, where)
    for event, data, bytes_there in zip(found.events, whole, own or whole, strict=True):
        if event.place in found.scales:
            now = counted / found.scales[event.place]
        children.append(_timed(event, data, bytes_there, counted, now))
        at = _after(event, at)
    return WrittenBar(where, children, Fraction(at, counted), counted / found.scale, setting)


def _events(part: Part, bar: int, divisions: Fraction) -> tuple[int, BarEvents]:
    """The bar's events, and the divisions they are counted in."""
    counted = divisions.numerator
    while True:
        try:
            found = next(found for _, found in EventReader(part, counted).some({bar}))
        except FractionalDuration as more:
            counted *= more.denominator
        else:
            return counted, found


def _timed(event: Event, data: bytes, own: bytes, counted: int, divisions: Fraction) -> Timed:
    written = None
    if event.pitch is not None and event.pitch.step in SEMITONES_OF_STEP:
        step, alter, octave = event.pitch
        said = whole(octave)
        written = Pitch(step, _alter(alter), _MIDDLE if said is None else said)
    form = read_form(data) if event.form is not None else None
    onset, length = Fraction(event.onset, counted), Fraction(event.length, counted)
    return Timed(onset, length, event.tag, data, own, divisions, form, written)


def _alter(text: str) -> float:
    alter = decimal(text) or 0
    return int(alter) if alter == int(alter) else float(alter)


def _after(event: Event, at: int) -> int:
    if event.tag == "backup":
        return max(event.onset - event.length, 0)
    if event.tag == "forward" or (event.form is not None and not event.form.chord):
        return event.onset + event.length
    return at


def setting_at(bar: WrittenBar, place: int) -> Setting:
    """The setting where a child stands in the document."""
    setting = bar.setting.copy()
    for child in bar.children[:place]:
        if child.tag == "attributes":
            setting.take(child.data)
    return setting


def as_music(child: Timed, setting: Setting) -> Note:
    """A note of a bar as music, with all that it has.

    Args:
        child: a note.
        setting: in force at it.
    """
    form = child.form
    if form is None:
        raise ValueError(f"no note but <{child.tag}>")
    staff = form.staff if "staff" in form.tags else ""
    left_out = _WRITTEN_ANEW - ({"pitch"} if child.written is None else set())
    left_out |= {"duration"} if child.length else set()
    more = [data for data in form.children if tag_of(data) not in left_out]
    accidentals = [data for data in form.children if tag_of(data) == "accidental"]
    heard = child.written and sounding(child.written, setting.transposition(staff))
    return Note(
        child.onset, child.length, heard, chord=form.chord, staff=staff,
        starts_tie=form.starts_tie, stops_tie=form.stops_tie,
        accidental=accidentals[0] if accidentals else b"", more=tuple(more),
        opening=form.opening, spelled=True,
    )  # fmt: skip


def head_of(child: Timed, place: int) -> Head | None:
    """A note that stays, for its staff; None for what has no pitch."""
    if child.written is None or child.form is None:
        return None
    printed = [data for data in child.form.children if tag_of(data) == "accidental"]
    accidental = printed[0] if printed else b""
    form = child.form
    return Head(
        child.onset, (place, ITSELF), form.staff, child.written, accidental, form.stops_tie
    )


def key_changes(bar: WrittenBar) -> list[KeyChange]:
    """The ``<attributes>`` of a bar."""
    return [
        KeyChange(child.onset, (place, ITSELF), child.data)
        for place, child in enumerate(bar.children)
        if child.tag == "attributes"
    ]


def reached_before(bar: WrittenBar) -> list[Fraction]:
    """Where in time each child begins in document order, and at last where the bar ends.

    Returns:
        Quarters from the start of the bar, one more than there are children.
    """
    reached = [Fraction(0)]
    for child in bar.children:
        by = child.length if child.takes_time or child.tag == "forward" else Fraction(0)
        by = -child.length if child.tag == "backup" else by
        reached.append(max(reached[-1] + by, Fraction(0)))
    return reached


def before_barline(bar: WrittenBar) -> int:
    """The index at which a bar's music ends: all but the right barline is before it."""
    place = len(bar.children)
    while place and bar.children[place - 1].tag == "barline":
        if bar.children[place - 1].onset == 0 != bar.end:
            break
        place -= 1
    return place
