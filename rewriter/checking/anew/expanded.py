"""A passage of a finished score expanded by a layout; its carrier stands for the sketch."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import msgspec
from msgspec.structs import replace

from rewriter.checking.anew.certain import NotCertain
from rewriter.checking.finished import Finished
from rewriter.musicxml.heading import Origin
from rewriter.notating.score import write_score
from rewriter.notating.section_parts import PassageLines, section_parts
from rewriter.placing.facts import NoteBeyond
from rewriter.placing.passage_by_passage import CueScorer
from rewriter.placing.passages import Placed, from_start_to_end
from rewriter.problems import Refused
from rewriter.scores.score import read_score
from rewriter.sketch.in_every_key import Readings, Request
from rewriter.sketch.requests import Keep
from rewriter.theory.fifths import Interval
from rewriter.theory.time import Moment

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.checking.anew.carrier import Carrier
    from rewriter.placing.passage_by_passage import PassageScore
    from rewriter.rulefiles.ensembles import Ensemble, Section
    from rewriter.rulefiles.layouts import Layout
    from rewriter.sketch.frame import Frame

_OCTAVE = 12


class Expanded(msgspec.Struct, frozen=True):
    """A passage by its new layout.

    Attributes:
        score: of all sections, as long as the finished one; what is not in the passage rests.
        parts: by section those of it, in score order; the second is its second staff.
        start: of the passage, in divisions of the finished score from the start of the piece:
            it may have moved out of a tuplet.
        stop: likewise.
        stack: as it was placed, its octave named.
        top_octave: of it, from the tune.
        receiving: sections that play only what is handed over to them.
    """

    score: Finished
    parts: dict[str, list[int]]
    start: int
    stop: int
    stack: str
    top_octave: int
    receiving: frozenset[str]


def expanded(
    score: Finished, carrier: Carrier, layout: Layout, start: int, stop: int
) -> Expanded:
    """Expand a passage.

    Args:
        score: the finished one; not changed.
        carrier: has the tune from end to end.
        layout: who is to play it; what else plays in it is left aside.
        start: divisions from the start of the piece.
        stop: likewise.

    Raises:
        NotCertain: the passage cannot be read or written so.
    """
    try:
        return _expanded(score, carrier, layout, start, stop)
    except Refused as refusal:
        raise NotCertain(str(refusal)) from None


def _expanded(
    score: Finished, carrier: Carrier, layout: Layout, start: int, stop: int
) -> Expanded:
    if carrier.line.member:
        raise NotCertain("the tune is in the lower notes of chords")
    request = Request(_choice(score, carrier), Keep(is_layout=_never), whole=False)
    readings = Readings(score.score, request)
    by = Interval(-7 * carrier.octaves, -_OCTAVE * carrier.octaves)
    frame = readings.tune(by, "top").frame
    moments = [_moment(score, frame, time) for time in (start, stop)]
    forces = _as_written(score, start)
    scorer = CueScorer(forces, frame, readings, None, forces.registers)
    passage = from_start_to_end(replace(layout, with_=()))
    (one,) = scorer.score([Placed(passage, *moments)], [by], "top")
    _look_at_range(one)
    lines = [PassageLines(one.layout, one.scored.lines)]
    parts = section_parts(forces, lines, frame, forces.language)
    # What is for the whole score stands in the top part: a second one of the first section.
    data = write_score(
        score.score.header,
        frame,
        [parts[0], *parts],
        language=forces.language,
        origin=Origin("", "", ""),
    )
    own: dict[str, list[int]] = {}
    for at, part in enumerate(parts, start=1):
        own.setdefault(part.section.key, []).append(at)
    stack, octave = layout.stack, one.stood.placement.top_octave
    return Expanded(
        Finished(read_score(data), forces),
        own,
        _time(score, frame, one.start),
        _time(score, frame, one.stop),
        stack.written(octave),
        octave,
        frozenset(_keys(one)) - {member.section for member in stack.members},
    )


def _never(_: str) -> bool:
    """Words in brackets of a finished score are an editor's."""
    return False


def _choice(score: Finished, carrier: Carrier) -> str:
    place = carrier.line
    voice = score.heard.voices[place.part][place.voice]
    said = f"{score.score.parts[place.part].id} staff {voice.staff}"
    return f"{said} voice {voice.name}" if voice.name else said


def _moment(score: Finished, frame: Frame, time: int) -> Moment:
    """A moment of the score as the reading of the carrier counts it."""
    timeline = score.reading.timeline
    bar, onset = timeline.moment(time)
    divisions = score.reading.divisions
    for at in {bar - 1, bar} & set(range(len(timeline.starts) - 1)):
        if at >= len(frame.bars) or Fraction(
            frame.bars[at].length, frame.divisions
        ) != Fraction(timeline.length(at), divisions):
            raise NotCertain(f"{score.bar_text(at, at)} is not as long in all parts")
    counted = Fraction(onset * frame.divisions, divisions)
    if counted.denominator > 1:
        raise NotCertain("it begins or ends where the tune has no moment")
    return Moment(bar, int(counted))


def _time(score: Finished, frame: Frame, moment: Moment) -> int:
    start = score.reading.timeline.starts[moment.bar]
    return start + moment.onset * score.reading.divisions // frame.divisions


def _as_written(score: Finished, time: int) -> Ensemble:
    """The ensemble, each section written at the octave at which its part is."""

    def written(section: Section) -> Section:
        for one in score.players:
            if one.sections == (section,):
                semitones = score.in_force(one.part).transposition(time).semitones
                if semitones % _OCTAVE == 0:
                    return replace(section, written_octave=-int(semitones) // _OCTAVE)
        return section

    sections = tuple(written(section) for section in score.ensemble.sections)
    return replace(score.ensemble, sections=sections)


def _look_at_range(one: PassageScore) -> None:
    beyond = [fact for fact in one.scored.facts if isinstance(fact, NoteBeyond)]
    if beyond and one.refuses:
        raise NotCertain("a note would be out of range, which the layout refuses")


def _keys(one: PassageScore) -> Sequence[str]:
    return [line.section.key for line in one.scored.lines]
