"""Options that say how a sketch is expanded, for every command that expands one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from rewriter.cli.options import option, registers_option

if TYPE_CHECKING:
    from collections.abc import Callable

    from rewriter.cli.options import Decorator


def together(*decorators: Decorator) -> Decorator:
    """Several options as one, in the order of the help."""

    def decorate(command: Callable[..., Any]) -> Callable[..., Any]:
        for decorator in reversed(decorators):
            command = decorator(command)
        return command

    return decorate


def range_options(group: str) -> Decorator:
    """``--out-of-range`` and ``--registers``."""
    return together(
        option(
            "--out-of-range",
            group=group,
            type=click.Choice(["keep", "octave", "rest", "refuse"]),
            metavar="HOW",
            help="Notes out of a section's range: keep them and report, octave (move them), "
            "rest, or refuse to write.  [default: as the layout says, else keep]",
        ),
        registers_option(group),
    )


def chords_option(group: str) -> Decorator:
    """``--chords``."""
    return together(
        option(
            "--chords",
            group=group,
            type=click.Choice(["top", "divide"]),
            metavar="top|divide",
            help="Chords in the tune: the top note, or the section divided note by note.  "
            "[default: as the layout says, else top]",
        ),
    )


def key_options(group: str) -> Decorator:
    """``--key`` or ``--by``, and which way."""
    return together(
        option(
            "--key",
            group=group,
            default="",
            metavar="KEY",
            help="Move the cue to this tonic, mode kept: G, Bb, F#, fis-Moll, Es-Dur.",
        ),
        option(
            "--by",
            group=group,
            default="",
            metavar="INTERVAL",
            help='Or move it by an interval: "up m3", "down M2".',
        ),
        option(
            "--up",
            group=group,
            is_flag=True,
            help="Go up to the key.  [default: the nearer way]",
        ),
        option("--down", group=group, is_flag=True, help="Go down to the key."),
    )


def keep_options(group: str) -> Decorator:
    """What of the sketch goes along, and in which language."""
    return together(
        option(
            "--keep-sketch",
            group=group,
            is_flag=True,
            help="Put the whole sketch under the strings.",
        ),
        option("--keep-lyrics", group=group, is_flag=True, help="Keep the lyrics of the tune."),
        option("--keep-harmony", group=group, is_flag=True, help="Keep the chord symbols."),
        option(
            "--language",
            group=group,
            type=click.Choice(["en", "it", "de", "fr"]),
            metavar="en|it|de|fr",
            help="Names of the sections.  [default: as the ensemble says]",
        ),
    )
