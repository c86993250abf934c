"""Survey a tune before it is given to anybody."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.foreign.opening import open_sketch
from rewriter.placing.passages import find_bars
from rewriter.problems import Refused
from rewriter.reporting.surveyed import survey_said
from rewriter.rulefiles.loading import load_ensemble
from rewriter.scores.score import read_score
from rewriter.sketch.frame_reading import UNISON
from rewriter.sketch.in_every_key import Readings, Request
from rewriter.sketch.requests import Keep
from rewriter.studying.survey import survey_of
from rewriter.theory.time import Moment
from rewriter.verbs.arguments import check_texts, name_or_file
from rewriter.verbs.collector import collector_paused

if TYPE_CHECKING:
    import os

    from lxml.etree import _Element, _ElementTree

    from rewriter.reporting.survey import Survey
    from rewriter.sketch.frame import Frame


@collector_paused()
def survey(
    sketch: str | os.PathLike[str] | bytes | _Element | _ElementTree,
    *,
    tune: str = "",
    ensemble: str | os.PathLike[str] = "symphonic",
    bars: str = "",
) -> Survey:
    """Say where a tune lies, how it moves, where it breathes and what of it comes back.

    Args:
        sketch: a path, the bytes of a file, or an lxml tree, which is not changed.
        tune: which staff is the tune, as :func:`rewriter.expand` takes it; empty to look.
        ensemble: name or file; whose sections the tune is held against, each alone.
        bars: only these, by printed numbers, such as ``9-16``; empty for all.

    Returns:
        Compass, tessitura by time, motion, leaps, phrases, statements, each with its places;
        and for each section how the tune would lie at each octave, in the figures that
        :func:`rewriter.expand` reports of a line.

    Raises:
        Refused: the sketch cannot be read, or there is no such part of it; its text is one
            line.
    """
    check_texts(tune=tune, bars=bars)
    forces = load_ensemble(name_or_file("ensemble", ensemble))
    score = read_score(open_sketch(sketch).source)
    try:
        read = Readings(score, Request(tune, Keep(), whole=False)).tune(UNISON, "top")
        start, stop = part_of(read.frame, bars)
        return survey_said(score.name, read, forces, survey_of(read, start, stop))
    except Refused as refusal:
        raise refusal.within(score.name) from None


def part_of(frame: Frame, bars: str) -> tuple[Moment, Moment]:
    """Where a part of a sketch begins, and the first moment behind it.

    Args:
        frame: of the sketch.
        bars: printed numbers; empty for all.

    Raises:
        Refused: there are no such bars.
    """
    return find_bars(bars, frame) if bars else (Moment(0, 0), Moment(len(frame.bars), 0))
