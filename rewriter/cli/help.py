"""``rewriter help``: what a command does, by its name."""

import click

from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.streams import say
from rewriter.cli.usage import refuse_usage, suggest


@click.command(
    cls=GroupedCommand,
    epilog="""
Examples:
  rewriter help
  rewriter help expand
""",
)
@click.argument("name", required=False, metavar="[COMMAND]")
@click.pass_context
def command(context: click.Context, name: str | None) -> None:
    """Show what a command does, its options and examples.

    Without COMMAND it says which commands there are. `rewriter COMMAND --help`
    says the same.
    """
    root = context.find_root()
    program = root.command
    if name is None or not isinstance(program, click.Group):
        say(root.get_help() + "\n")
        return
    found = program.get_command(root, name)
    if found is None:
        near = suggest(name, program.list_commands(root))
        refuse_usage(f'there is no command "{name}"', near or "see rewriter help")
    with click.Context(found, info_name=name, parent=root) as told:
        say(found.get_help(told) + "\n")
