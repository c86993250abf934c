"""Layouts known again in a finished score by their shape: whose doubling it is."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from rewriter.problems import Refused
from rewriter.rulefiles.loading import names, resolve_layout
from rewriter.rulefiles.shelf import path_of_name

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.checking.finished import Finished
    from rewriter.hearing.stacks import HeardLevel
    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.rulefiles.layouts import Layout

Shape = frozenset[tuple[int, str]]
"""Sections by their keys, each with its octaves below the top one."""

CONDITION = "[condition]"
"""Stands in the file of a layout that a treatise gives for some registers only."""
TREATISE = "Rimsky-Korsakov"
"""Stands in the file of a layout that is a treatise's doubling."""


@lru_cache(maxsize=16)
def layouts_saying(words: str, ensemble: Ensemble) -> dict[Shape, Layout]:
    """Layouts, shipped or the project's, in whose files some words stand, by their shapes.

    Those that name sections the ensemble has not are left out.

    Args:
        words: that stand in the file.
        ensemble: whose sections they name.
    """
    found: dict[Shape, Layout] = {}
    for name in names("layouts"):
        path = path_of_name("layouts", name)
        if path is None or words not in path.read_text(encoding="utf-8", errors="replace"):
            continue
        try:
            layout = resolve_layout(name, ensemble)
        except Refused:
            continue
        found[_shape_of_layout(layout)] = layout
    return found


def _shape_of_layout(layout: Layout) -> Shape:
    return frozenset(
        (level.depth, member.section)
        for level in layout.stack.levels
        for member in level.members
    )


def shape_of(score: Finished, levels: Sequence[HeardLevel]) -> Shape:
    """The shape of what sections play of some levels; what is no section is left out.

    Args:
        score: it is in.
        levels: top first.
    """
    played = [
        (level.depth, section.key)
        for level in levels
        for line in level.lines
        for section in score.players[line.part].sections
    ]
    top = min((depth for depth, _ in played), default=0)
    return frozenset((depth - top, key) for depth, key in played)
