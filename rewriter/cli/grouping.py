"""Help that reads well: options under headings, examples as they are typed."""

from typing import Any

import click

UNGROUPED = "Help"
"""The heading over options that belong under no other."""


class TypedEpilog(click.Command):
    """A command whose last words are printed line by line, ready to be copied."""

    def format_epilog(
        self,
        ctx: click.Context,  # noqa: ARG002 - as click has it
        formatter: click.HelpFormatter,
    ) -> None:
        """Write the examples as they stand."""
        if self.epilog:
            formatter.write_paragraph()
            formatter.write(self.epilog.strip("\n") + "\n")


class GroupedOption(click.Option):
    """An option that belongs under one of the headings of its command's help.

    Args:
        group: the heading, a few words.
    """

    def __init__(self, *args: Any, group: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.group = group


class GroupedCommand(TypedEpilog):
    """A command that prints its options by group, all in the same two columns."""

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write one section for each group, in the order in which the options were given."""
        groups = options_by_group(self, ctx)
        width = max(len(names) for records in groups.values() for names, _ in records)
        for heading, records in groups.items():
            with formatter.section(heading):
                formatter.write_dl([(names.ljust(width), said) for names, said in records])


def options_by_group(
    command: click.Command, context: click.Context
) -> dict[str, list[tuple[str, str]]]:
    """Heading → options under it, each as it is typed and what it does, in their order."""
    groups: dict[str, list[tuple[str, str]]] = {}
    for param in command.get_params(context):
        record = param.get_help_record(context) if isinstance(param, click.Option) else None
        if record:
            groups.setdefault(getattr(param, "group", UNGROUPED), []).append(record)
    return groups
