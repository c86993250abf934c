"""Single notes and signs of a bar that is put together note by note, with their repairs."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.notating.words import DYNAMICS, stepped
from rewriter.sketch.beaming import Open, rebeamed
from rewriter.sketch.model import Note, Sign
from rewriter.sketch.open_ends import with_own_sign, without_line, without_tie, without_words
from rewriter.sketch.rests import is_plain_rest

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.notating.cuts import Place, Repairs
    from rewriter.placing.strands import Play


class Written(NamedTuple):
    """A note with the octaves it is moved by, or a sign (with 0)."""

    item: Note | Sign
    octave: int


def mended_note(note: Note, where: Place, octave: int, repairs: Repairs) -> list[Written]:
    """A copy of a note, with its repairs, and the signs that end behind it."""
    copy = _copy(note, where, repairs)
    end = note.onset + note.length
    after = [
        Written(Sign(end, "line", piece, "direction", line=line), 0)
        for piece, line in repairs.after.get(where, ())
    ]
    return [Written(copy, octave), *after]


def said_before(note: Note, where: Place, repairs: Repairs) -> list[Written]:
    """What whoever enters on a note is told there, ahead of the note's own signs."""
    return [
        Written(Sign(note.onset, "line", piece, "direction", line=line), 0)
        for piece, line in repairs.before.get(where, ())
    ]


def _copy(note: Note, where: Place, repairs: Repairs) -> Note:
    copy = Note(note.onset, note.length, note.shape, note.pitch)
    copy.sign = note.sign
    copy.chord = tuple(_copy(each, where, repairs) for each in note.chord)
    for ends in sorted(repairs.ties.get(where, ())):
        if copy.shape.starts_tie if ends == "start" else copy.shape.stops_tie:
            copy.shape = without_tie(copy.shape, ends)
    reminded = repairs.reminders.get(where, ())
    if note.pitch and (note.pitch.step, note.pitch.octave) in reminded:
        copy.shape, copy.sign = with_own_sign(copy.shape, cautionary=True), b""
    unsaid = repairs.unsaid.get(where)
    if unsaid:
        kept = [n for n in copy.shape.notations if n.tag not in unsaid]
        heads = {"notehead"} if "harmonic" in unsaid else set[str]()
        copy.shape = copy.shape.derived(without=heads, notations=kept)
    change = repairs.notations.get(where)
    if change is not None:
        out, new = change
        kept = [n for n in copy.shape.notations if (n.tag, n.number, n.type) not in out]
        added = [] if note.shape.chord else new
        copy.shape = copy.shape.derived(notations=[*kept, *added])
    return copy


def own_sign(sign: Sign, where: Place, repairs: Repairs, play: Play) -> Sign:
    """A sign of the line without the ends of lines that do not reach here.

    Args:
        sign: of the voice.
        where: the note it speaks of.
        repairs: of the strand.
        play: of the bar; where it does not play that note, the sign stands behind its last.
    """
    octaves, place = play.octaves, where[2]
    played = octaves is None or (place < len(octaves) and octaves[place] is not None)
    lost: set[tuple[str, str]] = set()
    if played:
        lost |= repairs.ahead.get(id(sign), set())
    if octaves is None or not played:
        lost |= repairs.behind.get(id(sign), set())
    for tag, ends in sorted(lost):
        sign = without_line(sign, tag, ends)
    if sign.detail is not None and sign.detail.string in repairs.unsaid.get(where, ()):
        sign = without_words(sign, sign.detail.string)
    return sign


def belongs(play: Play, place: int, sign: Sign, notes: Sequence[Note]) -> bool:
    """True when a sign of the line is for who plays the note behind it, or ends something.

    What stands before a rest is for who plays behind it in the bar.

    Args:
        play: of the bar.
        place: of the note the sign stands before.
        sign: a sign of the voice.
        notes: of the voice in the bar; with an offset it speaks of another than that behind.
    """
    octaves = play.octaves
    if octaves is None:
        return True
    spoken_of = sign.speaks_of(notes, place)
    if spoken_of != place:
        return octaves[spoken_of] is not None
    if place < len(octaves) and octaves[place] is not None:
        spans = sign.detail is not None and sign.detail.spans
        return bool(spans) or _is_for(octaves[place:], notes[place:])
    ends = sign.detail is not None and any(span[1] == "stop" for span in sign.detail.spans)
    return (ends or place == len(octaves)) and place > 0 and octaves[place - 1] is not None


