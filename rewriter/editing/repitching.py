"""Notes of a bar given other pitches, and the signs they, and those they leave, print then."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.editing.bar_reading import head_of, key_changes, written_bar
from rewriter.editing.bar_signs import Head, signs_of
from rewriter.editing.edits import Edit, InBar, Replaced
from rewriter.editing.elements import with_changed, with_child, with_text, without
from rewriter.editing.note_marks import with_accidental

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterator

    from rewriter.scores.score import Score
    from rewriter.theory.fifths import Interval
    from rewriter.theory.pitch import Pitch


def repitched(
    score: Score,
    where: InBar,
    places: Collection[int],
    pitch_of: Callable[[int, Pitch, Interval], Pitch],
) -> Iterator[Edit]:
    """Edits that give notes of a bar other pitches; nothing else of them changes.

    Args:
        score: not changed.
        where: the bar.
        places: of the notes among the bar's children.
        pitch_of: the written pitch one is to have; told its place, the one it has, and the
            interval from written to sounding.
    """
    bar = written_bar(score, where)
    heads: dict[int, Head] = {}
    before: dict[int, Head] = {}
    setting = bar.setting.copy()
    for place, child in enumerate(bar.children):
        if child.tag == "attributes":
            setting.take(child.data)
        head = head_of(child, place)
        if head is not None:
            before[place] = heads[place] = head
            if place in places:
                pitch = pitch_of(place, head.pitch, setting.transposition(head.staff))
                heads[place] = head._replace(pitch=pitch)
    changes = key_changes(bar)
    needed = signs_of(heads.values(), changes, bar.setting.copy())
    known = signs_of(before.values(), changes, bar.setting.copy())
    for place, head in heads.items():
        data = bar.children[place].own
        sign = needed[head.place]
        if sign != head.accidental and (place in places or sign != known[head.place]):
            data = with_accidental(data, sign)
        if place in places:
            data = _at_pitch(data, before[place].pitch, head.pitch)
        if data != bar.children[place].own:
            yield Replaced(where, place, data)


def _at_pitch(note: bytes, before: Pitch, now: Pitch) -> bytes:
    """A note at another pitch; what of the pitch stays, stays as it is written."""

    def changed(pitch: bytes) -> bytes:
        if now.step != before.step:
            pitch = with_changed(pitch, "step", lambda one: with_text(one, now.step))
        if now.alter != before.alter:
            pitch = without(pitch, "alter")
            if now.alter:
                pitch = with_child(pitch, b"<alter>%g</alter>" % now.alter)
        return with_changed(pitch, "octave", lambda one: with_text(one, str(now.octave)))

    return with_changed(note, "pitch", changed)
