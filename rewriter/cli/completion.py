"""``rewriter completion``: what a shell needs to complete the command line."""

import click
from click.shell_completion import get_completion_class

from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.streams import say

SHELLS = ["bash", "zsh", "fish"]


@click.command(
    cls=GroupedCommand,
    epilog="""
Examples:
  rewriter completion bash > ~/.local/share/bash-completion/completions/rewriter
  rewriter completion zsh > ~/.zfunc/_rewriter
  rewriter completion fish > ~/.config/fish/completions/rewriter.fish
""",
)
@click.argument("shell", type=click.Choice(SHELLS), metavar="bash|zsh|fish")
@click.pass_context
def command(context: click.Context, shell: str) -> None:
    """Print the completion script for a shell.

    With it, the Tab key completes commands, options, and the names of the
    layouts, plans, ensembles and house files there are.
    """
    kind = get_completion_class(shell)
    if kind is not None:
        root = context.find_root().command
        say(kind(root, {}, "rewriter", "_REWRITER_COMPLETE").source().lstrip("\n") + "\n")
