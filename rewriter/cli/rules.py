"""``rewriter rules``: what is shipped."""

import click


@click.command()
def command() -> None:
    """List the rules that are shipped."""
