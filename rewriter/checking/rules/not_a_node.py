"""Harmonics where no string has a node."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.checking.finished_lines import spelled
from rewriter.checking.hands import parts_of_hands
from rewriter.checking.harmonics import SOUNDS_ABOVE, is_harmonic, is_touched
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.theory.nodes import NODES, PARTIALS
from rewriter.theory.pitch import name_of_midi

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.scores.voices import VoiceNote

_OCTAVE = 12


class NoNode(NamedTuple):
    """A note that is shown as a harmonic and is none.

    Attributes:
        part: index in score order.
        note: where the string is touched, or what should sound.
        stopped: the note under it that is stopped; None for an open string.
    """

    part: int
    note: VoiceNote
    stopped: VoiceNote | None


def find(score: Finished, _: Parameters) -> Iterator[NoNode]:
    """Harmonics that neither are partials of an open string nor touched at a node."""
    for part in parts_of_hands(score):
        having = score.score.parts[part].having
        if not (having(b"<harmonic") or having(b">diamond<")):
            continue
        section = score.players[part].sections[0]
        strings = [float(string) for string in section.strings]
        octaves = _OCTAVE * section.written_octave
        for voice in score.voices(part):
            for chord in voice.chords:
                found = _none_of(chord.notes, strings, octaves)
                if found is not None:
                    yield NoNode(part, *found)


def _none_of(
    notes: Sequence[VoiceNote], strings: Sequence[float], octaves: int
) -> tuple[VoiceNote, VoiceNote | None] | None:
    """The harmonic of a chord that is none, and the stopped note under it."""
    shown = [note for note in notes if is_harmonic(note.form) and note.sounding is not None]
    touched = [note for note in shown if is_touched(note.form)] or shown
    if not touched:
        return None
    plain = [n for n in notes if n.sounding is not None and not is_touched(n.form)]
    for note in touched:
        others = [one for one in plain if one is not note]
        if others:
            stopped = min(others, key=lambda one: one.sounding or 0)
            if not _may_touch(note, stopped) and not _is_node(note, strings, octaves):
                return note, stopped
        elif not _is_node(note, strings, octaves):
            return note, None
    return None


def _may_touch(note: VoiceNote, stopped: VoiceNote) -> bool:
    return (note.sounding or 0) - (stopped.sounding or 0) in SOUNDS_ABOVE


def _is_node(note: VoiceNote, strings: Sequence[float], octaves: int) -> bool:
    """True where a string sounds so, or is touched so; as it sounds, or as it is written.

    Basses read harmonics at their sounding pitch in some editions, so both are tried.
    """
    says = {tag for sign in note.form.notations if sign.tag == "harmonic" for tag in sign.says}
    if "artificial" in says or note.sounding is None:
        return True
    wanted = NODES | PARTIALS
    if "base-pitch" in says:
        wanted = frozenset((0,))
    elif "sounding-pitch" in says:
        wanted = PARTIALS
    return any(
        note.sounding + up - string in wanted for string in strings for up in {0, octaves}
    )


def say(fact: NoNode, at: Finished, _: Parameters) -> Said:
    """Say which note is none of which strings."""
    note, section = fact.note, at.players[fact.part].sections[0]
    name = spelled(note)
    if fact.stopped is not None:
        what = f"{name} is no node of a string stopped at {spelled(fact.stopped)}"
    else:
        strings = " ".join(name_of_midi(string) for string in section.strings)
        what = f"{name} is no harmonic of an open string ({strings})"
    return Said(
        at.place(fact.part, note.bar, note.time, note.form.voice),
        f"{what}; touch a fourth above a stopped note, or write it as a plain note",
        name,
        "a node",
    )


RULE = Rule(
    id="not-a-node",
    title="harmonic where there is no node",
    why="A string sounds as a harmonic only where it is touched at a node: at its octave, "
    "fifth, fourth, thirds or major sixth, or where a partial sounds at its own pitch.",
    instead="Touch a fourth above a stopped note two octaves under the wanted one, or write a "
    "plain note.",
    source="acoustics of the string, up to the sixth partial and the eighth",
    severity="warning",
    about=NoNode,
    say=say,
    parameters=NONE,
    find=find,
    runs=True,
)
