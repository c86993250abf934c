"""What whoever enters in the middle of a line is told: the dynamic and expression in force."""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING

from rewriter.musicxml.escaping import word
from rewriter.notating.words import DYNAMICS, dynamic_direction, stepped

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.notating.cuts import VoiceIndex
    from rewriter.placing.strands import Run
    from rewriter.sketch.listening import Where


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
