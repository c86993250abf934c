"""From a tune as it was surveyed to what is said of it."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from rewriter.checking.places import Places
from rewriter.placing.passages import bars_said
from rewriter.placing.statement import strength_times
from rewriter.reporting.results import RegisterTime, StrengthTime
from rewriter.reporting.survey import (
    Departure,
    IntervalCount,
    Leap,
    Motion,
    OctaveFit,
    Phrase,
    PitchPlaces,
    PitchTime,
    RegisterFrom,
    SectionFit,
    Statement,
    Survey,
    Tessitura,
)
from rewriter.studying.fitting import octaves_of
from rewriter.studying.lying import where_it_lies
from rewriter.studying.moving import motion_of
from rewriter.texts import one_row
from rewriter.theory.pitch import name_of_midi

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.problems import Place
    from rewriter.rulefiles.ensembles import Ensemble, Section
    from rewriter.sketch.model import Sounding
    from rewriter.sketch.short_score import Sketch
    from rewriter.studying.lying import Lies
    from rewriter.studying.moving import Move
    from rewriter.studying.phrasing import Phrase as StudiedPhrase
    from rewriter.studying.returning import Returning
    from rewriter.studying.survey import TuneSurvey


def survey_said(name: str, sketch: Sketch, ensemble: Ensemble, survey: TuneSurvey) -> Survey:
    """All that is said of a tune.

    Args:
        name: of the sketch, as the user named it.
        sketch: its reading.
        ensemble: whose sections it is held against.
        survey: of its tune.
    """
    return _Sayer(sketch, survey).said(name, ensemble)


class _Sayer:
    """Names the notes and moments of one tune."""

    def __init__(self, sketch: Sketch, survey: TuneSurvey) -> None:
        self._sketch = sketch
        self._survey = survey
        self._timeline = sketch.tune.timeline
        self._places = Places(sketch.frame, [])

    def said(self, name: str, ensemble: Ensemble) -> Survey:
        """All of it."""
        survey, stretch = self._survey, self._survey.stretch
        lies = survey.lies
        times = strength_times(survey.heard)
        return Survey(
            sketch=name,
            tune=one_row(self._sketch.why),
            ensemble=ensemble.title,
            bars=bars_said(self._sketch.frame, stretch.start, stretch.stop),
            notes=len(stretch.soundings),
            lowest=self._end(lies.lowest),
            highest=self._end(lies.highest),
            tessitura=_tessitura(lies),
            strengths=[StrengthTime(strength, time) for strength, time in times.items()],
            motion=_motion(survey.moves),
            leaps=[self._leap(move) for move in survey.moves if move.is_leap],
            phrases=[self._phrase(phrase) for phrase in survey.phrases],
            statements=[self._statement(one) for one in survey.statements],
            sections=[self._section(section) for section in ensemble.sections],
        )

    def _note(self, note: Sounding) -> str:
        return self._survey.namer.name(note, 0)

    def _at(self, time: int) -> Place:
        return self._places.in_sketch(*self._timeline.moment(time))

    def _place(self, note: Sounding) -> Place:
        return self._places.in_sketch(note.bar, note.start - self._timeline.starts[note.bar])

    def _bars(self, notes: Sequence[Sounding]) -> str:
        """Printed numbers of the bars in which some notes begin and end."""
        bars = self._sketch.frame.bars
        end = max(note.end for note in notes)
        last = max(self._timeline.bar_ending(end), notes[-1].bar)
        first, behind = bars[notes[0].bar].number, bars[last].number
        return first if notes[0].bar == last else f"{first}-{behind}"

    def _end(self, midi: float) -> PitchPlaces:
        notes = [note for note in self._survey.stretch.soundings if note.midi == midi]
        places = [self._place(note) for note in notes]
        return PitchPlaces(pitch=self._note(notes[0]), midi=midi, places=places)

    def _leap(self, move: Move) -> Leap:
        return Leap(
            interval=move.interval.text if move.interval else "",
            semitones=move.semitones,
            from_pitch=self._note(move.before),
            to_pitch=self._note(move.after),
            place=self._place(move.after),
            over_rest=move.over_rest,
        )

    def _phrase(self, phrase: StudiedPhrase) -> Phrase:
        notes = phrase.notes
        lies = where_it_lies(notes)
        low = next(note for note in notes if note.midi == lies.lowest)
        high = next(note for note in notes if note.midi == lies.highest)
        return Phrase(
            bars=self._bars(notes),
            first=self._place(notes[0]),
            last=self._place(notes[-1]),
            notes=len(notes),
            lowest=self._note(low),
            highest=self._note(high),
            average=_nearest(lies.average),
            ended_by=phrase.ended_by,
        )

    def _statement(self, one: Returning) -> Statement:
        return Statement(
            number=one.number,
            returns=one.of,
            bars=self._bars(one.notes),
            first=self._place(one.notes[0]),
            last=self._place(one.notes[-1]),
            notes=len(one.notes),
            interval=one.interval,
            semitones=one.semitones,
            lacks_before=one.lacks_before,
            lacks_behind=one.lacks_behind,
            departures=[
                Departure(place=self._at(each.time), has=each.has, first_has=each.first_has)
                for each in one.departures
            ],
        )

    def _section(self, section: Section) -> SectionFit:
        heard, lengths = self._survey.heard, self._survey.lies.lengths
        return SectionFit(
            section=section.key,
            low=section.low,
            high=section.high,
            registers=[
                RegisterFrom(register=each.name, from_midi=each.from_midi)
                for each in section.registers
            ],
            octaves=[
                OctaveFit(
                    octave=at.octave,
                    sings=at.suits,
                    out_of_range=at.outside.range,
                    beyond_extreme=at.outside.reach,
                    registers=[RegisterTime(name, time) for name, time in at.registers],
                )
                for at in octaves_of(section, heard, lengths)
            ],
        )


def _tessitura(lies: Lies) -> Tessitura:
    total = sum(lies.lengths.values())
    return Tessitura(
        average=_nearest(lies.average),
        average_midi=lies.average,
        low=name_of_midi(lies.low),
        high=name_of_midi(lies.high),
        low_midi=lies.low,
        high_midi=lies.high,
        pitches=[
            PitchTime(
                pitch=name_of_midi(midi),
                midi=midi,
                time=length / total,
                notes=lies.counts[midi],
            )
            for midi, length in lies.lengths.items()
        ],
    )


def _motion(moves: Sequence[Move]) -> Motion:
    motion = motion_of(moves)
    sizes = Counter(move.semitones for move in moves)
    return Motion(
        rising=motion.rising,
        falling=motion.falling,
        repeated=motion.repeated,
        share_rising=motion.share_rising,
        intervals=[
            IntervalCount(semitones=size, notes=many) for size, many in sorted(sizes.items())
        ],
    )


def _nearest(average: float) -> str:
    return name_of_midi(round(average))
