"""In which order an element's children stand, in one table; and which signs stand in a family.

Source: W3C MusicXML 4.0, its XSD; the tests compare the table with it.
"""

from __future__ import annotations

from functools import cache
from typing import Final

_EDITORIAL: Final = ("footnote", "level")
_HEADER: Final = (
    "work", "movement-number", "movement-title", "identification", "defaults", "credit",
    "part-list",
)  # fmt: skip

ORDER: Final[dict[str, tuple[str, ...]]] = {
    "note": (
        "grace", "cue", "chord", "pitch", "unpitched", "rest", "duration", "tie", "instrument",
        *_EDITORIAL, "voice", "type", "dot", "accidental", "time-modification", "stem",
        "notehead", "notehead-text", "staff", "beam", "notations", "lyric", "play", "listen",
    ),
    "pitch": ("step", "alter", "octave"),
    "notations": _EDITORIAL,
    "attributes": (
        *_EDITORIAL, "divisions", "key", "time", "staves", "part-symbol", "instruments", "clef",
        "staff-details", "transpose", "for-part", "directive", "measure-style",
    ),
    "direction": (
        "direction-type", "offset", *_EDITORIAL, "voice", "staff", "sound", "listening",
    ),
    "harmony": (
        "root", "numeral", "function", "kind", "inversion", "bass", "degree", "frame", "offset",
        *_EDITORIAL, "staff",
    ),
    "forward": ("duration", *_EDITORIAL, "voice", "staff"),
    "backup": ("duration", *_EDITORIAL),
    "barline": (
        "bar-style", *_EDITORIAL, "wavy-line", "segno", "coda", "fermata", "ending", "repeat",
    ),
    "sound": ("instrument-change", "midi-device", "midi-instrument", "play", "swing", "offset"),
    "measure": (),
    "score-partwise": (*_HEADER, "part"),
    "score-timewise": (*_HEADER, "measure"),
    "score-part": (
        "identification", "part-link", "part-name", "part-name-display", "part-abbreviation",
        "part-abbreviation-display", "group", "score-instrument", "player", "midi-device",
        "midi-instrument",
    ),
    "score-instrument": (
        "instrument-name", "instrument-abbreviation", "instrument-sound", "solo", "ensemble",
        "virtual-instrument",
    ),
    "part-group": (
        "group-name", "group-name-display", "group-abbreviation", "group-abbreviation-display",
        "group-symbol", "group-barline", "group-time", *_EDITORIAL,
    ),
}  # fmt: skip
"""Children in their order. Those that are not named (of a bar: all) stand in any order, behind
those that are."""

FAMILIES: Final[dict[str, frozenset[str]]] = {
    "articulations": frozenset((
        "accent", "strong-accent", "staccato", "tenuto", "detached-legato", "staccatissimo",
        "spiccato", "scoop", "plop", "doit", "falloff", "breath-mark", "caesura", "stress",
        "unstress", "soft-accent", "other-articulation",
    )),
    "technical": frozenset((
        "up-bow", "down-bow", "harmonic", "open-string", "thumb-position", "fingering", "pluck",
        "double-tongue", "triple-tongue", "stopped", "snap-pizzicato", "fret", "string",
        "hammer-on", "pull-off", "bend", "tap", "heel", "toe", "fingernails", "hole", "arrow",
        "handbell", "brass-bend", "flip", "smear", "open", "half-muted", "harmon-mute", "golpe",
        "other-technical",
    )),
    "ornaments": frozenset((
        "trill-mark", "turn", "delayed-turn", "inverted-turn", "delayed-inverted-turn",
        "vertical-turn", "inverted-vertical-turn", "shake", "wavy-line", "mordent",
        "inverted-mordent", "schleifer", "tremolo", "haydn", "other-ornament",
    )),
}  # fmt: skip
"""Signs that stand in an element of ``<notations>`` with others of their kind."""


@cache
def successors(parent: str, tag: str) -> frozenset[str]:
    """Names of the children that stand behind a child.

    Args:
        parent: name of an element.
        tag: name of a child of it.

    >>> sorted(successors("note", "staff"))
    ['beam', 'listen', 'lyric', 'notations', 'play']
    """
    order = ORDER.get(parent, ())
    return frozenset(order[order.index(tag) + 1 :] if tag in order else ())


@cache
def place(parent: str, tag: str) -> int:
    """Where among its brothers a child stands; behind all that are named where it is not.

    >>> place("attributes", "key") < place("attributes", "clef") < place("attributes", "x")
    True
    """
    order = ORDER.get(parent, ())
    return order.index(tag) if tag in order else len(order)


@cache
def family_of(tag: str) -> str:
    """The family a sign of ``<notations>`` stands in; empty where it stands by itself.

    >>> family_of("staccato"), family_of("fermata")
    ('articulations', '')
    """
    return next((family for family, tags in FAMILIES.items() if tag in tags), "")
