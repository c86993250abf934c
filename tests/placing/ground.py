"""Strings, stacks and tunes for the tests of placing and clefs.

A tune is bars between `|` of pitch and length (`w h q e`, dots), `r` for a rest, a backtick
before a grace note, `(` and `)` around a slur: ``(C4q D4q) r`h` | `E4e F4w``. Four divisions
to the quarter.
"""

import re
from fractions import Fraction
from functools import cache

from rewriter.placing.fitness import Sounding
from rewriter.rulefiles.ensembles import ClefUse, Ensemble, Names, Register, Section
from rewriter.rulefiles.stack import Level, Member, Share, Stack
from rewriter.theory.pitch import name_of_midi, parse_pitch

DIVISIONS = 4
_QUARTERS = {"w": 4, "h": 2, "q": 1, "e": Fraction(1, 2)}
_TOKEN = re.compile(r"(\(?)(`?)(r|[A-G][#b]?\d)([whqe])(\.?)(\)?)$")


def midi(name: str) -> int:
    return int(parse_pitch(name).midi)


def tune(text: str) -> tuple[list[Sounding], list[int]]:
    """Notes, and where each bar begins."""
    notes: list[Sounding] = []
    starts: list[int] = []
    now = group = 0
    slurred = False
    for bar, bar_text in enumerate(text.split("|")):
        starts.append(now)
        for token in bar_text.split():
            found = _TOKEN.match(token)
            assert found, token
            opens, grace, pitch, letter, dot, closes = found.groups()
            quarters = _QUARTERS[letter] * (Fraction(3, 2) if dot else 1)
            length = 0 if grace else int(quarters * DIVISIONS)
            slurred = slurred or bool(opens)
            if pitch != "r":
                owner = group if slurred else -1
                notes.append(
                    Sounding(bar, now - starts[-1], length, midi(pitch), owner, len(notes))
                )
            now += length
            if closes:
                slurred, group = False, group + 1
    return notes, starts


def describe(note: Sounding) -> tuple[str, str, str]:
    """Printed bar, beat in quarters, pitch name."""
    beat = f"{1 + note.onset / DIVISIONS:g}"
    return str(note.bar + 1), beat, name_of_midi(note.midi)


def section(key: str) -> Section:
    return strings().section(key)


class _Strings(Ensemble, frozen=True, kw_only=True):
    def section(self, key: str) -> Section:
        return next(section for section in self.sections if section.key == key)


def _section(
    key: str,
    strings_: str,
    top: tuple[str, str],
    registers: str,
    clefs: tuple[ClefUse, ...],
    **more,
) -> Section:
    opened = tuple(midi(name) for name in strings_.split())
    bands = []
    for band in registers.split(","):
        name, start, *figures = band.split()
        bands.append(Register(name, midi(start), *(float(figure) for figure in figures)))
    return Section(
        key=key,
        names={"en": Names(key, key, key)},
        spellings=(),
        strength=10,
        strings=opened,
        lowest=opened[0],
        low=opened[0],
        high=midi(top[0]),
        extreme=midi(top[1]),
        registers=tuple(bands),
        clefs=clefs,
        sound="strings.group",
        program=49,
        **more,
    )


@cache
def strings() -> Ensemble:
    treble, alto, bass = ("treble", "G", 2), ("alto", "C", 3), ("bass", "F", 4)
    violin = (
        "G3 D4 A4 E5",
        ("E7", "B7"),
        "low G3 0.4,middle D4 0.8,soprano A4 1.0,high E6 0.6,top A6 0.2",
        (ClefUse(*treble),),
    )
    sections = (
        _section("Vn I", *violin, ottava_beyond_leger_lines=5),
        _section("Vn II", *violin, ottava_beyond_leger_lines=5),
        _section(
            "Vla",
            "C3 G3 D4 A4",
            ("E6", "A6"),
            "low C3 0.4,tenor G3 0.75,alto D4 1.0,high A5 0.5",
            (ClefUse(*alto), ClefUse(*treble, above=midi("C5"), back_below=midi("G4"))),
        ),
        _section(
            "Vc",
            "C2 G2 D3 A3",
            ("A5", "E6"),
            "bass C2 0.2 0.45,tenor C3 1.0,soprano C5 0.5",
            (
                ClefUse(*bass),
                ClefUse("tenor", "C", 4, above=midi("E4"), back_below=midi("A3")),
                ClefUse(*treble, above=midi("B4"), back_below=midi("G4")),
            ),
        ),
        _section(
            "Db",
            "E1 A1 D2 G2",
            ("G3", "G4"),
            "all E1 0.0",
            (
                ClefUse(*bass),
                ClefUse("tenor", "C", 4, above=midi("E3"), back_below=midi("A2")),
            ),
            written_octave=1,
        ),
    )
    return _Strings(
        name="strings", title="", summary="", source="", language="en", sections=sections
    )


def stack(text: str, top: int | None = None) -> Stack:
    levels = []
    for depth, level in enumerate(text.split("/")):
        names = [name.strip() for name in level.split("+")]
        members = tuple(
            Member(name.removeprefix("half "), Share("half" if "half" in name else "whole"))
            for name in names
            if name
        )
        if members:
            levels.append(Level(depth, members))
    return Stack(text, tuple(levels), top)
