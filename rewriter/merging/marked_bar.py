"""A bar of the new score while marks and signs are taken out of it and put in."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from rewriter.editing.bar_marking import marked
from rewriter.editing.bar_reading import written_bar
from rewriter.editing.cutting import attribute_in
from rewriter.editing.elements import text_in, with_child, without
from rewriter.editing.music import Sign, tag_of
from rewriter.editing.note_marks import with_notation, with_tie, without_tie
from rewriter.merging.carried_signs import STANDING
from rewriter.merging.graces import grace_places
from rewriter.merging.taking_off import off_note, off_other
from rewriter.theory.numbers import decimal

if TYPE_CHECKING:
    from rewriter.editing.bar_reading import Timed
    from rewriter.editing.edits import Edit, InBar
    from rewriter.editing.note_marks import End
    from rewriter.merging.taking_off import Wanted
    from rewriter.scores.score import Score
    from rewriter.theory.pitch import Pitch

_AT_THE_EDGE: Final = frozenset(("barline", "repeat", "ending"))


class MarkedBar:
    """A bar, its children as they are going to be, and what is put in."""

    def __init__(self, score: Score, where: InBar) -> None:
        self.bar = written_bar(score, where)
        self._changed: dict[int, bytes] = {}
        self._signs: list[Sign] = []
        self._graces = self._grace_places()

    def _grace_places(self) -> dict[int, int]:
        """Places among grace notes by child, voice by voice."""
        voices: dict[str, list[int]] = {}
        for place, child in enumerate(self.bar.children):
            if child.form is not None:
                voices.setdefault(child.form.voice, []).append(place)
        found: dict[int, int] = {}
        for places in voices.values():
            forms = [form for place in places if (form := self.bar.children[place].form)]
            told = grace_places([(form.grace, form.chord) for form in forms])
            found |= zip(places, told, strict=True)
        return found

    def edits(self) -> list[Edit]:
        """All that changes in it."""
        if not self._changed and not self._signs:
            return []
        return marked(self.bar, self._signs, self._changed)

    def own(self, place: int) -> bytes:
        """A child as it is going to be; empty for one that goes."""
        return self._changed.get(place, self.bar.children[place].own)

    def notes_at(self, onset: Fraction, grace: int, voice: str, staff: str = "") -> list[int]:
        """Notes of a voice at a moment, a chord's first one first.

        Where the voice has none there, those of any voice of the staff.

        Args:
            onset: quarters from the start of the bar.
            grace: place among grace notes.
            voice: as the bar numbers it.
            staff: counted from the top, as text.
        """
        there = [
            (place, child.form)
            for place, child in enumerate(self.bar.children)
            if child.form is not None and child.onset == onset and self._graces[place] == grace
        ]
        found = [place for place, form in there if form.voice == voice]
        return found or [place for place, form in there if form.staff == (staff or "1")]

    def sounds(self, place: int) -> Pitch | None:
        """The pitch of a note as the staff shows it."""
        return self.bar.children[place].written

    def hang(self, place: int, sign: bytes) -> None:
        """Put a mark on a note."""
        hung = with_child if tag_of(sign) == "lyric" else with_notation
        self._changed[place] = hung(self.own(place), sign)

    def unhang(self, place: int, wanted: Wanted) -> str:
        """Take a mark off a note; the number of what was taken, empty for nothing."""
        off = off_note(self.own(place), wanted)
        if off is None:
            return ""
        self._changed[place] = off.data
        return off.number

    def put(self, onset: Fraction, data: bytes) -> None:
        """Put a sign in at a moment, in quarters from the start of the bar."""
        self._signs.append(Sign(min(onset, self.bar.end), data))

    def replace(self, place: int, data: bytes) -> None:
        """A child is another now."""
        self._changed[place] = data

    def take(self, onset: Fraction, wanted: Wanted) -> str:
        """Take out what stands beside the notes at a moment.

        Returns:
            The number of what was taken; empty where nothing was.
        """
        for place, child in enumerate(self.bar.children):
            data = self.own(place)
            if child.form is not None or not data or not _stands_at(child, onset, wanted):
                continue
            if child.tag not in {"direction", "harmony", "figured-bass", "barline", "print"}:
                continue
            off = off_other(data, wanted, self.bar.setting.transposition(""))
            if off is not None:
                self._changed[place] = off.data
                return off.number
        return ""

    def take_standing(self, onset: Fraction, kind: str, staff: str) -> None:
        """Take out a clef, key or the like that begins to stand at a moment."""
        for place, child in enumerate(self.bar.children):
            data = self.own(place)
            if child.tag == "attributes" and data and child.onset == onset:
                self._changed[place] = without(
                    data,
                    STANDING[kind],
                    wanted=lambda own: (
                        not staff or (attribute_in(own, "number") or "1") == staff
                    ),
                )

    def tie(self, place: int, end: End, *, wanted: bool) -> None:
        """Let a tie begin or end at a note, or not."""
        note = self.own(place)
        tied = with_tie(note, end) if wanted else without_tie(note, end)
        if tied != note:
            self._changed[place] = tied


def _stands_at(child: Timed, onset: Fraction, wanted: Wanted) -> bool:
    if child.tag == "barline" and wanted.kind in _AT_THE_EDGE:
        return True
    offset = decimal(text_in(child.own, "offset")) or Fraction(0)
    return child.onset + offset / child.divisions == onset
