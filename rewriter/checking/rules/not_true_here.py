"""Harmonics and names of strings that another register or instrument makes untrue."""

from rewriter.checking.places import Places
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.placing.facts import SignsLeftOut

_NAMES = {"harmonic": "a harmonic", "open-string": "an open string sign"}


def say(fact: SignsLeftOut, at: Places, _: Parameters) -> Said:
    """Say what is left out, and how often."""
    what = _NAMES.get(fact.sign, f'"{fact.sign}"')
    often = f", and {fact.times - 1} more like it," if fact.times > 1 else ""
    return Said(
        place=at.sign(fact.player, fact.where),
        text=f"{what}{often} is left out; it is not so on this section's strings here",
    )


RULE = Rule(
    id="not-true-here",
    title="sign left out that is not true here",
    why="A natural harmonic two octaves lower is none, and a string that the line has left "
    "cannot be played on.",
    instead="Write the sign that is true for this section, if one is wanted.",
    source="Rimsky-Korsakov, Principles of Orchestration (1922), ch. I, pp. 8-9, for how far "
    "up a string is played; the rest is acoustics",
    severity="advice",
    about=SignsLeftOut,
    say=say,
    parameters=NONE,
)
