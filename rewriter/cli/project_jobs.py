"""``rewriter.toml`` on the command line: what it sets where no option does, and its cues."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from click.core import ParameterSource

from rewriter.cli.checks import of_same_parts, stem_of
from rewriter.cli.jobs import Asked, Job
from rewriter.cli.streams import complain
from rewriter.cli.usage import refuse_usage
from rewriter.problems import Refused
from rewriter.rulefiles.projects import NAME, find_project

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    import click

    from rewriter.rulefiles.projects import Project, ProjectCue

_FOR_ALL: Final = frozenset(
    (
        "ensemble", "registers", "out_of_range", "chords", "language", "keep_sketch",
        "keep_lyrics", "keep_harmony", "force", "dry_run", "quiet", "report_target",
        "no_tacet", "remove_earlier", "copy",
    )
)  # fmt: skip
"""Options that may be given for all cues of a project at once."""


def given(context: click.Context) -> set[str]:
    """Names of the options that stand on the command line."""
    return {
        name
        for name in context.params
        if context.get_parameter_source(name) is ParameterSource.COMMANDLINE
    }


def with_defaults(
    context: click.Context, settings: Mapping[str, Any], *, quiet: bool = False
) -> dict[str, Any]:
    """Settings with what the project sets where no option does; what it sets is told.

    Args:
        context: of the command.
        settings: by the names of the verb; only these are looked at.
        quiet: say nothing of it.

    Raises:
        Refused: the project file has faults.
    """
    file = find_project()
    if file is None:
        return dict(settings)
    from rewriter.rulefiles.project_files import load_defaults

    set_here = given(context)
    found = {
        name: value
        for name, value in load_defaults(file).items()
        if name in settings and name not in set_here
    }
    if found and not quiet:
        complain(f"{file}: sets {', '.join(found)}")
    return {**settings, **found}


def project_jobs(
    context: click.Context, settings: Mapping[str, Any], asked: Asked, *, force: bool
) -> list[Job]:
    """One job for each cue of the project.

    Args:
        context: of the command.
        settings: what its options say.
        asked: likewise, of the parts.
        force: replace files that are not the tool's own last output.

    Raises:
        Refused: the project file has faults, or there is no cue in it.
    """
    file = find_project()
    if file is None:
        refuse_usage("no sketch is named", f"name one, or list the cues in a {NAME}")
    from rewriter.rulefiles.project_files import load_project

    said = given(context)
    _check_options(context, said - _FOR_ALL, file)
    project = load_project(file)
    if not project.cues:
        raise Refused("it lists no cue", "add [[cue]] with sketch and plan", file=str(file))
    _check_parts(project)
    inputs = _inputs(project)
    over = {name: settings[name] for name in said & settings.keys()}
    return [_job(cue, over, asked, inputs, force=force) for cue in project.cues]


def _check_options(context: click.Context, names: set[str], file: Path) -> None:
    """Refuse an option that cannot hold for all cues."""
    for param in context.command.get_params(context):
        if param.name in names:
            option = max(param.opts, key=len)
            refuse_usage(
                f"{option} is about one sketch, and none is named", f"say it in {file}"
            )


def _check_parts(project: Project) -> None:
    """Refuse cues whose parts would have the same names in the same folder."""
    folders: dict[Path, list[ProjectCue]] = {}
    for cue in project.cues:
        if cue.parts:
            folders.setdefault(cue.parts, []).append(cue)
    for cues in folders.values():
        alike = of_same_parts([cue.sketch for cue in cues], [cue.out for cue in cues])
        if alike:
            raise Refused(
                f"the parts of {alike[0]} and {alike[1]} would have the same names",
                "name another folder with parts",
                file=str(project.file),
            )


def _inputs(project: Project) -> tuple[Path, ...]:
    from pathlib import Path

    rules = (
        Path(cue.settings[name])
        for cue in project.cues
        for name in ("layout", "plan", "ensemble")
        if name in cue.settings
    )
    named = (rule for rule in rules if rule.suffix == ".toml")
    return tuple(dict.fromkeys((project.file, *(cue.sketch for cue in project.cues), *named)))


def _job(
    cue: ProjectCue,
    over: Mapping[str, Any],
    asked: Asked,
    inputs: Sequence[Path],
    *,
    force: bool,
) -> Job:
    parts = None
    if cue.parts:
        parts = asked._replace(folder=cue.parts, cue_notes=cue.cue_notes, stem=stem_of(cue.out))
    settings = {"copy": cue.copy, **cue.settings, **over}
    copy = settings.pop("copy")
    return Job(
        cue.sketch,
        cue.out,
        settings,
        force,
        tuple(inputs),
        makes_folder=True,
        parts=parts,
        copy=copy,
    )
