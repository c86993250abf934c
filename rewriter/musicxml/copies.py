"""Copies of what the tool made, zipped, in a folder beside it.

Whoever works on a score saves over it; the copy stays as it was made, so that it can be said
later what was changed by hand.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator
    from pathlib import Path

    from rewriter.musicxml.together import Change, Run

FOLDER: Final = "as-made"
"""Name of the folder beside the outputs."""

ENDING: Final = ".mxl"

_LEAVE_IT_OUT: Final = "leave the copy out with --no-copy"


def folder_of_copies(folder: Path) -> Path:
    """The folder with the copies of what is written in a folder."""
    return folder / FOLDER


def copy_of(target: Path) -> Path:
    """Where the copy of an output is: its own name, ``.mxl`` behind it unless that is there.

    >>> from pathlib import PurePath
    >>> copy_of(PurePath("out/harbour-strings.musicxml")).as_posix()
    'out/as-made/harbour-strings.musicxml.mxl'
    """
    ending = "" if target.suffix.lower() == ENDING else ENDING
    return folder_of_copies(target.parent) / f"{target.name}{ending}"


def is_copy(path: Path) -> bool:
    """True for a file in a folder of copies."""
    return path.parent.name == FOLDER


def stage_copy(
    run: Run,
    data: bytes,
    target: Path,
    *,
    force: bool = False,
    inputs: Collection[Path] = (),
) -> Change:
    """Write the copy of a score beside its place, to appear with the other files of a run.

    Args:
        run: that writes it.
        data: the score as the tool made it, not zipped.
        target: the output it is a copy of.
        force: replace a copy that somebody has changed.
        inputs: files that are being read; they are never replaced.

    Raises:
        Refused: there is something else in its place, or it cannot be written.
    """
    from rewriter.musicxml.containers import write_musicxml_zip
    from rewriter.musicxml.saving import inner_name
    from rewriter.musicxml.together import cannot_write

    place = copy_of(target)
    packed = write_musicxml_zip(data, inner_name(target))
    try:
        if run.writes or place.parent.is_dir():
            _check_place(place, packed, force=force, inputs=inputs)
        return run.stage(packed, place)
    except OSError as error:
        refusal = cannot_write(error)
    except Refused as said:
        refusal = said
    refusal.remedy = refusal.remedy.replace("name another file with -o", _LEAVE_IT_OUT)
    refusal.remedy = refusal.remedy.replace("write it elsewhere with -o", _LEAVE_IT_OUT)
    raise refusal.within(str(place)) from None


def stage_or_remove_copy(
    run: Run, data: bytes, target: Path, *, keep: bool, **manner: Any
) -> Iterator[Change]:
    """The copy of a score, or, where none is kept, the end of one of an earlier score.

    A copy of another score than the one it lies beside would be taken for what was made.

    Args:
        run: that writes it.
        data: the score as the tool made it, not zipped.
        target: the output.
        keep: whether a copy is kept.
        manner: what :func:`stage_copy` takes besides.

    Raises:
        Refused: as :func:`stage_copy` says.
    """
    if keep:
        yield stage_copy(run, data, target, **manner)
        return
    there = copies_of([target])
    if there:
        from rewriter.musicxml.containers import unzip_score

        yield from (run.remove(one) for one in there if unzip_score(one.read_bytes()) != data)


def _check_place(place: Path, packed: bytes, *, force: bool, inputs: Collection[Path]) -> None:
    from rewriter.musicxml.saving import check_target

    check_target(place, force=True, inputs=inputs)
    if not force and place.exists():
        there = place.read_bytes()
        if there != packed and not _is_as_made(there):
            what = "this is no copy as the tool made it"
            raise Refused(what, f"{_LEAVE_IT_OUT}, or replace it with --force")


def copies_of(targets: Iterable[Path]) -> list[Path]:
    """Copies of some outputs, as far as they are there and nobody has changed them."""
    places = (copy_of(target) for target in targets)
    return [place for place in places if place.is_file() and _is_as_made(place.read_bytes())]


def _is_as_made(packed: bytes) -> bool:
    from rewriter.musicxml.containers import packed_by_us

    return packed_by_us(packed)
