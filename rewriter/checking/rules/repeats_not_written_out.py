"""Music that is played again from the same bars, where a house wants it written out."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.scores.repeat_signs import signs_in

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished

_STYLES: Final = re.compile(rb"<(measure|beat)-repeat (?:[^>]* )?type=\"start\"")
_JUMPS: Final = {"dacapo": "da capo", "dalsegno": "dal segno"}


class PlayedAgain(NamedTuple):
    """Bars that are to be played again.

    Attributes:
        part: index in score order; of what all parts have, the first that has it.
        bar: index.
        what: leads back, or stands for the music.
    """

    part: int
    bar: int
    what: str


def find(score: Finished, _: Parameters) -> Iterator[PlayedAgain]:
    """Repeats, jumps back, and signs that stand for bars before them."""
    told: set[tuple[int, str]] = set()
    for at, part in enumerate(score.score.parts):
        for bar in part.saying(b"<repeat", b"<sound", b"<words", b"<measure-style"):
            for what in _again(part.bars[bar]):
                of_all = what not in _SIGNS.values()
                if not of_all or (bar, what) not in told:
                    told.add((bar, what))
                    yield PlayedAgain(at, bar, what)


_SIGNS: Final = {b"measure": "a sign for the bar before", b"beat": "a sign for the beat before"}


def _again(bar: bytes) -> Iterator[str]:
    signs = signs_in(bar)
    if signs.turns:
        yield "a repeat"
    said = {name for name, _ in (*signs.heard, *signs.drawn)}
    yield from (words for name, words in _JUMPS.items() if name in said)
    for style in dict.fromkeys(_STYLES.findall(bar)):
        yield _SIGNS[style]


def say(fact: PlayedAgain, at: Finished, _: Parameters) -> Said:
    """Say what leads back."""
    place = at.place(fact.part, fact.bar)
    return Said(place, f"has {fact.what}; write the music out", wants="music written out")


RULE = Rule(
    id="repeats-not-written-out",
    title="repeat instead of written-out music",
    why="In a recording the second time is another place in time: it has other bar numbers in "
    "the picture, other takes and often other dynamics, and cannot be named when it shares its "
    "bars with the first.",
    instead="Write the music out, with bar numbers of its own.",
    source="common practice, no source",
    severity="off",
    about=PlayedAgain,
    say=say,
    parameters=NONE,
    find=find,
)
