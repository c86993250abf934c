"""What a finished score is held against: the score as it was made, and as it is made now."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from msgspec import structs

from rewriter import __version__
from rewriter.comparing.pairing import paired_parts
from rewriter.merging.as_made import find_base, no_base
from rewriter.problems import Refused
from rewriter.scores.score import read_score
from rewriter.verbs.expand import expand
from rewriter.verbs.parts import parts

if TYPE_CHECKING:
    from collections.abc import Mapping

    from lxml.etree import _Element, _ElementTree

    from rewriter.scores.score import Score

    Source = str | os.PathLike[str] | bytes | _Element | _ElementTree

_MAKER = "rewriter "


class Base(NamedTuple):
    """The score as it was made.

    Attributes:
        score: as it was read.
        why: it is this one, in a clause.
    """

    score: Score
    why: str


class Was(NamedTuple):
    """What the score was made from.

    Attributes:
        sketch: None where nobody has it any more.
        layout: name, file or stack.
        plan: name or file, instead.
        key: it was moved to.
        by: or the interval it was moved by.
    """

    sketch: Source | None
    layout: str
    plan: str
    key: str
    by: str


def base_of(
    edited: Source, score: Score, named: Source | None, was: Was, making: Mapping[str, object]
) -> Base:
    """The score as it was made: the file that is named, made anew, or the copy that is found.

    Args:
        edited: as the user named it.
        score: the same, as it was read.
        named: the base; None to look for it.
        was: what it was made from.
        making: other arguments of :func:`rewriter.expand`.

    Raises:
        Refused: there is none, or the sketch it was made from is not enough.
    """
    if named is not None:
        return Base(read_score(named), "it was named")
    if was.sketch is not None:
        _require_this_version(score)
        made = expand(
            was.sketch,
            was.layout,
            plan=was.plan,
            **{**making, "key": was.key, "by": was.by, "direction": "nearest"},  # type: ignore[arg-type]  # as the caller has them
        )
        return Base(read_score(made.score, unnamed="the score as it was made"), "made anew")
    if not isinstance(edited, (str, os.PathLike)):
        raise Refused(
            "the score has no file, so there is no copy beside it",
            "name one with base, or the sketch it was made of with was",
            file=score.name,
        )
    found = find_base(Path(edited), score)
    if found is None:
        raise no_base(Path(edited))
    source = structs.replace(found.source, name=_from_here(Path(found.source.name)))
    return Base(read_score(source), found.why)


def _from_here(path: Path) -> str:
    """A path as people would write it where they are."""
    here = Path.cwd()
    return str(path.relative_to(here) if path.is_relative_to(here) else path)


def _require_this_version(score: Score) -> None:
    """Refuse a score that says it was made by another version, which may place otherwise."""
    said = score.header.findtext("identification/encoding/software") or ""
    if said.startswith(_MAKER) and said != f"{_MAKER}{__version__}":
        raise Refused(
            f"it was made by {said}, and this is {_MAKER}{__version__}",
            "name the copy of it as it was made with --base",
            file=score.name,
        )


class Sheets(NamedTuple):
    """What is laid side by side: whole scores, or one section's part of each.

    Attributes:
        base: as it was made.
        new: as it is made now.
        part: the section's name; empty for whole scores.
    """

    base: Score
    new: Score
    part: str


def sheets_of(edited: Score, base: Score, new: bytes, *, cue_notes: int) -> Sheets:
    """Whole scores, or, where one section alone was edited, its parts.

    Args:
        edited: what somebody has worked on.
        base: the score as it was made, or a part of it.
        new: the score as it is made now.
        cue_notes: bars of rest before an entry that gets cue notes in a part; 0 for none.

    Raises:
        Refused: the section has no part in the new score.
    """
    whole = read_score(new, trusted=True, unnamed="the new score")
    if not _is_part(edited) or not _has_several(whole):
        return Sheets(base, whole, "")
    if _has_several(base):
        base = _part_of(base, edited, base.source, cue_notes)
    found = _part_of(whole, base, new, cue_notes)
    return Sheets(base, found, found.parts[0].name)


def _is_part(score: Score) -> bool:
    return not _has_several(score)


def _has_several(score: Score) -> bool:
    """True for several sections; one may have several staves of one name."""
    return len({part.name for part in score.parts}) > 1


def _part_of(whole: Score, wanted: Score, data: bytes, cue_notes: int) -> Score:
    """The part that answers to a part."""
    pairs = paired_parts(whole, wanted, by_place=False)
    names = [whole.parts[one.a].name for one in pairs if None not in one and one.a is not None]
    made = {part.name: part for part in parts(data, cue_notes=cue_notes)}
    for name in names:
        if name in made:
            return read_score(made[name].data, unnamed=f"the part of {name}")
    said = ", ".join(made)
    raise Refused(
        f"{wanted.parts[0].name} has no part in {whole.name}, which has {said}",
        "ask for a layout that has the section, or name the right base",
        file=wanted.name,
    )
