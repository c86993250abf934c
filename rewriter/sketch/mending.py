"""What of a sketch the standard does not allow, written as it allows, and said.

Programs write endings numbered from 0, metronome marks without a note, directions without a
sign. What they must have meant is written; where nobody can tell, it is left out. Source of
what is allowed: W3C MusicXML 4.0, ending-number, note-type-value, non-negative-decimal,
direction-type.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from rewriter.theory.numbers import decimal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lxml.etree import _Element as Element

_ENDING: Final = re.compile(r" *|[1-9][0-9]*(, ?[1-9][0-9]*)*")
_NUMBER: Final = re.compile(r"\b[1-9][0-9]*")
_NOT_NEGATIVE: Final = re.compile(r"\s*\+?([0-9]+(\.[0-9]*)?|\.[0-9]+)\s*")
_STRENGTH: Final = re.compile(rb' ((?:end-)?dynamics)="([^"]*)"')
"""Of a note, for playback."""

_UNITS: Final = {
    "1024th": 1 / 256, "512th": 1 / 128, "256th": 1 / 64, "128th": 1 / 32, "64th": 1 / 16,
    "32nd": 1 / 8, "16th": 1 / 4, "eighth": 1 / 2, "quarter": 1.0, "half": 2.0, "whole": 4.0,
    "breve": 8.0, "long": 16.0, "maxima": 32.0,
}  # fmt: skip
"""Note types, in quarters."""


def mend_barline(barline: Element) -> Iterator[str]:
    """Give the endings of a barline numbers; say what was done.

    Args:
        barline: nobody else's; it is changed.
    """
    for ending in barline.findall("ending"):
        said = ending.get("number", "")
        if _ENDING.fullmatch(said):
            continue
        number = ", ".join(dict.fromkeys(_NUMBER.findall(said))) or "1"
        ending.set("number", number)
        if ending.get("type") == "start":
            yield f'an ending numbered "{said}" cannot be; numbered {number}'


def mend_direction(direction: Element) -> Iterator[str]:
    """Take out of a direction what cannot be, or write it as it was meant; say what was done.

    Args:
        direction: nobody else's; it is changed.
    """
    sound = direction.find("sound")
    if sound is not None:
        yield from mend_sound(sound)
    for holder in direction.findall("direction-type"):
        metronome = holder.find("metronome")
        if metronome is not None:
            yield from _mend_metronome(metronome, sound)
            if len(metronome) == 0:
                direction.remove(holder)
        elif len(holder) == 0:
            direction.remove(holder)
            yield "a direction without a sign; left out"


def mend_sound(sound: Element) -> Iterator[str]:
    """Take out of a ``<sound>`` speeds and strengths below zero; say what was done.

    Args:
        sound: nobody else's; it is changed.
    """
    for name in ("tempo", "dynamics"):
        said = sound.get(name)
        if said is not None and not _NOT_NEGATIVE.fullmatch(said):
            del sound.attrib[name]
            yield f'{name} of "{said}" for playback cannot be; left out'


def mended_opening(note: bytes) -> tuple[bytes, tuple[str, ...]]:
    """The opening tag of a note without strengths below zero, and what was done.

    Args:
        note: the tag, such as ``<note dynamics="-1.11">``.
    """
    said: list[str] = []
    for found in _STRENGTH.finditer(note):
        name, number = found[1].decode(), found[2].decode()
        if not _NOT_NEGATIVE.fullmatch(number):
            note = note.replace(found[0], b"", 1)
            said.append(f'{name} of "{number}" for playback cannot be; left out')
    return note, tuple(said)


def _mend_metronome(metronome: Element, sound: Element | None) -> Iterator[str]:
    """Give a metronome mark the note its playback counts in; without one it is emptied."""
    units = metronome.findall("beat-unit")
    if all((unit.text or "").strip() in _UNITS for unit in units):
        return
    name = _unit_played(metronome, sound) if len(units) == 1 else None
    if name is not None:
        units[0].text = name
        yield f"a metronome mark names no note; counted in {name} notes, as it is played"
        return
    metronome.clear()
    yield "a metronome mark names no note; left out"


def _unit_played(metronome: Element, sound: Element | None) -> str | None:
    """The note that a mark counts, by the speed it is played at; without dots only."""
    speed = decimal(metronome.findtext("per-minute") or "")
    played = decimal(sound.get("tempo", "") if sound is not None else "")
    if (
        speed is None
        or played is None
        or speed <= 0
        or metronome.find("beat-unit-dot") is not None
    ):
        return None
    near = (
        name for name, length in _UNITS.items() if abs(played / speed - length) < length / 50
    )
    return next(near, None)
