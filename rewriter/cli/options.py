"""Options that several commands have, and how the names in them are completed."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rewriter.cli.grouping import GroupedOption

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from rewriter.rulefiles.shelf import Kind

FILE = click.Path(path_type=Path)
"""Any path; whether it can be worked with is said by those who open it."""

Decorator = Callable[[Callable[..., Any]], Callable[..., Any]]


def complete_rule(
    kind: Kind,
    context: click.Context,  # noqa: ARG001 - as click has it
    param: click.Parameter,  # noqa: ARG001 - as click has it
    incomplete: str,
) -> list[CompletionItem]:
    """Names of a kind of rule that begin as typed; files where there is none."""
    from click.shell_completion import CompletionItem

    from rewriter.problems import Refused
    from rewriter.rulefiles.loading import names

    try:
        known = names(kind)
    except Refused:
        known = []
    files = CompletionItem(incomplete, type="file")
    return [files, *(CompletionItem(name) for name in known if name.startswith(incomplete))]


def option(*names: str, group: str, **kwargs: Any) -> Decorator:
    """An option under a heading of the help."""
    return click.option(*names, cls=GroupedOption, group=group, **kwargs)


def layout_option(group: str) -> Decorator:
    """``--layout``: a name, a file or a stack."""
    return option(
        "--layout",
        group=group,
        default="",
        metavar="NAME|FILE|STACK",
        shell_complete=partial(complete_rule, "layouts"),
        help="Who plays the tune in which octave: a shipped layout, a .toml file, or a "
        "stack, for the whole cue.",
    )


def plan_option(group: str) -> Decorator:
    """``--plan``: a name or a file."""
    return option(
        "--plan",
        group=group,
        default="",
        metavar="NAME|FILE",
        shell_complete=partial(complete_rule, "plans"),
        help="Passages of the cue, each with its layout. With neither, stacks such as "
        "[Vn I / Vla] written above the tune say who plays.",
    )


def ensemble_option(group: str) -> Decorator:
    """``--ensemble``: a name or a file."""
    return option(
        "--ensemble",
        group=group,
        default="symphonic",
        show_default=True,
        metavar="NAME|FILE",
        shell_complete=partial(complete_rule, "ensembles"),
        help="The sections, how many play in each, their ranges.",
    )


def ensemble_of_house_option(group: str) -> Decorator:
    """``--ensemble`` of a finished score: the house may say whose sections are meant."""
    return option(
        "--ensemble",
        group=group,
        default="",
        metavar="NAME|FILE",
        shell_complete=partial(complete_rule, "ensembles"),
        help="The sections, their ranges and clefs.  [default: the house's, else symphonic]",
    )


def house_option(group: str) -> Decorator:
    """``--house``: a name or a file."""
    return option(
        "--house",
        group=group,
        default="",
        metavar="NAME|FILE",
        shell_complete=partial(complete_rule, "house"),
        help="Which rules count, how grave they are, with which figures.  [default: all "
        "rules as rewriter rules house has them]",
    )


def tune_option(group: str) -> Decorator:
    """``--tune``: a part, perhaps a staff and a voice of it."""
    return option(
        "--tune",
        group=group,
        default="",
        metavar="WHICH",
        help='The tune: Flute, P2, or "P1 staff 2 voice 1".  [default: the only part, or the '
        "one named like a tune]",
    )


def bars_option(group: str) -> Decorator:
    """``--bars``: a part of the tune."""
    return option(
        "--bars",
        group=group,
        default="",
        metavar="BARS",
        help='Only this part of the tune, by printed numbers: "9-16".  [default: all of it]',
    )


def registers_option(group: str) -> Decorator:
    """``--registers``: by which set stacks are placed."""
    return option(
        "--registers",
        group=group,
        type=click.Choice(["singing", "measured"]),
        metavar="SET",
        help="Which octave a stack without an octave word goes to: singing, where its "
        "sections sing, or measured, where the symphonic repertory puts its tunes.  "
        "[default: as the ensemble says, else singing]",
    )


def sketch_of_score_option(group: str) -> Decorator:
    """``--sketch`` of a finished score: whose tune it has."""
    return option(
        "--sketch",
        group=group,
        type=FILE,
        metavar="FILE",
        help="The short score whose tune is in it, for rules about the tune; looked for in all "
        "voices, also in other keys.",
    )


def tune_of_score_option(group: str) -> Decorator:
    """``--tune`` of a finished score: a part, perhaps a staff and a voice of it."""
    return option(
        "--tune",
        group=group,
        default="",
        metavar="WHICH",
        help='Or the part that has the tune: "Vn I", P3, "P1 staff 2 voice 1".  [default: '
        "rules about the tune are not asked]",
    )


def no_tacet_option(group: str) -> Decorator:
    """``--no-tacet``: only sections that play."""
    return option(
        "--no-tacet",
        group=group,
        is_flag=True,
        help="No part for a section that plays nothing.  [default: a part that says TACET]",
    )


def remove_earlier_option(group: str) -> Decorator:
    """``--remove-earlier``: what an earlier run has left."""
    return option(
        "--remove-earlier",
        group=group,
        is_flag=True,
        help="Remove parts that an earlier run has written there for sections that have none "
        "now, unless somebody has changed them.  [default: name them]",
    )


def no_copy_option(group: str) -> Decorator:
    """``--no-copy``: nothing in ``as-made/``."""
    return option(
        "--no-copy",
        "copy",
        group=group,
        is_flag=True,
        flag_value=False,
        default=True,
        help="Keep no zipped copy of what was made in a folder as-made beside it. By the copy "
        "it is seen later what was changed by hand.",
    )


def dry_run_option(group: str) -> Decorator:
    """``--dry-run``: everything but the files."""
    return option(
        "--dry-run",
        group=group,
        is_flag=True,
        help="Report all the same, and write nothing.",
    )


def quiet_option(group: str) -> Decorator:
    """``--quiet``: no report."""
    return option(
        "-q",
        "--quiet",
        group=group,
        is_flag=True,
        help="Print no report; only what could not be done.",
    )


def force_option(group: str) -> Decorator:
    """``--force``: over the work of others."""
    return option(
        "--force",
        group=group,
        is_flag=True,
        help="Replace files that are not the tool's own last output.",
    )


def section_option(group: str) -> Decorator:
    """``--section``: which part is which section."""
    return option(
        "--section",
        "sections",
        group=group,
        multiple=True,
        metavar="PART=SECTION",
        help='Which part is which section where the score does not make it plain: "P3=Vla", '
        '"Bassi=Vc+Db". May be given several times.',
    )
