"""Signs of several lines on one staff: the upper line's above, the others' below.

What all lines have in common stands once, where it would stand for one line; so does what the
upper line is told where it alone plays, before the section divides or when it is one again.
(Common practice, no source.)
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, TypeGuard

from rewriter.notating.repairs import Written
from rewriter.notating.spans import spans_of
from rewriter.sketch.listening import notes_in
from rewriter.sketch.model import Note, Sign
from rewriter.sketch.open_ends import without_line
from rewriter.sketch.rests import bar_rest

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence

    from rewriter.sketch.listening import Where
    from rewriter.sketch.model import Voice

OtherEnds = dict[int, tuple[tuple[int, int], ...]]
"""By ``id`` of a sign that begins or ends hairpins and the like: where their other ends are,
as bar and divisions from its start."""

Began = tuple[str, str]
"""Tag and number of a hairpin or the like that has begun and not ended."""

_Said = tuple[int, bytes, tuple[tuple[int, int], ...]]

_OFFSET: Final = re.compile(rb"<offset[^>]*>[^<]*</offset>")
_OPENING: Final = re.compile(rb'\A<direction(?: placement="\w+")?')
_BEHIND_VOICE: Final = re.compile(rb"<staff>|<sound\b|<listening>|</direction>")


class Passed(Note, eq=False, gc=False):
    """Time that a voice lets pass without a sign: the section is not divided then."""

    @classmethod
    def between(cls, start: int, stop: int) -> Passed:
        """Time from one onset in the bar to another."""
        return cls(start, stop - start, bar_rest(stop - start).shape, None)

    @property
    def until(self) -> int:
        """Its end, divisions from the start of the bar."""
        return self.onset + self.length

    @property
    def piece(self) -> bytes:
        """A ``<forward>``, which readers draw nothing for."""
        return b"<forward><duration>%d</duration><voice>1</voice></forward>\n" % self.length


def other_ends(voices: Iterable[Voice]) -> OtherEnds:
    """Where the hairpins, dashes and brackets of voices have their other ends."""
    ends: OtherEnds = {}
    for voice in voices:
        for span in spans_of(voice):
            if span.line:
                begins, stops = span.signs
                ends[begins] = (*ends.get(begins, ()), _onset(voice, span.end))
                ends[stops] = (*ends.get(stops, ()), _onset(voice, span.begin))
    return ends


def _onset(voice: Voice, where: Where) -> tuple[int, int]:
    bar, place = where
    notes = notes_in(voice, bar)
    if place < len(notes):
        return bar, notes[place].onset
    return bar, notes[-1].onset + notes[-1].length if notes else 0


def in_voices(
    lines: Sequence[Sequence[Written]],
    unseen: Sequence[set[Began]],
    bar: int,
    ends: OtherEnds,
) -> list[list[Written]]:
    """The lines of a bar, each with its own signs on its side, and with its voice.

    Args:
        lines: notes and signs, the highest first, each written as voice 1.
        unseen: for each line, see :func:`only_own`.
        bar: index.
        ends: of the voices they play.
    """
    said = [_all_said(line, ends) for line in lines]
    common = said[0].intersection(*said[1:])
    placed = [_above(lines, common, bar, ends)]
    known = set(common)
    for line, own, hidden in zip(lines[1:], said[1:], unseen[1:], strict=True):
        placed.append([_below(w) for w in only_own(line, known, hidden, ends)])
        known |= own
    return placed


def on_one_stem(lines: Sequence[Sequence[Written]], bar: int, ends: OtherEnds) -> list[Written]:
    """The first line with the signs only the others have, each at its onset.

    Args:
        lines: notes and signs of a bar that are written on one stem. Their hairpins and the
            like are the same, so that those of the first stand for all.
        bar: index.
        ends: of the voices they play.
    """
    others = [
        [Written(sign, 0) for w in line if (sign := _without_lines(w.item)) is not None]
        for line in lines[1:]
    ]
    said = [_all_said(line, ends) for line in others]
    common = _all_said(lines[0], ends).intersection(*said)
    common |= {said_when(w.item, ends) for w in lines[0] if _has_lines(w.item)}
    joined = _above(lines, common, bar, ends)
    known = set(common)
    for line, own in zip(others, said, strict=True):
        for one in line:
            if isinstance(one.item, Sign) and said_when(one.item, ends) not in known:
                onset = one.item.onset
                notes = (n for n, w in enumerate(joined) if isinstance(w.item, Note))
                at = next((n for n in notes if joined[n].item.onset >= onset), None)
                joined.insert(len(joined) if at is None else at, _below(one))
        known |= own
    return joined


def _all_said(line: Sequence[Written], ends: OtherEnds) -> set[_Said]:
    return {said_when(w.item, ends) for w in line if isinstance(w.item, Sign)}


def _above(
    lines: Sequence[Sequence[Written]], common: Collection[_Said], bar: int, ends: OtherEnds
) -> list[Written]:
    """The first line, with above it what only its players are told."""
    passed = [[w.item for w in line if isinstance(w.item, Passed)] for line in lines[1:]]

    end = max(w.item.onset + w.item.length for w in lines[0] if isinstance(w.item, Note))

    def is_for_all(sign: Sign) -> bool:
        if said_when(sign, ends) in common:
            return True
        others = [
            0 if at < bar else end if at > bar else onset
            for at, onset in ends.get(id(sign), ())
        ]
        first, last = min([sign.onset, *others]), max([sign.onset, *others])
        return all(
            any(gap.onset <= first < gap.until and last <= gap.until for gap in gaps)
            for gaps in passed
        )

    return [
        one
        if not isinstance(one.item, Sign) or is_for_all(one.item)
        else Written(_on_side(one.item, b"above"), one.octave)
        for one in lines[0]
    ]


def _below(one: Written) -> Written:
    item = one.item
    return Written(_on_side(item, b"below"), one.octave) if isinstance(item, Sign) else one


def _on_side(sign: Sign, side: bytes) -> Sign:
    """A direction on one side of the staff, said to be of voice 1; anything else as it is."""
    if sign.kind != "direction":
        return sign
    opening = b'<direction placement="%b"' % side
    piece = _of_voice(_OPENING.sub(opening, sign.piece))
    detail = sign.detail
    if detail is not None:
        head = _OPENING.sub(opening, detail.head)
        detail = detail._replace(head=head, tail=_of_voice(detail.tail))
    return sign._replace(piece=piece, detail=detail)


def _of_voice(data: bytes) -> bytes:
    """A direction, or the end of one, with its voice where the schema has it."""
    place = _BEHIND_VOICE.search(data, max(data.rfind(b"</direction-type>"), 0))
    if place is None:
        return data
    return data[: place.start()] + b"<voice>1</voice>" + data[place.start() :]


def _has_lines(item: Note | Sign) -> TypeGuard[Sign]:
    return isinstance(item, Sign) and bool(item.lines)


def _without_lines(item: Note | Sign) -> Sign | None:
    """A sign without its ends of hairpins and the like; None where nothing is left."""
    if isinstance(item, Note):
        return None
    if item.detail is None:
        return None if item.lines else item
    for tag, kind, _ in item.lines:
        item = without_line(item, tag, kind)
    return item if item.piece else None


def only_own(
    line: Sequence[Written],
    known: Collection[_Said],
    unseen: set[Began],
    ends: OtherEnds,
) -> list[Written]:
    """A line without the signs that are said already.

    A hairpin or dashed line goes as a whole: where its beginning is left out, so is its end,
    and where it is not, its end stays, though another line may have the same.

    Args:
        line: notes and signs of a bar.
        known: what the other lines say.
        unseen: tag and number of what began unseen and has not ended; brought up to date.
        ends: of the voices they play.
    """
    own: list[Written] = []
    for one in line:
        if isinstance(one.item, Sign):
            sign = _own_part(one.item, unseen, known=said_when(one.item, ends) in known)
            if sign is not None:
                own.append(Written(sign, one.octave))
        else:
            own.append(one)
    return own


def said_when(sign: Sign, ends: OtherEnds) -> _Said:
    """What a sign says, from when and, of a hairpin and its like, until when."""
    offset = sign.detail.offset if sign.detail else 0
    return sign.onset + offset, _OFFSET.sub(b"", sign.piece), ends.get(id(sign), ())


def _own_part(sign: Sign, unseen: set[Began], *, known: bool) -> Sign | None:
    """A sign without the ends of what began unseen; None where nothing is left."""
    starts: set[Began] = set()
    stops: set[Began] = set()
    for tag, ends, number in sign.lines:
        (stops if ends == "stop" else starts).add((tag, number))
    hidden = stops & unseen
    if known and hidden == stops:
        unseen -= stops
        unseen |= starts
        return None
    unseen -= hidden
    if sign.detail is None:  # a repair: one end and nothing else
        return None if hidden else sign
    for one in sorted(hidden):
        sign = without_line(sign, one[0], "stop")
    return sign if sign.piece else None
