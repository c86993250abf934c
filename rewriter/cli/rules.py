"""``rewriter rules``: what rule files there are, and what one of them says."""

from __future__ import annotations

import sys
from itertools import chain, groupby
from typing import TYPE_CHECKING

import click
from click.shell_completion import CompletionItem

from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.streams import is_terminal, say, terminal_columns
from rewriter.reporting.columns import align, wrap_hanging

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rewriter.verbs.rules import RuleEntry

WIDTH = 80
"""Columns; on a wider terminal as many as it has, up to :data:`WIDEST`."""

WIDEST = 100

KINDS = {
    "ensembles": "the sections, how many play in each, what they can play",
    "layouts": "which section plays the tune in which octave",
    "plans": "which layout in which bars of a cue",
    "house": "what a score must satisfy to leave the building, and its rules",
}

NUMBERS = ("No", "One", "Two", "Three", "Four", "Five", "Six")

HINT = """
One kind, with titles and sources:  rewriter rules layouts
One file, to read or to copy:       rewriter rules three-levels-middle-doubled
"""


def _complete(
    context: click.Context,
    param: click.Parameter,
    incomplete: str,
) -> list[CompletionItem]:
    """Kinds and names for the first word, names of that kind for the second."""
    from rewriter.rulefiles.shelf import KINDS as SHELVES
    from rewriter.rulefiles.shelf import names
    from rewriter.verbs.rules import rule_ids

    kinds = [kind for kind in SHELVES if context.params.get("kind") in {None, kind}]
    known = [name for kind in kinds for name in names(kind)]
    if "house" in kinds:
        known += rule_ids()
    words = [*KINDS, *known] if param.name == "kind" else known
    return [CompletionItem(word) for word in words if word.startswith(incomplete)]


@click.command(
    cls=GroupedCommand,
    epilog="""
Examples:
  Everything there is, in short:
    rewriter rules

  All layouts, with titles and sources:
    rewriter rules layouts

  What a score is looked at for, and why one such rule is there:
    rewriter rules house
    rewriter rules house beyond-range

  A house file, to read or to begin one's own from:
    rewriter rules house recording

  A layout of your own, begun from one that is there:
    rewriter rules three-levels-middle-doubled > broad.toml
""",
)
@click.argument("kind", required=False, metavar="[KIND]", shell_complete=_complete)
@click.argument("name", required=False, metavar="[NAME]", shell_complete=_complete)
def command(kind: str | None, name: str | None) -> None:
    """Show the rule files and rules there are, or all of one.

    KIND is ensembles, layouts, plans or house; house files set the rules that
    findings come from, and those rules are listed with them. NAME is one of
    them; where no two kinds have a rule of that name, it may stand alone. Files
    in the folder "rules" of the current project come before those that are
    shipped.
    """
    from rewriter.verbs.rules import rules

    found = rules(kind, name)
    if found.text:
        say(found.text)
        return
    width = WIDTH
    if is_terminal(sys.stdout):
        width = max(WIDTH, min(WIDEST, terminal_columns()))
    files = [entry for entry in found.entries if not entry.severity]
    house = [entry for entry in found.entries if entry.severity]
    if kind is None:
        lines = _overview(found.entries, width)
    else:
        lines = chain(_table(files, width) if files or not house else (), _house(house, width))
    say("\n".join(lines) + "\n")
    if kind is None:
        say(HINT)


def _overview(entries: Iterable[RuleEntry], width: int) -> Iterator[str]:
    """One row for each rule, under its kind."""
    for number, (kind, each) in enumerate(groupby(entries, key=lambda entry: entry.kind)):
        if number:
            yield ""
        yield f"{kind}: {KINDS[kind]}"
        found = sorted(each, key=_levels)
        rows = [(entry.stack or entry.name, _second_cell(entry)) for entry in found]
        column = max(len(first) for first, _ in rows)
        for first, second in rows:
            margin = f"  {first.ljust(column)}  "
            if len(margin) + len(second) > width and " " not in second.strip():
                yield f"  {first}"
                yield f"{' ' * 6}{second}"
            else:
                rest = " " * len(margin)
                yield from wrap_hanging(second, first=margin, rest=rest, width=width)


def _second_cell(entry: RuleEntry) -> str:
    if entry.fault:
        return f"cannot be read: {entry.fault}{_whose(entry)}"
    return f"{entry.name if entry.stack else entry.summary or entry.title}{_whose(entry)}"


def _table(entries: Iterable[RuleEntry], width: int) -> Iterator[str]:
    """One block for each rule, with its title and source; layouts by number of levels."""
    found = sorted(entries, key=_levels)
    if not found:
        yield "there are none"
    for number, (levels, each) in enumerate(groupby(found, key=_levels)):
        if number:
            yield ""
        if levels:
            number_word = NUMBERS[levels] if levels < len(NUMBERS) else str(levels)
            yield f"{number_word} level{'s' if levels > 1 else ''}"
            yield ""
        for index, entry in enumerate(each):
            if index:
                yield ""
            yield from _block(entry, width)


def _house(entries: Sequence[RuleEntry], width: int) -> Iterator[str]:
    """One row for each rule of the house: how grave, whether it mends, what it finds."""
    if entries:
        yield from ("", "Rules", "")
    cells = [[entry.name, entry.severity, f"mends {entry.mends}", "|"] for entry in entries]
    for entry, row in zip(entries, align(cells, right=frozenset()), strict=True):
        first = f"  {row.removesuffix('|')}"
        yield from wrap_hanging(entry.title, first=first, rest=" " * len(first), width=width)


def _block(entry: RuleEntry, width: int) -> Iterator[str]:
    yield f"  {entry.name}{_whose(entry)}"
    title = f"{entry.title}." if entry.title else ""
    said = " ".join(part for part in (title, entry.summary, entry.why, entry.character) if part)
    fault = entry.fault and f"cannot be read: {entry.fault}"
    for text in (entry.stack, said, entry.source, fault):
        if text:
            yield from wrap_hanging(text, first=" " * 6, rest=" " * 6, width=width)


def _levels(entry: RuleEntry) -> int:
    """How many levels a layout has, empty octaves not counted; 0 for other kinds."""
    return sum(bool(level.strip()) for level in entry.stack.split("/"))


def _whose(entry: RuleEntry) -> str:
    return "" if entry.shipped else "  (this project's)"
