"""A section that is divided in octaves and loses by it."""

from typing import Annotated

from msgspec import Meta

from rewriter.checking.at import At
from rewriter.checking.divided import divided_in_octaves_in
from rewriter.checking.rule import Parameters, Rule, Said
from rewriter.placing.facts import SectionDivided


class Settings(Parameters, frozen=True):
    """Who may."""

    may: Annotated[
        tuple[str, ...], Meta(description="MusicXML sound ids of the sections that may")
    ] = ("strings.violin", "strings.contrabass")


def say(fact: SectionDivided, at: At, settings: Settings) -> Said | None:
    """Say that it is divided."""
    if len(fact.octaves) < 2 or fact.section.sound in settings.may:  # noqa: PLR2004 - two octaves
        return None
    text = (
        "divided in octaves, half the players on each; give one octave to the section "
        "above or below if it is free"
    )
    return Said(at.division(fact), text)


RULE = Rule(
    id="divided-in-octaves",
    title="section divided in octaves",
    why="Half a section on each octave loses its unity of tone. Violins may divide so, and "
    "basses usually do (common practice, no source).",
    instead="Give one octave to the section above or below if it is free.",
    source="Rimsky-Korsakov, Principles of Orchestration (1922), ch. II, p. 43, note II",
    severity="advice",
    about=SectionDivided,
    say=say,
    parameters=Settings(),
    find=divided_in_octaves_in,
)
