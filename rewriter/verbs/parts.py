"""Take a score apart into the parts for the stands."""

from __future__ import annotations

import os
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final

from lxml import etree

from rewriter.musicxml.copies import copies_of, folder_of_copies, stage_or_remove_copy
from rewriter.musicxml.saving import check_target, stage_score
from rewriter.musicxml.together import Together
from rewriter.problems import Refused
from rewriter.scores.score import read_score
from rewriter.stands.earlier import EarlierPart, earlier_parts
from rewriter.stands.extraction import Part, extract_parts
from rewriter.verbs.arguments import check_number, check_texts, check_truths, name_or_file

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence

    from lxml.etree import _Element, _ElementTree

    from rewriter.musicxml.together import Change, Run
    from rewriter.scores.score import Score

__all__ = [
    "EarlierPart",
    "Part",
    "earlier_parts",
    "parts",
    "replaces",
    "stage_parts",
    "stem_of_parts",
    "write_parts",
]

_OURS: Final = "-strings"
_UNNAMED: Final = "score"


def parts(
    score: str | os.PathLike[str] | bytes | _Element | _ElementTree,
    *,
    cue_notes: int = 0,
    tacet: bool = True,
    stem: str = "",
) -> list[Part]:
    """Make one part for each section of a score, with what its players need to see.

    Bars are numbered as in the score. Tempo and rehearsal marks, which the score prints once,
    stand in every part; long rests become multi-bar rests; a section that the score writes on
    two parts because its lines cross has both on two staves.

    Args:
        score: a path, the bytes of a file, or an lxml tree, which is not changed. Any score
            will do: its parts are taken as they come.
        cue_notes: an entry after so many bars of rest, or more, gets cue notes; 0 for none.
        tacet: give a section that plays nothing a part too, with the word TACET.
        stem: what the names of the files begin with; empty for the score's own file name,
            without ``-strings``, or, where it has none, its title.

    Returns:
        The parts in the order of the score, each with its bytes and the name of its file.

    Raises:
        Refused: the score cannot be worked with; its text is one line.
    """
    check_number("cue_notes", cue_notes)
    check_truths(tacet=tacet)
    check_texts(stem=stem)
    try:
        read = read_score(score, trusted=True, unnamed=_UNNAMED)
        return _made(score, read, stem, cue_notes=cue_notes, tacet=tacet)
    except etree.XMLSyntaxError:  # it claims to be the tool's own, and is not
        read = read_score(score, unnamed=_UNNAMED)
        return _made(score, read, stem, cue_notes=cue_notes, tacet=tacet)


def _made(
    score: str | os.PathLike[str] | bytes | _Element | _ElementTree,
    read: Score,
    stem: str,
    *,
    cue_notes: int,
    tacet: bool,
) -> list[Part]:
    try:
        return extract_parts(
            read, stem or stem_of_parts(score, read), cue_notes=cue_notes, tacet=tacet
        )
    except Refused as refusal:
        raise refusal.within(read.name) from None


def write_parts(
    made: Sequence[Part],
    folder: str | os.PathLike[str],
    *,
    force: bool = False,
    inputs: Collection[str | os.PathLike[str]] = (),
    remove: Collection[Path] = (),
    copy: bool = True,
) -> list[Path]:
    """Write parts into a folder, all or none; the folder is made if it is not there.

    Args:
        made: from :func:`parts`.
        folder: where they go, each under its own file name.
        force: replace files that are not the tool's own last output.
        inputs: files that are being read; they are never replaced.
        remove: files that go when the parts come, such as :func:`earlier_parts` finds; their
            copies go with them.
        copy: keep a zipped copy of each part in a folder ``as-made`` beside them.

    Returns:
        Where they are, in the order of the parts.

    Raises:
        Refused: a place must not or cannot be written; nothing has been.
    """
    check_truths(force=force, copy=copy)
    place = Path(name_or_file("folder", folder))
    read = [Path(name_or_file("inputs", path)) for path in inputs]
    _make(place)
    copies = folder_of_copies(place)
    with Together([place, copies], make=[copies] if copy and made else []) as together:
        run = together.run
        changes = stage_parts(run, made, place, force=force, inputs=read, copy=copy)
        going = [*remove, *copies_of(remove)]
        together.put_in_place([*changes, *map(run.remove, going)])
    return [place / part.file_name for part in made]


def stage_parts(
    run: Run,
    made: Sequence[Part],
    folder: Path,
    *,
    force: bool = False,
    inputs: Collection[Path] = (),
    copy: bool = False,
) -> Iterator[Change]:
    """Write parts beside their places, to appear with the other files of a run.

    Args:
        run: that writes them.
        made: as for :func:`write_parts`, which has the other arguments too.
        folder: likewise; it is there.
        force: likewise.
        inputs: likewise.
        copy: likewise.

    Returns:
        Each as it is written.

    Raises:
        Refused: a place must not or cannot be written.
    """
    targets = [folder / part.file_name for part in made]
    with _folder_named():
        for target in targets if folder.is_dir() else ():
            check_target(target, force=force, inputs=inputs)
        for part, target in zip(made, targets, strict=True):
            yield stage_score(run, part.data, target, force=force, inputs=inputs)
            yield from stage_or_remove_copy(
                run, part.data, target, keep=copy, force=force, inputs=inputs
            )


def replaces(part: Part, folder: Path) -> bool:
    """True when a part's file is there, with something else in it."""
    target = folder / part.file_name
    return target.is_file() and target.read_bytes() != part.data


@contextmanager
def _folder_named() -> Iterator[None]:
    """In what is refused of a file, the remedy is another folder."""
    try:
        yield
    except Refused as refusal:
        refusal.remedy = refusal.remedy.replace("another file with -o", "another folder")
        refusal.remedy = refusal.remedy.replace("elsewhere with -o", "to another folder")
        raise


def _make(folder: Path) -> None:
    if folder.exists():
        return
    try:
        folder.mkdir(parents=True)
    except OSError as fault:
        reason = (fault.strerror or str(fault)).lower()
        raise Refused(
            f"this folder cannot be made ({reason})", "name another", file=str(folder)
        ) from None


def stem_of_parts(
    score: str | os.PathLike[str] | bytes | _Element | _ElementTree, read: Score
) -> str:
    """What the names of a score's parts begin with: its file's name, else its title.

    Args:
        score: as it was given.
        read: what is in it.
    """
    if isinstance(score, (str, os.PathLike)):
        return Path(score).stem.removesuffix(_OURS)
    titles = ("movement-title", "work/work-title")
    return next((text for tag in titles if (text := read.header.findtext(tag))), "")
