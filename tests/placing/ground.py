"""Strings, stacks and tunes for the tests of placing and clefs.

A tune is bars between `|` of pitch and length (`w h q e`, dots), `r` for a rest, a backtick
before a grace note, `(` and `)` around a slur: ``(C4q D4q) r`h` | `E4e F4w``. Four divisions
to the quarter.
"""

import re
from collections.abc import Iterable
from fractions import Fraction
from functools import cache

from rewriter.checking.places import Places
from rewriter.checking.running import findings_in
from rewriter.notating.clef_places import Reading
from rewriter.placing.facts import Player
from rewriter.rulefiles.ensemble_files import load_ensemble
from rewriter.rulefiles.ensembles import Ensemble, Section
from rewriter.rulefiles.stack import parse_stack
from rewriter.rulefiles.stack_lines import Share, Stack
from rewriter.sketch.frame import Frame, FrameBar
from rewriter.sketch.model import Sounding, Voice
from rewriter.theory.metre import metre_from_times
from rewriter.theory.pitch import name_of_midi, parse_pitch
from rewriter.theory.time import Timeline

DIVISIONS = 4
_QUARTERS = {"w": 4, "h": 2, "q": 1, "e": Fraction(1, 2)}
_TOKEN = re.compile(r"(\(?)(`?)(r|[A-G][#b]?\d)([whqe])(\.?)(\)?)$")


def midi(name: str) -> int:
    return int(parse_pitch(name).midi)


def tune(text: str) -> tuple[list[Sounding], Timeline]:
    """Notes, and where each bar begins."""
    notes: list[Sounding] = []
    lengths: list[int] = []
    now = group = 0
    slurred = False
    for bar, bar_text in enumerate(text.split("|")):
        since = now
        for token in bar_text.split():
            found = _TOKEN.match(token)
            assert found, token
            opens, grace, pitch, letter, dot, closes = found.groups()
            quarters = _QUARTERS[letter] * (Fraction(3, 2) if dot else 1)
            length = 0 if grace else int(quarters * DIVISIONS)
            slurred = slurred or bool(opens)
            if pitch != "r":
                owner = group if slurred else -1
                notes.append(Sounding(bar, now, length, midi(pitch), owner, len(notes)))
            now += length
            if closes:
                slurred, group = False, group + 1
        lengths.append(now - since)
    return notes, Timeline(lengths)


def reading(notes: list[Sounding], timeline: Timeline) -> Reading:
    """Notes as one voice of a part reads them, without beams."""
    frame = Frame([_bar(number) for number in range(1, len(timeline.starts))], DIVISIONS)
    for bar, framed in enumerate(frame.bars):
        framed.length = timeline.length(bar)
    return Reading(notes, frame)


def read(text: str) -> Reading:
    """What a text says, as a part reads it."""
    return reading(*tune(text))


def player(key: str, octave: int = 0, share: str = "whole") -> Player:
    """Who plays a line of a voice that nobody looks into."""
    return Player(
        section(key), Share(share), octave, Voice("made up", [], [], Timeline(()), [])
    )


def said(facts: Iterable[object]) -> list[str]:
    """What the rules say of facts about bars of four quarters, printed as counted."""
    return [
        f"{one.severity}: {one.place.text}: {one.text}  [{one.rule}]"
        for one in findings_in(facts, MadeUpPlaces(FRAME, []))
    ]


class MadeUpPlaces(Places):
    """Places in voices without notes, which are named as pianists name them."""

    def name(self, voice: Voice, note: Sounding) -> str:  # noqa: ARG002 - as Places has it
        return name_of_midi(note.midi)


def _bar(number: int) -> FrameBar:
    bar = FrameBar(str(number), b"", metre_from_times([("4", "4")]), 0, {})
    bar.length = 4 * DIVISIONS
    return bar


FRAME = Frame([_bar(number) for number in range(1, 41)], DIVISIONS)


@cache
def strings() -> Ensemble:
    """The shipped symphonic ensemble."""
    return load_ensemble("symphonic")


def section(key: str) -> Section:
    return strings().section(key)


def stack(text: str, top: int | None = None) -> Stack:
    return parse_stack(text, strings())._replace(top_octave=top)
