"""Scoring a passage: a placed layout's lines, with handovers, limits and what else plays."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.placing.dividing import divided_sections, shared_out
from rewriter.placing.lines import Line, Stretch, line_of, within_limits
from rewriter.placing.statement import place_accompaniment

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from rewriter.placing.facts import Fact
    from rewriter.placing.octave import Placement
    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.rulefiles.layouts import Layout, With
    from rewriter.rulefiles.stack_lines import Stack
    from rewriter.rulefiles.words import OutOfRange

    Accompany = Callable[[With], list[Stretch]]


class Scored(NamedTuple):
    """A passage scored.

    Attributes:
        lines: of the tune and of what else plays, the tune's first.
        accompanying: where the stacks of the accompaniment were put.
        facts: there are to tell of its lines.
    """

    lines: list[Line]
    accompanying: list[tuple[With, Placement]]
    facts: list[Fact]


def score_stretch(
    layout: Layout,
    placement: Placement,
    ensemble: Ensemble,
    stretch: Stretch,
    *,
    policy: OutOfRange,
    accompany: Accompany,
) -> Scored:
    """Give a stretch of the tune, and what else plays, to the sections of a layout.

    Args:
        layout: its details, limits and condition hold.
        placement: where its stack was put.
        ensemble: whose figures hold.
        stretch: of the tune.
        policy: what to do with notes out of range.
        accompany: finds the stretches of another voice, one for each line of its stack.
    """
    lines = _lines(layout, layout.stack, placement, ensemble, [stretch])
    stretches = [stretch] * len(lines)
    accompanying = []
    for more in layout.with_:
        voices = accompany(more)
        put = place_accompaniment(more.stack, ensemble, voices)
        added = _lines(layout, more.stack, put, ensemble, voices)
        lines += added
        stretches += (voices * len(added))[: len(added)] if len(voices) == 1 else voices
        accompanying.append((more, put))
    facts: list[Fact] = [*divided_sections(lines, stretch)]
    lines = shared_out(lines)
    lines, stretches, handed = _handed_over(layout, ensemble, lines, stretches)
    facts += handed
    for at, (line, its) in enumerate(zip(lines, stretches, strict=True)):
        lines[at], found = within_limits(line, its, policy)
        facts += found
        if line.voice.of_strings:
            from rewriter.placing.register_signs import signs_left_out, untrue_signs

            unsaid = untrue_signs(line.section, lines[at].plays)
            lines[at] = lines[at]._replace(unsaid=unsaid)
            facts += signs_left_out(line.player, unsaid)
    if layout.condition is not None:
        from rewriter.placing.conditions import outside_condition

        played = [line.played for line in lines if line.voice is stretch.voice]
        facts += outside_condition(layout.condition, played)
    return Scored(lines, accompanying, facts)


def _lines(
    layout: Layout,
    stack: Stack,
    placement: Placement,
    ensemble: Ensemble,
    stretches: Sequence[Stretch],
) -> list[Line]:
    """One line for each member; each has a stretch of its own, or all share the only one."""
    lines = []
    for at, placed in enumerate(placement.lines):
        section = ensemble.section(placed.member.section)
        detail = layout.line.get(section.key)
        lines.append(
            line_of(
                placed,
                section,
                stack,
                stretches[at] if len(stretches) > 1 else stretches[0],
                detail.dynamic if detail else "",
            )
        )
    return lines


def _handed_over(
    layout: Layout,
    ensemble: Ensemble,
    lines: Sequence[Line],
    stretches: Sequence[Stretch],
) -> tuple[list[Line], list[Stretch], list[Fact]]:
    """The lines after every handover of the layout."""
    now, its = list(lines), list(stretches)
    facts: list[Fact] = []
    for at, line in enumerate(lines):
        detail = layout.line.get(line.section.key)
        rule = detail.handover if detail else None
        if rule is None or line.voice is not lines[0].voice:
            continue
        from rewriter.placing.handover import hand_over

        receiver = ensemble.section(rule.to)
        own = [n for n, other in enumerate(now) if other.section is receiver]
        done = hand_over(now[at], rule, receiver, [now[n] for n in own], its[at].breathing)
        now[at] = done.giver
        for n, left in zip(own, done.left, strict=True):
            now[n] = left
        if done.taken is not None:
            now.append(done.taken)
            its.append(its[at])
        facts += done.facts
    return now, its, facts
