"""What a regeneration leaves: score, copy, conflicts, report, together or not at all."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from rewriter.cli.report_file import in_its_place
from rewriter.cli.streams import STREAM, say, say_bytes
from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from rewriter.musicxml.together import Change, Run
    from rewriter.verbs.regenerate import Regeneration


class Targets(NamedTuple):
    """Where everything goes.

    Attributes:
        score: the new score; ``-`` for stdout.
        conflicts: the score of what lost in conflicts; None where it is not asked for.
        report: the report as JSON; likewise.
        copy: whether a copy of the score as the tool made it is kept.
    """

    score: Path
    conflicts: Path | None
    report: Path | None
    copy: bool


class Written(NamedTuple):
    """Where everything is, or would be; None for what is nowhere.

    Attributes:
        score: the new score.
        copy: of it as the tool made it.
        conflicts: the score of what lost.
        dry: True where nothing was written.
    """

    score: Path
    copy: Path | None
    conflicts: Path | None
    dry: bool


def write_regeneration(
    made: Regeneration, targets: Targets, manner: Mapping[str, Any], *, dry: bool
) -> Written:
    """Write all that came of it.

    Args:
        made: of the verb.
        targets: where it goes.
        manner: ``force`` and ``inputs``, as :func:`rewriter.musicxml.saving.stage_score` has
            them.
        dry: True when nothing is to be written.

    Raises:
        Refused: a file must not or cannot be written; nothing has been.
    """
    from rewriter.cli.writing import settle_stopped_runs
    from rewriter.musicxml.copies import copy_of, folder_of_copies
    from rewriter.musicxml.together import DRY_RUN, Together

    to_file = targets.score != STREAM
    written = Written(
        targets.score,
        copy_of(targets.score) if targets.copy and to_file else None,
        targets.conflicts if made.conflict_score else None,
        dry,
    )
    if dry:
        list(_changes(DRY_RUN, made, targets, written, manner))
        return written
    files = [targets.score if to_file else None, written.conflicts, targets.report]
    folders = [file.parent for file in files if file]
    copies = [folder_of_copies(targets.score.parent)] if written.copy else []
    copies = [folder for folder in copies if folder.parent.is_dir()]
    settle_stopped_runs(folders)
    with Together([*folders, *copies], make=copies) as together:
        changes = list(_changes(together.run, made, targets, written, manner))
        together.put_in_place(changes)
    return written


def _changes(
    run: Run, made: Regeneration, targets: Targets, written: Written, manner: Mapping[str, Any]
) -> Iterator[Change]:
    from rewriter.musicxml.copies import stage_or_remove_copy
    from rewriter.musicxml.saving import stage_score

    if targets.score != STREAM:
        yield stage_score(run, made.score, targets.score, **manner)
        yield from stage_or_remove_copy(
            run, made.made, targets.score, keep=targets.copy, **manner
        )
    if written.conflicts:
        try:
            yield stage_score(run, made.conflict_score, written.conflicts, **manner)
        except Refused as refusal:
            refusal.remedy = refusal.remedy.replace("with -o", "with --conflicts")
            raise
    if targets.report:
        with in_its_place(targets.report):
            yield run.stage(_report(made, written), targets.report)


def _report(made: Regeneration, written: Written) -> bytes:
    from rewriter import __version__
    from rewriter.reporting.as_json import BLANK, digested
    from rewriter.reporting.regenerated import FORMAT, RegeneratedFile

    return digested(
        RegeneratedFile(
            format=FORMAT,
            version=__version__,
            digest=BLANK,
            written_to="" if written.score == STREAM or written.dry else str(written.score),
            copy=str(written.copy or ""),
            conflicts_to=str(written.conflicts or ""),
            report=made.report,
        )
    )


def tell_of_regeneration(made: Regeneration, written: Written, *, quiet: bool) -> int:
    """The report to stdout; a score that goes there has its report aside.

    Args:
        made: of the verb.
        written: where everything is.
        quiet: print no report.

    Returns:
        The exit status.
    """
    from rewriter.cli.main import DONE, FOUND_ERRORS

    aside = written.score == STREAM
    if not quiet:
        from rewriter.cli.telling import terminal_width
        from rewriter.reporting.regenerated_text import Files, regenerated_as_text

        files = Files(
            "stdout" if aside else str(written.score),
            str(written.copy or ""),
            str(written.conflicts or ""),
            written.dry,
        )
        say(regenerated_as_text(made.report, files, terminal_width()), aside=aside)
    if aside and not written.dry:
        say_bytes(made.score)
    return FOUND_ERRORS if made.report.needs_a_look else DONE
