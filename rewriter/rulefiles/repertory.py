"""Where composers put tunes: the measured registers, a table made from a repertory."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import msgspec

from rewriter.rulefiles.shelf import shipped_folder

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.rulefiles.ensembles import Section
    from rewriter.theory.dynamics import Strength


class MeasuredSection(msgspec.Struct, frozen=True, kw_only=True):
    """Where the tunes of one section lie; every list has one figure a semitone.

    Attributes:
        section: its name, such as ``Vn I``.
        sound: MusicXML sound id, for sections of other ensembles.
        tunes: how many it carries.
        lowest: sounding MIDI number of the first figure of each list.
        soft: natural logarithm of the share of tune time at a pitch, in soft music.
        plain: in plain music.
        full: in full music.
        as_high: of a hundred tunes, how many lie there or higher on average.
        up_to: of a hundred tunes, how many have their top note there or higher.
    """

    section: str
    sound: str
    tunes: int
    lowest: int
    soft: list[float]
    plain: list[float]
    full: list[float]
    as_high: list[int]
    up_to: list[int]

    def shares(self, strength: Strength) -> list[float]:
        """Logarithms of the shares of tune time for one strength."""
        if strength == "plain":
            return self.plain
        return self.soft if strength == "soft" else self.full


class Repertory(msgspec.Struct, frozen=True, kw_only=True):
    """What was measured.

    Attributes:
        title: of the set.
        source: where the tunes come from.
        made_by: the program that made the table.
        per_octave: what a stack loses for each octave between its top line and the tune.
        elsewhere: logarithm of the share at a pitch that no list reaches.
        sections: in score order.
    """

    title: str
    source: str
    made_by: str
    per_octave: float
    elsewhere: float
    sections: list[MeasuredSection]

    def of(self, section: Section) -> MeasuredSection | None:
        """What was measured of a section, else of one that sounds like it; None for neither."""
        by_name = (each for each in self.sections if each.section == section.key)
        by_sound = (each for each in self.sections if each.sound == section.sound)
        return next(by_name, None) or next(by_sound, None)


@lru_cache(maxsize=1)
def measured_registers() -> Repertory:
    """The table that is shipped."""
    path = shipped_folder() / "registers" / "measured.json"
    return msgspec.json.decode(path.read_bytes(), type=Repertory)


def at_pitch(figures: Sequence[int], lowest: int, midi: float) -> int:
    """A figure of a list that falls from a hundred to nothing."""
    place = int(midi // 1) - lowest
    if place < 0:
        return 100
    return figures[place] if place < len(figures) else 0
