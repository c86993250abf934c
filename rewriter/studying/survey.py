"""A tune surveyed: where it lies, how it moves, where it breathes, what of it comes back."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec

from rewriter.placing.fitness import hear
from rewriter.placing.lines import stretch_of
from rewriter.placing.phrases import breathing
from rewriter.placing.strands import cut_moment
from rewriter.problems import Refused
from rewriter.sketch.describing import Describer
from rewriter.studying.lying import where_it_lies
from rewriter.studying.moving import moves_of
from rewriter.studying.phrasing import phrases_of
from rewriter.studying.returning import statements_of_tune
from rewriter.theory.time import Moment

if TYPE_CHECKING:
    from rewriter.placing.fitness import Heard
    from rewriter.placing.lines import Stretch
    from rewriter.sketch.short_score import Sketch
    from rewriter.studying.lying import Lies
    from rewriter.studying.moving import Move
    from rewriter.studying.phrasing import Phrase
    from rewriter.studying.returning import Returning


class TuneSurvey(msgspec.Struct, frozen=True):
    """What there is to know of a tune before it is given to anybody.

    Attributes:
        stretch: of the tune that was looked at.
        namer: of its notes.
        heard: what placing has to know of it.
        lies: where it lies.
        moves: from each note to the next.
        phrases: in order.
        statements: by time.
    """

    stretch: Stretch
    namer: Describer
    heard: Heard
    lies: Lies
    moves: list[Move]
    phrases: list[Phrase]
    statements: list[Returning]


def tune_between(sketch: Sketch, start: Moment, stop: Moment) -> Stretch:
    """The tune of a sketch between two moments, as a passage there would have it.

    Raises:
        Refused: no note begins there.
    """
    voice, frame = sketch.tune, sketch.frame
    start, stop = (cut_moment(voice, moment, frame.divisions) for moment in (start, stop))
    stretch = stretch_of(voice, start, stop, breathing(frame))
    if not stretch.soundings:
        raise Refused("the tune has no note in these bars", "name others")
    return stretch


def statement_numbered(sketch: Sketch, number: int) -> tuple[Moment, Moment]:
    """From where to where a statement of the tune of a sketch goes.

    Args:
        sketch: its reading.
        number: by time, from 1, as :func:`survey_of` counts them.

    Raises:
        Refused: there is no such statement.
    """
    voice, frame = sketch.tune, sketch.frame
    stretch = tune_between(sketch, Moment(0, 0), Moment(len(frame.bars), 0))
    found = statements_of_tune(stretch, Describer(voice, frame))
    if number > len(found):
        known = f"there are {len(found)}" if found else "nothing of four bars comes back"
        raise Refused(f"there is no statement {number}", f"{known}; see rewriter survey")
    notes = found[number - 1].notes
    timeline = voice.timeline
    return timeline.moment(notes[0].start), timeline.moment(notes[-1].end)


def survey_of(sketch: Sketch, start: Moment, stop: Moment) -> TuneSurvey:
    """Survey the tune of a sketch between two moments.

    Raises:
        Refused: no note begins there.
    """
    stretch = tune_between(sketch, start, stop)
    namer = Describer(sketch.tune, sketch.frame)
    return TuneSurvey(
        stretch=stretch,
        namer=namer,
        heard=hear(stretch.soundings, sketch.tune.strengths),
        lies=where_it_lies(stretch.soundings),
        moves=list(moves_of(stretch, sketch.frame, namer)),
        phrases=list(phrases_of(stretch)),
        statements=statements_of_tune(stretch, namer),
    )
