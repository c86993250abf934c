"""Help by name, and the manual page made of it."""

import shutil
import subprocess
from collections.abc import Callable

import click
import pytest

from rewriter.cli.main import COMMANDS, program
from rewriter.cli.manual import manual_page
from tests.cli.running import Said, rewriter

__all__ = ["rewriter"]

Command = Callable[..., Said]

SMALL = r"""
.TH REWRITER 1 "" "rewriter 0.1.0"
.SH NAME
rewriter \- ring a bell
.SH SYNOPSIS
.B rewriter
.I COMMAND \fR...
.SH DESCRIPTION
.PP
Ring a bell.
.PP
\&.bell is a file of one\(aqs own; \(garing\(ga it.
.SH EXIT STATUS
.nf
  0  done
\&.1  a back\eslash
.fi
"""


@pytest.mark.parametrize("name", COMMANDS)
def test_help_by_name_is_that_of_the_command(rewriter: Command, name: str) -> None:
    assert rewriter("help", name) == rewriter(name, "--help") == rewriter(name, "-h")


def test_help_alone_is_that_of_the_program(rewriter: Command) -> None:
    assert rewriter("help") == rewriter("--help")


def test_the_version_in_short(rewriter: Command) -> None:
    assert rewriter("-V") == rewriter("--version")


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("expnd", 'rewriter help: there is no command "expnd"; did you mean expand?'),
        ("zzz", 'rewriter help: there is no command "zzz"; see rewriter help'),
    ],
)
def test_help_on_what_there_is_not(rewriter: Command, name: str, line: str) -> None:
    assert rewriter("help", name) == (2, "", f"{line}\n")


def test_a_small_page_whole() -> None:
    bell = click.Command(
        "bell",
        help="Ring a bell.\n\n.bell is a file of\none's own; `ring` it.",
        epilog="Exit status:\n  0  done\n.1  a back\\slash\n",
    )
    assert manual_page(click.Context(bell, info_name="bell")) == SMALL.lstrip("\n")


def test_the_page_has_every_command_and_option(rewriter: Command) -> None:
    page = rewriter("manual").out.replace("\\-", "-").replace("\\(aq", "'").replace("  ", " ")
    with program.make_context("rewriter", ["rules"]) as context:
        for name in COMMANDS:
            assert f".SH REWRITER {name.upper()}\n" in page
            command = program.get_command(context, name)
            assert command
            for param in command.get_params(context):
                if isinstance(param, click.Option) and "--help" not in param.opts:
                    assert param.opts[-1] in page
                    assert " ".join((param.help or "").split()) in page


@pytest.mark.skipif(not shutil.which("groff"), reason="no troff here to read the page")
def test_troff_reads_it_without_a_warning(rewriter: Command) -> None:
    ended = subprocess.run(
        ["groff", "-man", "-ww", "-z", "-Tutf8"],  # noqa: S607 - wherever it is
        input=rewriter("manual").out.encode(),
        capture_output=True,
        check=False,
        timeout=60,
    )
    assert (ended.returncode, ended.stdout, ended.stderr) == (0, b"", b"")
