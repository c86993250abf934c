"""What one player can stop at once: words and settings that several rules share."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Final

from msgspec import Meta

from rewriter.checking.finished_lines import spelled
from rewriter.checking.harmonics import is_harmonic
from rewriter.checking.rule import Parameters
from rewriter.theory.double_stops import stopped

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.rulefiles.ensembles import Section
    from rewriter.scores.voices import VoiceNote

_LOW: Final = {"strings.cello": "cellos", "strings.contrabass": "basses"}


class Hands(Parameters, frozen=True):
    """How far apart fingers may be on neighbouring strings."""

    stretch: Annotated[
        int,
        Meta(ge=0, description="semitones between stopped notes a hand reaches in first "
             "position; higher up the string it reaches more of them"),
    ] = 5  # fmt: skip
    cellos: Annotated[int, Meta(ge=0, description="the same for cellos")] = 4
    basses: Annotated[
        int, Meta(ge=0, description="the same for basses, who rarely stop two strings")
    ] = 0

    def of(self, section: Section) -> int:
        """Semitones that a hand of a section reaches in first position."""
        reach: int = getattr(self, _LOW.get(section.sound, "stretch"))
        return reach


def parts_of_hands(score: Finished) -> Iterator[int]:
    """Parts, as indexes, of one section each whose strings are tuned as they always are.

    Where cellos and basses share a staff, two notes are one for each.
    """
    for part in score.of_sections:
        one = len(score.players[part].sections) == 1
        if one and not score.score.parts[part].saying(b"cordatura"):
            yield part


def hard_for_one(notes: Sequence[VoiceNote], section: Section, hands: Hands) -> str:
    """What is said of notes that one player cannot stop at once; empty where one can.

    Notes without a pitch and harmonics are no case of it, nor is what lies below the lowest
    string, of which another rule speaks.

    Args:
        notes: that sound together.
        section: whose instrument it is.
        hands: how far apart fingers may be.
    """
    pitches = sorted(round(note.sounding) for note in notes if note.sounding is not None)
    if len(pitches) < len(notes) or pitches[0] < section.strings[0]:
        return ""
    laid = stopped(tuple(pitches), section.strings)
    if laid is not None and laid.within(hands.of(section)):
        return ""
    if any(is_harmonic(note.form) for note in notes):
        return ""
    names = named(notes)
    if laid is None:
        return f"{names} lie on no neighbouring strings"
    apart = "a semitone" if laid.apart == 1 else f"{laid.apart} semitones"
    return (
        f"{names} are stopped {apart} apart on neighbouring strings, "
        "further than a hand reaches"
    )


def named(notes: Iterable[VoiceNote]) -> str:
    """Notes from the lowest, for people: ``C4, E4 and G4``."""
    by_pitch = sorted(notes, key=lambda note: note.sounding or 0)
    *first, last = [spelled(note) for note in by_pitch]
    return f"{', '.join(first)} and {last}"
