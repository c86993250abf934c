"""Look at a sketch before anything is decided about it."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from rewriter.foreign.opening import open_sketch
from rewriter.problems import Refused
from rewriter.reporting.overview import Plain, look_of
from rewriter.rulefiles.loading import is_layout, load_ensemble
from rewriter.scores.naming import said_part
from rewriter.scores.score import read_score
from rewriter.sketch.frame_reading import UNISON
from rewriter.sketch.in_every_key import Readings, Request
from rewriter.sketch.requests import Keep
from rewriter.sketch.tune import choose_part
from rewriter.verbs.arguments import check_texts, name_or_file
from rewriter.verbs.collector import collector_paused

if TYPE_CHECKING:
    import os

    from lxml.etree import _Element, _ElementTree

    from rewriter.reporting.look import Look
    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.scores.score import Score
    from rewriter.sketch.short_score import Sketch


@collector_paused()
def look(
    sketch: str | os.PathLike[str] | bytes | _Element | _ElementTree,
    *,
    tune: str = "",
    ensemble: str | os.PathLike[str] = "symphonic",
) -> Look:
    """Say what there is in a sketch: bars, marks, metres, keys, tempo, words, voices.

    Args:
        sketch: a path, the bytes of a file, or an lxml tree, which is not changed.
        tune: which staff is the tune, as :func:`rewriter.expand` takes it; empty to look.
        ensemble: name or file; whose sections layouts written in the sketch may name.

    Returns:
        What was seen, and the skeleton of a plan with a passage for each rehearsal mark. Where
        nothing is plainly the tune, that is said, and the first part with notes is read for
        the bars.

    Raises:
        Refused: the sketch cannot be read; its text is one line.
    """
    check_texts(tune=tune)
    forces = load_ensemble(name_or_file("ensemble", ensemble))
    score = read_score(open_sketch(sketch).source)
    try:
        plain = _plain(score, tune)
        read = _read(score, tune, forces) if plain.is_so else _any(score, forces)
        return look_of(score, read, plain._replace(said=read.why) if plain.is_so else plain)
    except Refused as refusal:
        raise refusal.within(score.name) from None


def _plain(score: Score, tune: str) -> Plain:
    """Whether the list of parts makes the tune plain; what is asked for always is."""
    if not tune:
        try:
            choose_part(score.parts)
        except Refused as refusal:
            return Plain(f"not plain: {refusal.what}; choose one with --tune", is_so=False)
    return Plain("", is_so=True)


def _read(score: Score, tune: str, forces: Ensemble) -> Sketch:
    keep = Keep(is_layout=partial(is_layout, ensemble=forces))
    return Readings(score, Request(tune, keep, whole=True)).tune(UNISON, "top")


def _any(score: Score, forces: Ensemble) -> Sketch:
    """The sketch read with the first part that has notes in the place of a tune."""
    for part in score.parts:
        if any(b"<pitch" in bar for bar in part.bars):
            return _read(score, part.id, forces)
    raise Refused(
        f"there is no note in {', '.join(map(said_part, score.parts))}", "look at the export"
    )
