"""What a ``<sound>`` says for playback, as far as it holds for other instruments.

Programs put the sketch's own instruments, channels and pedals there; none of them is the
strings'. Tempo, jumps, dynamics, swing and pizzicato are.
"""

from __future__ import annotations

from copy import deepcopy
from typing import TYPE_CHECKING, Final

from rewriter.problems import Refused
from rewriter.theory.numbers import decimal

if TYPE_CHECKING:
    from lxml.etree import _Element as Element

    from rewriter.sketch.model import Scope

JUMPS: Final = frozenset(("dacapo", "dalsegno", "segno", "coda", "tocoda", "fine"))
"""Attributes that send the player elsewhere."""

_INSTRUMENTS: Final = frozenset(("midi-device", "midi-instrument", "instrument-change"))
_PEDALS: Final = frozenset(("damper-pedal", "soft-pedal", "sostenuto-pedal"))


def scaled_offset(text: str | None, scale: float) -> int:
    """An ``<offset>`` in the divisions of the output.

    Args:
        text: what the element says, in the divisions of the sketch.
        scale: output divisions for one division of the sketch.

    Raises:
        Refused: it is no number.
    """
    offset = decimal(text or "")
    if offset is None:
        raise Refused(f'an offset of "{text}" is no number', "correct it in the sketch")
    return round(float(offset) * scale)


def for_strings(sound: Element, scale: float) -> tuple[Element | None, list[str]]:
    """A ``<sound>`` as it stands in the parts; None where nothing of it holds.

    Args:
        sound: not changed, since the sketch may be read again.
        scale: output divisions for one division of the sketch.

    Returns:
        The element and the kinds that were left behind.

    Raises:
        Refused: its offset is no number.
    """
    pedals = _PEDALS.intersection(sound.keys())
    if not pedals and not len(sound):
        return sound, []
    sound = deepcopy(sound)
    for name in pedals:
        del sound.attrib[name]
    dropped = ["pedal marks"] * bool(pedals)
    for child in list(sound):
        if child.tag in _INSTRUMENTS:
            sound.remove(child)
            dropped.append("playback instruments")
        elif child.tag == "offset":
            child.text = str(scaled_offset(child.text, scale))
    says = sound.attrib or any(child.tag != "offset" for child in sound)
    return sound if says else None, dropped


def scope_of_sound(sound: Element) -> Scope:
    """Who has a ``<sound>`` that stands in no direction."""
    if not JUMPS.isdisjoint(sound.keys()):
        return "every"
    if "tempo" in sound.keys() or sound.find("swing") is not None:  # noqa: SIM118 - an element
        return "score"
    return "line"
