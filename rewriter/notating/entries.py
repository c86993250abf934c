"""What whoever enters in the middle of a line is told: the dynamic and expression in force."""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.escaping import word
from rewriter.notating.words import DYNAMICS, dynamic_direction, stepped
from rewriter.sketch.model import Note, Sign

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.notating.cuts import VoiceIndex
    from rewriter.notating.repairs import Written
    from rewriter.placing.strands import Run
    from rewriter.sketch.listening import Where

_SAID_AGAIN: Final = b'<direction placement="below"><direction-type><dynamics'


def said_at(before: Run | None, run: Run, entry: Where, index: VoiceIndex) -> list[bytes]:
    """Directions for an entry; behind less than a bar's silence only what is new.

    Args:
        before: what the line plays before, up to its last sounding note.
        run: what it plays from the entry on.
        entry: its first sounding note.
        index: of the voice.
    """
    now = _in_force(run, entry, index)
    if before is None or not _plays_on(before, run, entry, index):
        return now
    behind = run._replace(first=(before.last[0], before.last[1] + 1))
    known = _in_force(behind, before.last, index)
    return [said for said in now if said not in known]


def said_on_joining(run: Run, joint: Where, index: VoiceIndex) -> list[bytes]:
    """Directions where more players join a line that goes on; nothing within a hairpin.

    Args:
        run: what the line plays, across the joint.
        joint: the first note the others play too.
        index: of the voice.
    """
    spans = index.spans.get(joint[0], ())
    if any(span.tag == "wedge" and span.begin < joint < span.end for span in spans):
        return []
    return _in_force(run._replace(first=joint), joint, index)


def _in_force(run: Run, entry: Where, index: VoiceIndex) -> list[bytes]:
    """Directions with the dynamic and the expression in force at a note.

    A line with a dynamic of its own is told so; with steps, the sketch's dynamic is stepped.
    What the sketch says within the run is not said again.
    """
    said: list[bytes] = []
    if run.change in DYNAMICS:
        said.append(dynamic_direction(b"<dynamics><%b/></dynamics>" % word(run.change)))
    else:
        known = bisect_right(index.dynamics, entry, key=lambda mark: mark[0])
        if known and index.dynamics[known - 1][0] < run.first:
            where, mark = index.dynamics[known - 1]
            change = int(run.change.replace("\N{MINUS SIGN}", "-") or 0)
            change += _since(where, entry, index.hairpins)
            said.append(dynamic_direction(stepped(mark, f"{change:+d}") if change else mark))
    known = bisect_right(index.expressions, entry, key=lambda word: word[0])
    if known and index.expressions[known - 1][0] < run.first:
        words = index.expressions[known - 1][1]
        said += [words] if words else []
    return said


def _since(where: Where, entry: Where, hairpins: Sequence[tuple[Where, int]]) -> int:
    """What hairpins have made of a mark since: one step for those that end before an entry."""
    change = sum(way for end, way in hairpins if where < end <= entry)
    return (change > 0) - (change < 0)


def _plays_on(before: Run, run: Run, entry: Where, index: VoiceIndex) -> bool:
    """True where a line only stops for less than a bar."""
    if before.voice is not run.voice or before.change != run.change:
        return False
    timeline = run.voice.timeline
    last, first = (index.notes[bar][place] for bar, place in (before.last, entry))
    ends = timeline.starts[before.last[0]] + last.onset + last.length
    return timeline.starts[entry[0]] + first.onset - ends < timeline.length(entry[0])


def beside_accents(written: Sequence[Written]) -> list[Written]:
    """A note and its signs; a dynamic said again and the note's own accent in one direction.

    Two directions at one moment are drawn over each other, the types of one follow each other
    (W3C MusicXML 4.0, ``<direction>``).

    Args:
        written: what is said again, the sketch's signs, and the note, in this order.
    """
    again = next((one for one in written if _is_said_again(one)), None)
    if again is None or not isinstance(again.item, Sign):
        return list(written)
    said = again.item.piece
    behind = written[written.index(again) + 1 :]
    for one in behind:
        item = one.item
        if isinstance(item, Note):
            if accents := b"".join(_accents(item)):
                own = b"<direction-type>%b</direction-type></direction>" % accents
                both = again.item._replace(piece=said.replace(b"</direction>", own))
                bare = one._replace(item=_without_accents(item))
                new = {id(again): again._replace(item=both), id(one): bare}
                return [new.get(id(each), each) for each in written]
            break
        if _is_accent(item):
            first = said.partition(b">")[2].partition(b"</direction>")[0]
            both = item._replace(piece=item.piece.replace(b">", b">" + first, 1))
            new = {id(one): one._replace(item=both)}
            return [new.get(id(each), each) for each in written if each is not again]
    return list(written)


def _is_said_again(one: Written) -> bool:
    item = one.item
    return isinstance(item, Sign) and not item.detail and item.piece.startswith(_SAID_AGAIN)


def _is_accent(sign: Sign) -> bool:
    """True for a dynamic at its note, and nothing beside it."""
    detail = sign.detail
    return (
        detail is not None
        and bool(detail.dynamic)
        and not detail.offset
        and sign.piece.count(b"<direction-type")
        == sign.piece.count(b"<direction-type><dynamics")
    )


def _accents(note: Note) -> list[bytes]:
    return [one.data for one in note.shape.notations if one.tag == "dynamics"]


def _without_accents(note: Note) -> Note:
    kept = [one for one in note.shape.notations if one.tag != "dynamics"]
    shape = note.shape.derived(notations=kept)
    return Note(note.onset, note.length, shape, note.pitch, note.sign, note.chord)
