"""All readings of one sketch: in several keys, with chords settled in several ways."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec

from rewriter.problems import Refused
from rewriter.sketch.music import SketchMusic
from rewriter.sketch.short_score import placed_in, read_sketch
from rewriter.sketch.tune import choose_part, settle_tune

if TYPE_CHECKING:
    from rewriter.rulefiles.words import Chords
    from rewriter.scores.score import Score
    from rewriter.sketch.accompaniment import Accompaniment
    from rewriter.sketch.frame import Frame
    from rewriter.sketch.requests import Keep
    from rewriter.sketch.short_score import Sketch
    from rewriter.sketch.voices import Settle
    from rewriter.theory.fifths import Interval


class Request(msgspec.Struct, frozen=True):
    """What of a sketch is wanted.

    Attributes:
        tune: which staff is the tune; empty to look.
        keep: what is carried on request only.
        whole: True when other staves are played too.
    """

    tune: str
    keep: Keep
    whole: bool


class Readings:
    """Reads a sketch as often as it takes, and each way once."""

    def __init__(self, score: Score, request: Request) -> None:
        """Find the tune.

        Raises:
            Refused: there is no tune, or its part cannot be read.
        """
        choice = choose_part(score.parts, request.tune)
        try:
            self.music = SketchMusic(score, choice.part, whole=request.whole)
        except Refused as refusal:
            raise placed_in(choice.part, refusal) from None
        self._tune = settle_tune(choice, self.music.of(choice.part))
        self._keep = request.keep
        self._tunes: dict[tuple[Interval, str], Sketch] = {}

    def tune(self, by: Interval, chords: Chords) -> Sketch:
        """The tune moved by an interval.

        Raises:
            Refused: something in it cannot be.
        """
        key = (by, chords)
        if key not in self._tunes:
            self._tunes[key] = read_sketch(
                self.music, self._tune, by=by, chords=chords, keep=self._keep
            )
        return self._tunes[key]

    def other(self, source: str, by: Interval, settle: Settle) -> Accompaniment:
        """Another voice, moved by an interval, in the frame of the tune moved likewise.

        Raises:
            Refused: there is no such voice, or something in it cannot be.
        """
        from rewriter.sketch.accompaniment import read_accompaniment  # few layouts ask for it

        frame, is_layout = self._frame(by), self._keep.is_layout
        return read_accompaniment(self.music, source, frame, by, settle, is_layout)

    def _frame(self, by: Interval) -> Frame:
        return next(sketch.frame for (key, _), sketch in self._tunes.items() if key == by)
