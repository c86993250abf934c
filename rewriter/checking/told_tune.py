"""Which tune a finished score has, as somebody has told: by one of its parts or a sketch."""

from __future__ import annotations

from fractions import Fraction
from functools import partial
from typing import TYPE_CHECKING, NamedTuple

from rewriter.hearing.sections import parts_of_section
from rewriter.hearing.tune import tune_told_by_part, tune_told_by_sketch
from rewriter.hearing.tune_notes import TuneNote
from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.hearing.lines import Heard
    from rewriter.hearing.sections import PartPlayers
    from rewriter.hearing.tune import HeardTune
    from rewriter.musicxml.opening import Source
    from rewriter.rulefiles.ensembles import Ensemble

_REMEDY = "choose one with --tune"
"""What is said of a sketch that is expanded; here its tune has to be plain."""


class ToldTune(NamedTuple):
    """What somebody has told of the tune.

    Attributes:
        name: of the part, or of the sketch, for people.
        choice: of a part, perhaps with staff and voice; empty where a sketch tells.
        notes: of the sketch's tune, in the order of time.
    """

    name: str
    choice: str = ""
    notes: tuple[TuneNote, ...] = ()

    def found_in(
        self, heard: Heard, players: Sequence[PartPlayers], ensemble: Ensemble
    ) -> HeardTune:
        """Where it is in a score.

        Args:
            heard: the score.
            players: who plays each of its parts.
            ensemble: whose sections there are.

        Raises:
            Refused: no part answers to the choice.
        """
        if self.choice:
            sections = partial(parts_of_section, players, ensemble)
            return tune_told_by_part(heard, self.choice, sections)
        return tune_told_by_sketch(heard, self.notes)


def tune_of_sketch(source: Source) -> ToldTune:
    """The tune of a sketch, as :func:`rewriter.expand` takes it where nothing is said of it.

    Args:
        source: of the sketch, in MusicXML.

    Raises:
        Refused: the sketch cannot be read, or nothing in it is plainly the tune.
    """
    from rewriter.scores.score import read_score
    from rewriter.sketch.frame_reading import UNISON
    from rewriter.sketch.in_every_key import Readings, Request
    from rewriter.sketch.requests import Keep

    try:
        read = Readings(read_score(source), Request("", Keep(), whole=False))
        sketch = read.tune(UNISON, "top")
    except Refused as refusal:
        if refusal.remedy.startswith(_REMEDY):
            refusal.remedy = "call the part of the tune Melody, or name a part with --tune"
        raise refusal.within(source.name) from None
    divisions = sketch.frame.divisions
    notes = (
        TuneNote(Fraction(one.start, divisions), Fraction(one.length, divisions), one.midi)
        for one in sketch.tune.soundings
        if one.length
    )
    return ToldTune(source.name, notes=tuple(notes))
