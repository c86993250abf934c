"""A section with several lines: who plays which, and what a treatise says of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.problems import Finding
from rewriter.rulefiles.stack_lines import Share

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.lines import Line, Stretch

_TWO: Final = 2
_MAY_DIVIDE_IN_OCTAVES: Final = frozenset(("strings.violin", "strings.contrabass"))


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
        taken = sum(shared[at].strength for at in mine if at not in whole)
        left = max(section.strength - taken, 0) / len(whole)
        share = Share("others" if len(whole) < len(mine) else "equal")
        for at in whole:
            shared[at] = shared[at]._replace(share=share, strength=left)
    return shared


def look_at_divisions(lines: Sequence[Line], stretch: Stretch) -> list[Finding]:
    """Advice on sections divided in octaves, or by three.

    Violins may divide in octaves, and so may basses, which usually do (common practice, no
    source); other sections lose their unity of tone (Rimsky-Korsakov, Principles of
    Orchestration, 1922, ch. II, p. 43, note II). Three parts are awkward, since sections are
    rarely divisible by three (ch. I, p. 7).
    """
    findings = []
    where = stretch.describe(stretch.soundings[0]) if stretch.soundings else ("", "", "")
    bar, beat, _ = where
    for section in {line.section.key: line.section for line in lines}.values():
        mine = [line for line in lines if line.section is section and line.soundings]
        tune = {line.octave for line in mine if line.voice is stretch.voice}
        if len(tune) > 1 and section.sound not in _MAY_DIVIDE_IN_OCTAVES:
            text = (
                "divided in octaves, half the players on each; give one octave to the section "
                "above or below if it is free"
            )
            findings.append(_advice("divided-in-octaves", section.key, bar, beat, text))
        if len(mine) > _TWO:
            text = (
                f"divided by {len(mine)}; sections rarely divide evenly so, let the section "
                f"leader say who plays what"
            )
            findings.append(_advice("divided-by-three", section.key, bar, beat, text))
    return findings


def _advice(rule: str, section: str, bar: str, beat: str, text: str) -> Finding:
    return Finding(rule=rule, severity="advice", section=section, bar=bar, beat=beat, text=text)
