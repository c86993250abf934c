"""Music as text: what ``heard.txt`` says, and what music21 hears in a score.

A file names every part in score order, each on a line of its own. Under a part stands a line
for every bar in which a note begins: ``bar 3 | beat 1 G5 h | beat 3 E5 q+h``. Pitches sound
as they are spelled; lengths are ``w h q e s`` with dots, and ``+`` ties over a barline. Beats
count from 1 in denominators of the metre, an upbeat from the end of a full bar. ``#`` begins a
line for readers.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import Any, NamedTuple

QUARTERS = {letter: Fraction(4, 2**place) for place, letter in enumerate("whqes")}


class Begun(NamedTuple):
    """A note where it begins: bar as printed, beat from 1, sounding pitch, quarters in all."""

    bar: str
    beat: Fraction
    pitch: str
    quarters: Fraction

    def __str__(self) -> str:
        return f"beat {self.beat} {self.pitch} {_letters(self.quarters)}"


Music = dict[str, list[Begun]]
"""The notes of every part by its abbreviation, in the order they begin."""


def music_of(text: str) -> Music:
    """Read a ``heard.txt``."""
    parts: Music = {}
    name = ""
    for line in text.splitlines():
        if line.startswith("bar "):
            bar, *notes = (piece.split() for piece in line.split("|"))
            for _, beat, pitch, length in notes:
                parts[name].append(Begun(bar[1], Fraction(beat), pitch, _quarters(length)))
        elif line and not line.startswith("#"):
            name = line
            parts[name] = []
    return {name: _in_order(notes) for name, notes in parts.items()}


def heard_by_music21(data: bytes) -> Music:
    """What music21 hears in each part, tied runs as one note, by its own bars and spelling."""
    from music21 import converter

    score = converter.parseData(data, format="musicxml")
    parts: Music = {}
    for part in score.parts:
        part.toSoundingPitch(inPlace=True)
        parts.setdefault(part.partAbbreviation, []).extend(_untied(part))
    return {name: _in_order(notes) for name, notes in parts.items()}


def differences(wanted: Music, heard: Music) -> str:
    """The bars that differ, as music; empty where both are the same."""
    said = []
    for name in {**wanted, **heard}:
        before, after = wanted.get(name, []), heard.get(name, [])
        for bar in dict.fromkeys(note.bar for note in [*before, *after]):
            want, got = (
                " | ".join(str(note) for note in notes if note.bar == bar)
                for notes in (before, after)
            )
            if want != got:
                said.append(f"{name}, bar {bar}\n  wanted  {want}\n  heard   {got}")
    missing = set(wanted) ^ set(heard)
    said += [f"not in both: {', '.join(sorted(missing))}"] if missing else []
    return "\n".join(said)


def _untied(part: Any) -> list[Begun]:
    begun: list[Begun] = []
    held: dict[str, int] = {}
    per_quarter = Fraction(1)
    for measure in part.getElementsByClass("Measure"):
        if measure.timeSignature:
            per_quarter = Fraction(measure.timeSignature.denominator, 4)
        for onset, head in _heads(measure):
            pitch = head.pitch.nameWithOctave.replace("-", "b")
            quarters = Fraction(head.quarterLength).limit_denominator(10080)
            tie = head.tie.type if head.tie else ""
            if tie in ("stop", "continue"):
                begun[held[pitch]] = begun[held[pitch]]._replace(
                    quarters=begun[held[pitch]].quarters + quarters
                )
            else:
                held[pitch] = len(begun)
                beat = 1 + (onset + Fraction(measure.paddingLeft)) * per_quarter
                begun.append(Begun(str(measure.measureNumber), beat, pitch, quarters))
    return begun


def _heads(measure: Any) -> Iterator[tuple[Fraction, Any]]:
    for one in measure.flatten().notes:
        if not one.duration.isGrace and "Harmony" not in one.classes:
            onset = Fraction(one.offset).limit_denominator(10080)
            yield from ((onset, head) for head in getattr(one, "notes", (one,)))


def _in_order(notes: list[Begun]) -> list[Begun]:
    """By bar as they stand, by beat, by pitch; what sounds together has no other order."""
    bars = list(dict.fromkeys(note.bar for note in notes))
    return sorted(notes, key=lambda note: (bars.index(note.bar), note.beat, note.pitch))


def _quarters(length: str) -> Fraction:
    return sum(
        (
            QUARTERS[piece[0]] * (2 - Fraction(1, 2 ** (len(piece) - 1)))
            for piece in length.split("+")
        ),
        Fraction(0),
    )


def _letters(quarters: Fraction) -> str:
    """The length in letters, longest first: ``w+h.``; a length without letters in quarters."""
    pieces = []
    left = quarters
    plain = {**QUARTERS, **{f"{letter}.": value * 3 / 2 for letter, value in QUARTERS.items()}}
    for name, value in sorted(plain.items(), key=lambda one: -one[1]):
        while value <= left and len(pieces) < 9:
            pieces.append(name)
            left -= value
    return "+".join(pieces) if not left else f"{quarters} quarters"
