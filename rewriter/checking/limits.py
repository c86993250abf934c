"""Every line of a finished score against the ranges of who plays it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.placing.limits import PlayedLine, beyond_limits

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.checking.rule import Parameters
    from rewriter.placing.facts import AtTheTop, NoteBeyond


def beyond_limits_in(score: Finished, _: Parameters) -> Iterator[NoteBeyond | AtTheTop]:
    """Notes beyond range or extreme, and stays in the highest register.

    Args:
        score: looked at.
    """
    for part in score.of_sections:
        section = score.players[part].sections[0]
        for line in score.lines(part):
            played = PlayedLine(line.player(section), line.notes, 0)
            yield from beyond_limits(played, score.reading.timeline)
