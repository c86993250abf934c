"""A clef put in the place of another; pitches stay, and so does all else."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.clefs_read import use_of
from rewriter.checking.rule import Mend, Unmended
from rewriter.editing.cutting import attribute_in
from rewriter.editing.edits import InBar, Inserted, Removed, Replaced, bar_children
from rewriter.editing.elements import (
    found_in,
    with_attribute,
    with_changed,
    with_only,
    without,
)
from rewriter.musicxml.escaping import word
from rewriter.notating.clefs import leger_lines
from rewriter.notating.marks import clef_bytes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.checking.clefs_read import InClef
    from rewriter.checking.finished import Finished
    from rewriter.rulefiles.ensembles import ClefUse, Section
    from rewriter.scores.voices import VoiceNote


def clef_replaced(score: Finished, fact: InClef) -> Mend | Unmended:
    """One of the section's clefs in place of a foreign one, if all reads well in it.

    Args:
        score: it is in.
        fact: notes in a foreign clef.
    """
    section = score.players[fact.part].sections[0]
    clef, lines = _best(fact, section)
    if lines > section.readable_leger_lines:
        return Unmended("none of the section's clefs shows all of it without many leger lines")
    staff = fact.notes[0].form.staff
    before = score.in_force(fact.part).at(fact.came.time - 1, staff).clef
    if before is not None and use_of(before, section) is clef:
        return _replaced(score, fact, None, f"go on in the {clef.clef} clef")
    return _replaced(score, fact, clef, f"write it in the {clef.clef} clef")


def _best(fact: InClef, section: Section) -> tuple[ClefUse, int]:
    """The clef in which the notes need the fewest leger lines, and how many."""
    ends = min(fact.written), max(fact.written)
    most = [(max(abs(leger_lines(midi, use)) for midi in ends), use) for use in section.clefs]
    lines, clef = min(most, key=lambda one: one[0])
    return clef, lines


def _replaced(
    score: Finished, fact: InClef, clef: ClefUse | None, what: str
) -> Mend | Unmended:
    """The clef where it comes replaced, or taken out where the one before it is the same."""
    where = InBar(fact.part, fact.came.bar)
    own = bar_children(score.score, where)[fact.came.place]
    staff = fact.notes[0].form.staff

    def of_staff(data: bytes) -> bool:
        return (attribute_in(data, "number") or "1") == staff

    if clef is None:
        left = without(own, "clef", wanted=of_staff)
        child = fact.came.place
        return Mend(what, (Replaced(where, child, left) if left else Removed(where, child),))
    if len(found_in(own, "clef")) != 1:
        return Unmended("clefs of several staves stand together")

    def changed(data: bytes) -> bytes:
        data = with_only(data, b"<sign>%b</sign>" % word(clef.sign))
        data = with_only(data, b"<line>%d</line>" % clef.line)
        return without(data, "clef-octave-change")

    new = with_changed(own, "clef", changed)
    return Mend(what, (Replaced(where, fact.came.place, new),))


def clef_for_group(
    score: Finished, part: int, notes: Sequence[VoiceNote], clef: ClefUse, most: int
) -> Mend | Unmended:
    """Another clef before some notes, and the one before it again behind them.

    Args:
        score: it is in.
        part: index in score order.
        notes: of one line, in one clef, that follow each other.
        clef: of the section, for these.
        most: leger lines that notes around them may need; they would need the clef as well.
    """
    staff, start, end = notes[0].form.staff, notes[0].time, notes[-1].end
    stretch = next(one for one in score.in_clefs(part) if notes[0] in one.notes)
    back = use_of(stretch.clef, score.players[part].sections[0])
    behind = next((note for note in stretch.notes if note.time >= end), None)
    if back is None or stretch.clef.octaves:
        return Unmended("the clef it stands in is not the section's")
    if any(_is_joined(note) for note in (notes[0], behind) if note is not None):
        return Unmended("a clef would stand within a beam or a tie")
    if _beside_others(score, part, notes, behind.time if behind else end):
        return Unmended("there is another voice on the staff")
    stays = score.players[part].sections[0].clef_stays_bars
    away = stays * score.reading.timeline.length(notes[0].bar)
    around = [
        leger_lines(midi, back)
        for note, midi in zip(stretch.notes, stretch.written, strict=True)
        if start - away <= note.time < start or end <= note.time < end + away
    ]
    if any(abs(lines) > most for lines in around):
        return Unmended("notes around it lie as high or low, and what they need is not certain")
    number = staff if score.score.parts[part].staves > 1 else ""
    edits = [_clef_before(part, notes[0], clef, number)]
    if behind is not None:
        edits.append(_clef_before(part, behind, back, number))
    return Mend(f"write it in the {clef.clef} clef", tuple(edits))


def _is_joined(note: VoiceNote) -> bool:
    """True where something joins a note with what is before it."""
    beamed = any(value in {"continue", "end"} for _, value in note.form.beams)
    return note.form.stops_tie or beamed


def _beside_others(score: Finished, part: int, notes: Sequence[VoiceNote], stop: int) -> bool:
    first = notes[0]
    return any(
        first.time < note.end and note.time < stop
        for voice in score.voices(part)
        for note in voice.notes
        if note.form.voice != first.form.voice
        and note.form.staff == first.form.staff
        and note.sounding is not None
    ) or any(
        note.form.grace and first.time <= note.time <= stop
        for voice in score.voices(part)
        for note in voice.notes
    )


def _clef_before(part: int, note: VoiceNote, clef: ClefUse, staff: str) -> Inserted:
    data = clef_bytes(clef)
    data = with_attribute(data, "number", staff) if staff else data
    said = b"<attributes>%b</attributes>" % data
    return Inserted(InBar(part, note.bar), note.event.place, said)
