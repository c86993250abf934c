"""Strings, stacks and tunes for the tests of placing and clefs.

A tune is bars between `|` of pitch and length (`w h q e`, dots), `r` for a rest, a backtick
before a grace note, `(` and `)` around a slur: ``(C4q D4q) r`h` | `E4e F4w``. Four divisions
to the quarter.
"""

import re
from fractions import Fraction
from functools import cache

from rewriter.rulefiles.ensemble_files import load_ensemble
from rewriter.rulefiles.ensembles import Ensemble, Section
from rewriter.rulefiles.stack import parse_stack
from rewriter.rulefiles.stack_lines import Stack
from rewriter.sketch.model import Sounding
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


def describe(note: Sounding) -> tuple[str, str, str]:
    """Printed bar, beat of a bar in four, pitch name."""
    beat = f"{1 + note.start % (4 * DIVISIONS) / DIVISIONS:g}"
    return str(note.bar + 1), beat, name_of_midi(note.midi)


@cache
def strings() -> Ensemble:
    """The shipped symphonic ensemble."""
    return load_ensemble("symphonic")


def section(key: str) -> Section:
    return strings().section(key)


def stack(text: str, top: int | None = None) -> Stack:
    return parse_stack(text, strings())._replace(top_octave=top)
