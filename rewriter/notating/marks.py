"""What a part needs besides its notes: clefs and 8va lines, at their places."""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING, NamedTuple

from rewriter.notating.clefs import gather, leger_lines, plan_clefs
from rewriter.notating.ottava import plan_ottava
from rewriter.sketch.model import Sign

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.rulefiles.ensembles import ClefUse, Section
    from rewriter.sketch.model import Frame, Sounding


class Marks(NamedTuple):
    """Clefs and 8va lines of a part.

    Attributes:
        clef: the part begins in it.
        at_bars: by bar, a clef that changes at its beginning.
        signs: by bar, clefs within it and ends of 8va lines, at their onsets.
        ottavas: how many 8va lines there are.
    """

    clef: ClefUse
    at_bars: dict[int, ClefUse]
    signs: dict[int, list[Sign]]
    ottavas: int


def clef_bytes(clef: ClefUse) -> bytes:
    """A ``<clef>``."""
    return b"<clef><sign>%b</sign><line>%d</line></clef>" % (clef.sign.encode(), clef.line)


def bar_starts(frame: Frame) -> list[int]:
    """Where each bar begins, divisions from the start of the score."""
    starts, at = [], 0
    for bar in frame.bars:
        starts.append(at)
        at += bar.length
    return starts


def plan_marks(
    section: Section,
    soundings: Sequence[Sounding],
    octave: int,
    starts: Sequence[int],
    frame: Frame,
) -> Marks:
    """Choose clefs and 8va lines for what a section plays.

    Args:
        section: whose figures hold.
        soundings: what it plays, some octaves away.
        octave: whole octaves from the soundings to the line.
        starts: from :func:`bar_starts`.
        frame: of the score.
    """
    if not soundings or not _may_need_any(section, soundings, octave):
        return Marks(section.clefs[0], {}, {}, 0)
    groups = gather(soundings, starts)
    changes = plan_clefs(section, groups, octave)
    marks = Marks(changes[0].clef, {}, {}, 0)
    for change in changes[1:]:
        if change.onset == 0:
            marks.at_bars[change.bar] = change.clef
        else:
            piece = b"<attributes>" + clef_bytes(change.clef) + b"</attributes>\n"
            sign = Sign(change.onset, "line", piece, "attributes")
            marks.signs.setdefault(change.bar, []).append(sign)
    lines, reached = 0, -1
    for first, planned in plan_ottava(section, groups, octave):
        last = planned
        while last + 1 < len(soundings) and not soundings[last].length:
            last += 1  # signs stand at onsets, so grace notes go with the note they lead to
        if first > reached and soundings[last].length:
            _add_ottava(marks, soundings[first], soundings[last], starts, frame)
            lines, reached = lines + 1, last
    return marks._replace(ottavas=lines)


def _may_need_any(section: Section, soundings: Sequence[Sounding], octave: int) -> bool:
    highest = max(sounding.midi for sounding in soundings) + 12 * octave
    figures = [clef.above for clef in section.clefs if clef.above is not None]
    if figures and highest > min(figures):
        return True
    most = section.ottava_beyond_leger_lines
    written = highest + 12 * section.written_octave
    return most is not None and leger_lines(written, section.clefs[-1]) > most


def _add_ottava(
    marks: Marks, first: Sounding, last: Sounding, starts: Sequence[int], frame: Frame
) -> None:
    marks.signs.setdefault(first.bar, []).append(
        Sign(first.onset, "line", _ottava("down"), "direction")
    )
    end = starts[last.bar] + last.onset + last.length
    bar = max(bisect_right(starts, end) - 1, 0)
    if bar > last.bar and starts[bar] == end:
        bar -= 1
    onset = min(end - starts[bar], frame.bars[bar].length)
    marks.signs.setdefault(bar, []).insert(0, Sign(onset, "line", _ottava("stop"), "direction"))


def _ottava(ends: str) -> bytes:
    place = b"" if ends == "stop" else b' placement="above"'
    return (
        b'<direction%b><direction-type><octave-shift type="%b" size="8"/></direction-type>'
        b"</direction>\n" % (place, ends.encode())
    )
