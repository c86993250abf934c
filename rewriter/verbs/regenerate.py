"""Make a score anew from a changed sketch, plan or key, with what was done to it by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple, TypedDict, get_args

from rewriter.merging.bar_map import parse_bars
from rewriter.merging.decisions import Prefer
from rewriter.merging.merge import merge
from rewriter.merging.version_lines import with_version_line
from rewriter.musicxml.saving import stamped_again
from rewriter.problems import Refused
from rewriter.reporting.regenerating import Laid, regenerated_of
from rewriter.scores.score import read_score
from rewriter.verbs.arguments import (
    check_number,
    check_texts,
    check_truths,
    check_word,
    name_or_file,
)
from rewriter.verbs.bases import Was, base_of, sheets_of
from rewriter.verbs.collector import collector_paused
from rewriter.verbs.expand import expand

if TYPE_CHECKING:
    import os
    from typing import Unpack

    from lxml.etree import _Element, _ElementTree

    from rewriter.reporting.regenerated import Regenerated
    from rewriter.scores.score import Score


class Making(TypedDict, total=False):
    """Arguments that :func:`rewriter.expand` has too."""

    ensemble: str | os.PathLike[str]
    tune: str
    key: str
    by: str
    direction: Literal["nearest", "up", "down"]
    chords: Literal["", "top", "divide"]
    out_of_range: Literal["", "keep", "octave", "rest", "refuse"]
    registers: Literal["", "singing", "measured"]
    language: Literal["", "en", "it", "de", "fr"]
    keep_sketch: bool
    keep_lyrics: bool
    keep_harmony: bool


class Regeneration(NamedTuple):
    """A score made anew with what a hand had done to it, and the account of it.

    Attributes:
        score: MusicXML 4.0, partwise, UTF-8.
        made: the same as the tool alone makes it; the base of the next time.
        conflict_score: what lost in conflicts, in small notes and words; empty where there
            are none, or it was not asked for.
        report: what became of every edit, and what is to be printed again.
    """

    score: bytes
    made: bytes
    conflict_score: bytes
    report: Regenerated


@collector_paused()
def regenerate(
    edited: str | os.PathLike[str] | bytes | _Element | _ElementTree,
    now: str | os.PathLike[str] | bytes | _Element | _ElementTree,
    layout: str | os.PathLike[str] = "",
    *,
    plan: str | os.PathLike[str] = "",
    base: str | os.PathLike[str] | bytes | _Element | _ElementTree | None = None,
    was: str | os.PathLike[str] | bytes | _Element | _ElementTree | None = None,
    was_layout: str | os.PathLike[str] = "",
    was_plan: str | os.PathLike[str] = "",
    was_key: str = "",
    was_by: str = "",
    prefer: Literal["", "hand", "new"] = "",
    keep_breaks: bool = False,
    marks: bool = True,
    conflict_score: bool = False,
    bars: str = "",
    cue_notes: int = 0,
    version_line: str = "",
    **making: Unpack[Making],
) -> Regeneration:
    """Expand a changed sketch, and carry into it what was done to the score it made before.

    Three scores are compared as music: as the tool made it before (the base), as somebody has
    worked on it since, and as the tool makes it now. What is not carried is listed.

    Args:
        edited: the score, or the part of one section, that somebody has worked on: a path, the
            bytes of a file, or an lxml tree, which is not changed.
        now: the sketch as it is now, as :func:`rewriter.expand` takes it.
        layout: name, file or stack for the whole cue; it and what is not named here are as
            for :func:`rewriter.expand`.
        plan: or name or file of a plan.
        base: the score as the tool made it before; None for the copy that it keeps, found by
            name and content.
        was: or the sketch it was made from, if this version of the tool made it.
        was_layout: its layout; empty for `layout`.
        was_plan: its plan; empty for `plan`.
        was_key: the key it was moved to.
        was_by: or the interval.
        prefer: whose version stands where both have changed the same thing: ``hand`` or
            ``new``; empty for the new notes and the hand's marks.
        keep_breaks: breaks of pages and systems are carried too.
        marks: words in the score say where a conflict is to be settled.
        conflict_score: make a score of what lost in conflicts too.
        bars: which bars of the old sketch are which of the new, such as
            ``1-8=1-8, 9-40=13-44``; empty to find it.
        cue_notes: in a part, an entry after so many bars of rest or more gets cue notes; 0 for
            none.
        version_line: words over the first bar of every part that is not as it was.
        **making: see :func:`rewriter.expand`.

    Raises:
        Refused: an argument, a sketch or a score cannot be worked with, there is no base, or
            fewer than half of the bars can be found again; its text is one line.
    """
    check_texts(was_key=was_key, was_by=was_by, bars=bars, version_line=version_line)
    check_truths(keep_breaks=keep_breaks, marks=marks, conflict_score=conflict_score)
    check_number("cue_notes", cue_notes)
    check_word("prefer", prefer, get_args(Prefer))
    earlier = _was(was, was_layout, was_plan, (was_key, was_by), (layout, plan))
    if base is not None and was is not None:
        raise Refused("a base and an old sketch are both named", "name one of them")
    read = read_score(edited)
    found = base_of(edited, read, base, earlier, making)
    expansion = expand(now, layout, plan=plan, **making)
    sheets = sheets_of(read, found.score, expansion.score, cue_notes=cue_notes)
    old, new = (_numbers(one) for one in (sheets.base, sheets.new))
    merged = merge(
        sheets.base,
        read,
        sheets.new,
        by=None,
        prefer=prefer,
        keep_breaks=keep_breaks,
        bars=parse_bars(bars, old, new) if bars else None,
        marks=marks,
        with_conflict_score=conflict_score,
    )
    made = sheets.new.source
    score = merged.score
    changed = {one.part for one in merged.print_again}
    if version_line and changed:
        score = with_version_line(read_score(score), changed, version_line)
    if score != made:
        score = stamped_again(score)
    report = regenerated_of(
        merged,
        expansion.report,
        Laid(read, found.score.name, found.why, sheets.base, sheets.new, sheets.part),
        read_score(score, trusted=True),
        keep_breaks=keep_breaks,
        marked=marks,
    )
    return Regeneration(score, made, merged.conflict_score, report)


def _was(
    sketch: str | os.PathLike[str] | bytes | _Element | _ElementTree | None,
    layout: object,
    plan: object,
    moved: tuple[str, str],
    now: tuple[object, object],
) -> Was:
    """What the score was made from; what is not said is as it is now."""
    said = name_or_file("was_layout", layout), name_or_file("was_plan", plan)
    if sketch is None and any((*said, *moved)):
        raise Refused(
            "it is said how the score was made, and not from what", "name the old sketch"
        )
    if not any(said):
        said = name_or_file("layout", now[0]), name_or_file("plan", now[1])
    return Was(sketch, *said, *moved)


def _numbers(score: Score) -> list[str]:
    return max((part.numbers for part in score.parts), key=len, default=[])
