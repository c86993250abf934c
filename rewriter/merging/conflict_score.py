"""A score of nothing but what lost in conflicts: bars in small notes, marks in words."""

from __future__ import annotations

from collections import Counter, defaultdict
from copy import deepcopy
from typing import TYPE_CHECKING

from lxml import etree

from rewriter.editing.elements import with_attribute
from rewriter.editing.note_writing import number
from rewriter.editing.setting import setting_before
from rewriter.editing.standing import Standing
from rewriter.merging.crossing import without_crossing
from rewriter.merging.edits import NOTES
from rewriter.merging.moved_bars import moved_bar
from rewriter.merging.resting import resting_bar
from rewriter.merging.settling import direction_of, words_of
from rewriter.merging.whole_parts import standings_of, with_statement
from rewriter.musicxml.heading import HEAD
from rewriter.musicxml.note_reading import serialised
from rewriter.scores.children import element_of

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence
    from fractions import Fraction

    from lxml.etree import _Element as Element

    from rewriter.comparing.contents import Contents
    from rewriter.merging.reshaping import Shape
    from rewriter.merging.results import Conflict
    from rewriter.merging.three import Three
    from rewriter.scores.score import Score


def conflict_score(
    three: Three, merged: Score, shape: Shape, conflicts: Sequence[Conflict]
) -> bytes:
    """The bars in which something is to be settled, as the side has them that lost.

    Args:
        three: the scores.
        merged: what came of them; its numbers, clefs and keys count.
        shape: where the new score's bars are in it.
        conflicts: at least one.

    Returns:
        MusicXML: parts with conflicts only, bars with conflicts only, under their own numbers.
    """
    writing = _Writing(three, merged, shape, conflicts)
    parts = sorted({one.part or 0 for one in conflicts})
    pieces = [HEAD, *_header(merged, [merged.parts[part].id for part in parts])]
    for part in parts:
        opening = serialised(etree.Element("part", {"id": merged.parts[part].id}))
        pieces += [opening.replace(b"/>", b">\n"), *writing.bars_of(part), b"</part>\n"]
    return b"".join([*pieces, b"</score-partwise>\n"])


def _header(merged: Score, parts: Collection[str]) -> Iterator[bytes]:
    """What stands before the parts, without those that have no conflict."""
    for child in merged.header:
        if child.tag in {"work", "movement-number", "movement-title", "defaults"}:
            yield serialised(child) + b"\n"
        if child.tag == "part-list":
            kept = deepcopy(child)
            for entry in list(kept):
                if entry.tag != "score-part" or entry.get("id") not in parts:
                    kept.remove(entry)
            etree.strip_attributes(kept, "print-object")
            yield serialised(kept) + b"\n"


class _Writing:
    """Writes the bars of one part after the other."""

    def __init__(
        self, three: Three, merged: Score, shape: Shape, conflicts: Sequence[Conflict]
    ) -> None:
        self._three = three
        self._merged = merged
        self._shape = shape
        self._bars = sorted({one.bar for one in conflicts})
        self._said: dict[tuple[int, int], list[Conflict]] = defaultdict(list)
        for one in conflicts:
            self._said[one.part or 0, one.bar].append(one)
        _, edited, new = three.scores
        of_notes = [one for one in conflicts if one.entry.kind == NOTES]
        self._edited = self._cut_out(
            edited, three.edited, {one.hand[1] for one in of_notes if one.entry.stands == "new"}
        )
        self._new = self._cut_out(
            new, three.new, {one.new[1] for one in of_notes if one.entry.stands == "hand"}
        )

    def _cut_out(self, score: Score, parts: Sequence[Contents], bars: set[int]) -> Score:
        """A score whose bars can be taken out one by one."""
        for bar in sorted(bars):
            score = without_crossing(self._three, score, parts, {bar})
        return score

    def bars_of(self, part: int) -> Iterator[bytes]:
        """The bars of a part of the merged score."""
        standings = standings_of(self._merged.parts[part].bars)
        here = Standing()
        for bar in self._bars:
            found, divisions = self._bar(part, bar)
            said = b"<attributes><divisions>%b</divisions></attributes>" % number(divisions)
            wanted = standings[bar].take([said])
            words = b"".join(
                direction_of(words_of(one.entry)) for one in self._said.get((part, bar), ())
            )
            found = with_statement(_with_words(found, words), here.leading_to(wanted))
            name = self._merged.parts[part].numbers[bar]
            yield with_attribute(found, "number", name) + b"\n"
            here = wanted

    def _bar(self, part: int, bar: int) -> tuple[bytes, Fraction]:
        """What lost in a bar, small; a rest where that was no notes. And its divisions."""
        three = self._three
        for one in self._said.get((part, bar), ()):
            if one.entry.kind != NOTES:
                continue
            hand = one.entry.stands == "new"
            score, (of, at) = (self._edited, one.hand) if hand else (self._new, one.new)
            found = _small(score.parts[of].bars[at])
            if hand and any(one.by):
                found = moved_bar(found, one.by, first=False)
            return found, setting_before(score.parts[of], at).divisions
        divisions = setting_before(self._merged.parts[part], bar).divisions
        return resting_bar(three.length_of(self._shape, bar) * divisions, "0"), divisions


def _with_words(bar: bytes, words: bytes) -> bytes:
    opening, _, rest = bar.partition(b">")
    return b"%b>%b%b" % (opening, words, rest)


def _small(bar: bytes) -> bytes:
    """A bar with notes as small as cue notes, without what it states and what leads out."""
    measure = element_of(bar)
    for child in list(measure):
        if child.tag in {"attributes", "print", "barline", "sound"}:
            measure.remove(child)
    notes = measure.findall("note")
    for note in notes:
        for kind in note.iterfind("type"):
            kind.set("size", "cue")
    _close_ties(notes)
    return serialised(measure)


def _close_ties(notes: Sequence[Element]) -> None:
    """Take out ends of ties whose other end is in another bar."""
    begun: Counter[str] = Counter()
    for tag, wanted, other in (("stop", "start", "stop"), ("start", "stop", "start")):
        begun.clear()
        for note in notes if tag == "stop" else reversed(notes):
            pitch = "".join("".join(note.xpath("pitch//text()")).split())
            ends = [one for one in note.xpath("tie|notations/tied") if one.get("type") == other]
            if ends and not begun[pitch]:
                for end in ends:
                    end.getparent().remove(end)
            elif ends:
                begun[pitch] -= 1
            if any(one.get("type") == wanted for one in note.findall("tie")):
                begun[pitch] += 1
