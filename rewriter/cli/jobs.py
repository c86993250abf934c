"""One sketch expanded, and all that comes of it written beside its place."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any, NamedTuple

import msgspec

from rewriter.cli.part_lines import Leftovers, PartFile
from rewriter.cli.streams import STREAM
from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from rewriter.musicxml.together import Change, Run
    from rewriter.reporting.results import Report
    from rewriter.verbs.parts import Part


class Asked(NamedTuple):
    """Parts that are asked for with the score.

    Attributes:
        folder: where they go; made if it is not there.
        cue_notes: bars of rest from which an entry gets cue notes; 0 for none.
        stem: what their file names begin with.
        tacet: whether a section that plays nothing gets one.
        remove_earlier: whether those of an earlier run that are none of this one's go.
    """

    folder: Path
    cue_notes: int = 0
    stem: str = ""
    tacet: bool = True
    remove_earlier: bool = False


class Job(msgspec.Struct, frozen=True):
    """One sketch to expand.

    Attributes:
        sketch: as the user named it.
        target: the score to write; ``-`` for stdout.
        settings: keyword arguments of the verb.
        force: replace the target even if somebody has worked on it.
        inputs: files that must never be written to.
        makes_folder: True when the target's folder may be made.
        parts: None where only the score is asked for.
        data: of the sketch, where it came from stdin; else None.
        copy: whether copies of what is made are kept beside it.
    """

    sketch: Path
    target: Path
    settings: Mapping[str, Any]
    force: bool
    inputs: tuple[Path, ...]
    makes_folder: bool = False
    parts: Asked | None = None
    data: bytes | None = None
    copy: bool = True


class Outcome(NamedTuple):
    """What became of one sketch: a report, or a refusal.

    Attributes:
        sketch: as the user named it.
        target: the score that was to be written.
        report: None when the sketch was refused; nothing was written then.
        refusal: what is wrong and what to do about it; empty with a report.
        quotation: the offending text with the mistake underlined, for a terminal.
        parts: where the parts are written, and what stands in each; without its bytes.
        leftovers: parts that an earlier run has left.
        changed: what is not as in the score that is replaced; empty where none is.
        changes: the files, written beside their places but in a dry run.
        score: itself, where it goes to stdout; else empty.
        copy: where a copy of it is kept; None where none is.
        copy_removed: True where none is any more, and that of an earlier score is taken away.
    """

    sketch: Path
    target: Path
    report: Report | None
    refusal: str = ""
    quotation: str = ""
    parts: tuple[PartFile, ...] = ()
    leftovers: Leftovers = Leftovers()
    changed: tuple[str, ...] = ()
    changes: tuple[Change, ...] = ()
    score: bytes = b""
    copy: Path | None = None
    copy_removed: bool = False

    @property
    def is_up_to_date(self) -> bool:
        """True where every file was there already, byte for byte."""
        return (
            bool(self.changes)
            and not self.score
            and all(change.is_none for change in self.changes)
        )


def do(run: Run, job: Job) -> Outcome:
    """Expand one sketch and write all that comes of it beside its place.

    A refusal comes back as an outcome. The rules have been read once before, so what is
    refused here is about the sketch.

    Args:
        run: that writes the files.
        job: what to do.
    """
    staged: list[Change] = []
    try:
        return _done(run, job, staged)
    except Refused as said:
        refusal = said.within(str(job.sketch))
    except MemoryError:
        refusal = Refused(
            "this takes more memory than there is",
            "take fewer bars at a time",
            file=str(job.sketch),
        )
    for change in staged:
        if change.new:
            change.beside(change.new).unlink(missing_ok=True)
    return Outcome(job.sketch, job.target, None, str(refusal), refusal.quotation)


def _done(run: Run, job: Job, staged: list[Change]) -> Outcome:
    from rewriter.musicxml.saving import check_target, stage_score
    from rewriter.verbs.expand import expand

    to_stdout = job.target == STREAM
    if job.makes_folder:
        _check_folder(job.target.parent, "--out-dir")
    if not to_stdout and (not job.makes_folder or job.target.parent.is_dir()):
        check_target(job.target, force=job.force, inputs=job.inputs)
    if job.parts:
        _check_folder(job.parts.folder, "--parts")
    expansion = expand(job.sketch if job.data is None else job.data, **job.settings)
    outcome = Outcome(
        job.sketch, job.target, expansion.report, changed=_changed(job.target, expansion.score)
    )
    if job.parts:
        made = _made(job, job.parts, expansion.score)
        files, leftovers = _files(job.parts, made, copy=job.copy)
        outcome = outcome._replace(parts=files, leftovers=leftovers)
        _stage_parts(run, job, made, leftovers, staged)
    if to_stdout:
        return outcome._replace(changes=tuple(staged), score=expansion.score)
    manner: Any = {"force": job.force, "inputs": job.inputs}
    staged.append(stage_score(run, expansion.score, job.target, **manner))
    from rewriter.musicxml.copies import copy_of, stage_or_remove_copy

    changes = [*stage_or_remove_copy(run, expansion.score, job.target, keep=job.copy, **manner)]
    staged += changes
    copy = copy_of(job.target) if changes else None
    outcome = outcome._replace(copy=copy, copy_removed=bool(copy) and not job.copy)
    return outcome._replace(changes=tuple(staged))


def _changed(target: Path, score: bytes) -> tuple[str, ...]:
    """What is not as in the score that is there; empty where none is, or the very same."""
    from rewriter.musicxml.containers import MOST_BYTES

    if not target.exists():
        return ()
    if target.stat().st_size > MOST_BYTES:
        return ("what was there is too large to be compared",)
    old = target.read_bytes()
    if old == score:
        return ()
    from rewriter.reporting.changes import changes_of

    return tuple(changes_of(old, score))


def _made(job: Job, asked: Asked, score: bytes) -> list[Part]:
    from rewriter.verbs.parts import parts

    made = parts(score, cue_notes=asked.cue_notes, tacet=asked.tacet, stem=asked.stem)
    for part in made:
        if _same_name(asked.folder / part.file_name, job.target):
            raise Refused(
                f"the part of {part.name} would have the name of the score",
                "name another file with -o",
                file=str(job.target),
            )
    return made


def _files(
    asked: Asked, made: Sequence[Part], *, copy: bool
) -> tuple[tuple[PartFile, ...], Leftovers]:
    from rewriter.cli.part_lines import part_files
    from rewriter.verbs.parts import earlier_parts

    files = [
        msgspec.structs.replace(file, part=file.part._replace(data=b""))
        for file in part_files(made, asked.folder, copy=copy)
    ]
    return tuple(files), Leftovers(earlier_parts(asked.folder, made), asked.remove_earlier)


def _stage_parts(
    run: Run, job: Job, made: Sequence[Part], leftovers: Leftovers, staged: list[Change]
) -> None:
    from rewriter.verbs.parts import stage_parts

    if job.parts is None:
        return
    folder = job.parts.folder
    manner: Any = {"force": job.force, "inputs": job.inputs, "copy": job.copy}
    try:
        staged.extend(stage_parts(run, made, folder, **manner))
    except Refused as refusal:
        refusal.remedy = refusal.remedy.replace("another folder", "another folder with --parts")
        raise
    if going := leftovers.going:
        from rewriter.musicxml.copies import copies_of

        staged.extend(map(run.remove, [*going, *copies_of(going)]))


def _same_name(one: Path, other: Path) -> bool:
    """True when two files are one, where small and capital letters are not told apart too."""
    return str(one.resolve()).lower() == str(other.resolve()).lower()


def _check_folder(folder: Path, option: str) -> None:
    """Refuse a folder that cannot be made or written in, before any work is done."""
    remedy = f"name another with {option}"
    there = next((place for place in (folder, *folder.parents) if place.exists()), folder)
    if not there.is_dir():
        raise Refused("this is no folder", remedy, file=str(there))
    if not os.access(there, os.W_OK | os.X_OK):
        what = "nothing may be written in this folder"
        raise Refused(
            what if there == folder else "no folder can be made here", remedy, file=str(there)
        )


def stopped(job: Job, why: str) -> Outcome:
    """What becomes of a sketch whose process died.

    Args:
        job: that was being done.
        why: what is to be said.
    """
    return Outcome(job.sketch, job.target, None, why)
