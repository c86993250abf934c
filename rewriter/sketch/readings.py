"""All readings of one sketch: in several keys, with chords settled in several ways."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.sketch.accompaniment import Accompaniment, read_accompaniment
from rewriter.sketch.short_score import read_sketch

if TYPE_CHECKING:
    from lxml.etree import _Element as Element

    from rewriter.sketch.chords import Chords
    from rewriter.sketch.model import Frame
    from rewriter.sketch.raw import Keep
    from rewriter.sketch.short_score import Sketch
    from rewriter.sketch.voices import Settle
    from rewriter.theory.fifths import Interval


class Request(NamedTuple):
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
    """Reads a sketch as often as it takes, and each way once.

    Attributes:
        root: the score.
    """

    def __init__(self, root: Element, request: Request) -> None:
        self.root = root
        self._request = request
        self._tunes: dict[tuple[Interval, str], Sketch] = {}

    def tune(self, by: Interval, chords: Chords) -> Sketch:
        """The tune moved by an interval.

        Raises:
            Refused: there is no tune, or something in it cannot be.
        """
        key = (by, chords)
        if key not in self._tunes:
            request = self._request
            self._tunes[key] = read_sketch(
                self.root,
                tune=request.tune,
                by=by,
                chords=chords,
                keep=request.keep,
                whole=request.whole,
            )
        return self._tunes[key]

    def other(self, source: str, by: Interval, settle: Settle) -> Accompaniment:
        """Another voice, moved by an interval, in the frame of the tune moved likewise.

        Raises:
            Refused: there is no such voice, or something in it cannot be.
        """
        return read_accompaniment(self.root, source, self._frame(by), by, settle)

    def _frame(self, by: Interval) -> Frame:
        return next(sketch.frame for (key, _), sketch in self._tunes.items() if key == by)
