"""Given music written into a bar of a score, as edits of its children.

What is new is counted in the bar's own divisions; where they do not suffice, finer ones are
declared at the bar's start and the old ones restored at its end, and the numbers of what stays
are changed with them. ``<backup>`` and ``<forward>`` stay where they still lead where they led.
"""

from __future__ import annotations

from collections import defaultdict
from math import lcm
from typing import TYPE_CHECKING

from rewriter.editing.bar_reading import (
    WrittenBar,
    as_music,
    head_of,
    key_changes,
    setting_at,
    written_bar,
)
from rewriter.editing.bar_signs import ITSELF, Head, signs_of
from rewriter.editing.edits import Amended, Edit, InBar, Inserted, Removed, Replaced
from rewriter.editing.elements import place_of
from rewriter.editing.laying_out import New, Plan, dealt_out, laid_out
from rewriter.editing.moves import Move, move_bytes
from rewriter.editing.music import Note, Sign
from rewriter.editing.note_lengths import spelled
from rewriter.editing.note_writing import note_bytes
from rewriter.editing.rescaling import all_recounted, finer, restored
from rewriter.editing.setting import written
from rewriter.musicxml.escaping import escaped

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from rewriter.scores.score import Score
    from rewriter.theory.pitch import Pitch


def voices_replaced(
    score: Score, where: InBar, voices: Mapping[str, Sequence[Note | Sign]]
) -> list[Edit]:
    """Edits that give voices of a bar other music and leave all others their bytes.

    Another voice's note gets an accidental where the new music takes away the one it relied
    on, and nothing else of it changes but durations in finer divisions. All that is to change
    in a bar's music is told at once: edits of two calls know nothing of each other.

    Args:
        score: not changed.
        where: the bar.
        voices: the new music by the name its voice has in the bar; a voice that is not there is
            added. Notes in time; rests are to be among them. Signs are put beside those that
            stand there.
    """
    bar = written_bar(score, where)
    gone: set[int] = set()
    before: dict[int, list[tuple[str, Note | Sign]]] = defaultdict(list)
    for voice, music in voices.items():
        old = _places_of(bar, voice)
        signs = [item for item in music if isinstance(item, Sign)]
        notes = spelled([item for item in music if isinstance(item, Note)])
        items: list[Note | Sign] = [*signs, *notes]
        items.sort(key=lambda item: item.onset)
        for place, item in dealt_out(bar, old, items):
            before[place].append((voice, item))
        gone |= old
    return _edits(bar, Plan(gone, {}, before))


def _places_of(bar: WrittenBar, voice: str) -> set[int]:
    """Notes of a voice, and the silence that is said to be its own."""
    own = b"<voice>%b</voice>" % escaped(voice)
    return {
        place
        for place, child in enumerate(bar.children)
        if (child.form is not None and child.form.voice == voice)
        or (child.tag == "forward" and own in child.data)
    }


def written_again(score: Score, where: InBar) -> list[Edit]:
    """Edits that write all notes of a bar anew from what the reader makes of them.

    Args:
        score: not changed.
        where: the bar.
    """
    bar = written_bar(score, where)
    again = {}
    for place, child in enumerate(bar.children):
        if child.form is not None:
            again[place] = as_music(child, setting_at(bar, place))
    return _edits(bar, Plan(set(), again, {}))


def _edits(bar: WrittenBar, plan: Plan) -> list[Edit]:
    new, dropped = laid_out(bar, plan)
    signs = _signs(bar, plan, new)
    times = _times(new)
    edits: list[Edit] = [Removed(bar.where, place) for place in sorted(plan.gone | dropped)]
    if times > 1:
        staying = set(range(len(bar.children))) - plan.gone - dropped - plan.again.keys()
        edits += finer(bar, staying, times)
    for one in new:
        data = _bytes_of(bar, one, times, signs)
        kind = Replaced if one.replaces else Inserted
        edits.append(kind(bar.where, one.child, data))
    edits += _accidentals_of_others(bar, plan, signs)
    if times > 1:
        edits.append(restored(bar))
    return edits


def _signs(bar: WrittenBar, plan: Plan, new: Sequence[New]) -> dict[tuple[int, int], bytes]:
    """What each note prints: new ones by (child, order), others by (child, 0)."""
    kept = [
        head
        for place, child in enumerate(bar.children)
        if place not in plan.gone and place not in plan.again
        if (head := head_of(child, place))
    ]
    for one in new:
        if isinstance(one.item, Note) and one.item.pitch is not None:
            note = one.item
            pitch = _written(bar, one)
            kept.append(
                Head(note.onset, one.place, note.staff, pitch, note.accidental, note.stops_tie)
            )
    return signs_of(kept, key_changes(bar), bar.setting.copy())


def _written(bar: WrittenBar, one: New) -> Pitch:
    note = one.item
    if not isinstance(note, Note) or note.pitch is None:
        raise ValueError(f"no pitch: {one}")
    return written(note.pitch, setting_at(bar, one.child).transposition(note.staff))


def _times(new: Sequence[New]) -> int:
    """How many new divisions make an old one."""
    lengths = [
        (one.item.length if isinstance(one.item, Note) else one.item.by) * one.divisions
        for one in new
        if not isinstance(one.item, Sign)
    ]
    return lcm(*(length.denominator for length in lengths))


def _bytes_of(
    bar: WrittenBar, one: New, times: int, signs: Mapping[tuple[int, int], bytes]
) -> bytes:
    item = one.item
    divisions = one.divisions * times
    if isinstance(item, Sign):
        return all_recounted(item.data, times)
    if isinstance(item, Move):
        return move_bytes(item, divisions)
    pitch = _written(bar, one) if item.pitch is not None else None
    return note_bytes(
        item, one.voice, item.length * divisions, pitch, signs.get(one.place, b"")
    )


def _accidentals_of_others(
    bar: WrittenBar, plan: Plan, signs: Mapping[tuple[int, int], bytes]
) -> Iterator[Edit]:
    """Signs that notes of other voices need now and did not need before."""
    heads = {
        place: head
        for place, child in enumerate(bar.children)
        if (head := head_of(child, place))
    }
    before = signs_of(heads.values(), key_changes(bar), bar.setting.copy())
    for place, head in heads.items():
        if place in plan.gone or place in plan.again or head.accidental:
            continue
        sign = signs.get((place, ITSELF), b"")
        if sign and not before[head.place]:
            start = place_of(bar.children[place].own, "accidental")
            yield Amended(bar.where, place, start, start, sign)