def by_their_notes(
    items: Sequence[Note | Sign], notes: Sequence[Note], octaves: Sequence[int | None] | None
) -> Sequence[Note | Sign]:
    """A bar's items; a sign between notes that are not played stands before that it speaks of.

    Args:
        items: of the voice in the bar.
        notes: likewise.
        octaves: by note, None where it is not played; None where all are.
    """
    if octaves is None:
        return items
    ordered = list(items)
    place = 0
    for item in items:
        if isinstance(item, Note):
            place += 1
        elif not any(octave is not None for octave in octaves[max(place - 1, 0) : place + 1]):
            spoken_of = item.speaks_of(notes, place)
            if spoken_of != place:
                ordered.remove(item)
                note = notes[spoken_of]
                ordered.insert(ordered.index(note), item.stood_before(note))
    return ordered


def _is_for(octaves: Sequence[int | None], notes: Sequence[Note]) -> bool:
    """True where the first of some notes that sounds is played, or all are rests."""
    sounding = (octave for octave, note in zip(octaves, notes, strict=True) if note.pitch)
    return next(sounding, 0) is not None


def without_rests_by_gaps(written: Sequence[Written], length: int) -> list[Written]:
    """A bar without the rests that touch a gap, since one silence is written as one.

    A rest with a sign before it stays, so that the sign has its place.

    Args:
        written: notes and signs of a bar, in order, with gaps where nothing is played.
        length: of the bar, divisions.
    """
    kept = list(written)
    while touching := _rests_by_gaps(kept, length):
        kept = [one for one in kept if id(one.item) not in touching]
    return kept


def _rests_by_gaps(written: Sequence[Written], length: int) -> set[int]:
    notes = [(at, one.item) for at, one in enumerate(written) if isinstance(one.item, Note)]
    behind = [*(note.onset for _, note in notes), length][1 : len(notes) + 1]
    found: set[int] = set()
    end = 0
    for (at, note), following in zip(notes, behind, strict=True):
        ends = note.onset + note.length
        has_sign = at > 0 and isinstance(written[at - 1].item, Sign)
        if (note.onset > end or ends < following) and not has_sign and is_plain_rest(note):
            found.add(id(note))
        end = ends
    return found


def rests_before_gaps(written: Sequence[Written], length: int) -> set[int]:
    """By ``id``, the rests that end where a gap begins: one silence from their signs on.

    Args:
        written: as :func:`without_rests_by_gaps` leaves them.
        length: of the bar, divisions.
    """
    notes = [one.item for one in written if isinstance(one.item, Note)]
    behind = [*(note.onset for note in notes), length][1:]
    return {
        id(note)
        for note, following in zip(notes, behind, strict=True)
        if note.onset + note.length < following and is_plain_rest(note)
    }


def closed_beams(written: Sequence[Written], ends: Open) -> list[Written]:
    """The bar with beam groups closed where notes have gone.

    Args:
        written: notes and signs of the bar.
        ends: where groups go on over the barlines.
    """
    items = rebeamed([w.item for w in written], ends)
    return [Written(item, w.octave) for item, w in zip(items, written, strict=True)]


def with_dynamics(written: Sequence[Written], change: str) -> list[Written]:
    """The bar with its dynamics made softer or louder.

    Args:
        written: notes and signs of a bar.
        change: steps, such as ``-1``; a mark of its own leaves out the sketch's marks and
            hairpins; empty for no change.
    """
    if not change:
        return list(written)
    changed: list[Written] = []
    for item, octave in written:
        if isinstance(item, Note):
            changed.append(Written(_note_with_dynamics(item, change), octave))
        elif item.detail is None:
            changed.append(Written(item, octave))
        elif change not in DYNAMICS:
            changed.append(Written(item._replace(piece=stepped(item.piece, change)), octave))
        elif not item.detail.dynamic and all(span[0] != "wedge" for span in item.detail.spans):
            changed.append(Written(item, octave))
    return changed


def _note_with_dynamics(note: Note, change: str) -> Note:
    """A note with the dynamics of its own notations made softer or louder, as signs are."""
    notations = note.shape.notations
    own = any(one.tag == "dynamics" for one in notations)
    chord = tuple(_note_with_dynamics(each, change) for each in note.chord)
    if not own and chord == note.chord:
        return note
    kept = (one for one in notations if change not in DYNAMICS or one.tag != "dynamics")
    moved = [
        one._replace(data=stepped(one.data, change)) if one.tag == "dynamics" else one
        for one in kept
    ]
    shape = note.shape.derived(notations=moved) if own else note.shape
    return Note(note.onset, note.length, shape, note.pitch, note.sign, chord)
