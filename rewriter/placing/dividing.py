"""A section with several lines: who plays which."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.placing.facts import SectionDivided
from rewriter.rulefiles.stack_lines import Share

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.lines import Line, Stretch

_TWO: Final = 2


def shared_out(lines: Sequence[Line]) -> list[Line]:
    """Lines with their players, where a section has lines in several stacks.

    A section named whole in one stack and in part in another gives the part away: what was
    whole are the others. Named whole in several, it divides equally.
    """
    shared = list(lines)
    for section in {line.section.key: line.section for line in lines}.values():
        mine = [at for at, line in enumerate(shared) if line.section is section]
        whole = [at for at in mine if shared[at].share.kind == "whole"]
        if len(mine) < _TWO or not whole:
            continue
        taken = sum(shared[at].players for at in mine if at not in whole)
        left = max(section.players - taken, 0) / len(whole)
        share = Share("others" if len(whole) < len(mine) else "equal")
        for at in whole:
            shared[at] = shared[at]._replace(share=share, players=left)
    return shared


def divided_sections(lines: Sequence[Line], stretch: Stretch) -> list[SectionDivided]:
    """Every section with more than one line that sounds, and where it has the tune.

    Args:
        lines: of a passage.
        stretch: of the tune.
    """
    facts = []
    first = stretch.soundings[0] if stretch.soundings else None
    for section in {line.section.key: line.section for line in lines}.values():
        mine = [line for line in lines if line.section is section and line.soundings]
        if len(mine) > 1:
            octaves = frozenset(line.octave for line in mine if line.voice is stretch.voice)
            facts.append(SectionDivided(section, len(mine), octaves, first))
    return facts
