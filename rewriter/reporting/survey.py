"""What there is to say of a tune before it is given to anybody; the writers only word it."""

import msgspec

from rewriter.problems import Place
from rewriter.reporting.results import RegisterTime, StrengthTime
from rewriter.studying.phrasing import PhraseEnd


class PitchPlaces(msgspec.Struct, frozen=True, kw_only=True):
    """The lowest or highest note of a tune, by sound, and where it is.

    Attributes:
        pitch: note name, such as ``F#4``.
        midi: sounding MIDI number (C4 = 60).
        places: of all such notes, in order.
    """

    pitch: str
    midi: float
    places: list[Place]


class PitchTime(msgspec.Struct, frozen=True, kw_only=True):
    """How long a pitch sounds.

    Attributes:
        pitch: note name; black keys as C# Eb F# Ab Bb.
        midi: sounding MIDI number.
        time: of all the time the tune sounds, 0 to 1; a pitch only grace notes have is 0.
        notes: how often it is struck.
    """

    pitch: str
    midi: float
    time: float
    notes: int


class Tessitura(msgspec.Struct, frozen=True, kw_only=True):
    """Where a tune lies by time.

    Attributes:
        average: note name nearest to the mean over its notes by their length.
        average_midi: that mean as a MIDI number.
        low: half of the time is spent between this pitch ...
        high: ... and this one; a quarter lies below it and a quarter above.
        low_midi: the same as a MIDI number.
        high_midi: likewise.
        pitches: all that sound, lowest first.
    """

    average: str
    average_midi: float
    low: str
    high: str
    low_midi: float
    high_midi: float
    pitches: list[PitchTime]


class IntervalCount(msgspec.Struct, frozen=True, kw_only=True):
    """How often a tune moves by an interval.

    Attributes:
        semitones: upward positive.
        notes: how many are reached by it.
    """

    semitones: float
    notes: int


class Motion(msgspec.Struct, frozen=True, kw_only=True):
    """How a tune moves from note to note; grace notes are passed over.

    Attributes:
        rising: how many notes are higher than the one before.
        falling: how many are lower.
        repeated: how many are as high.
        share_rising: of those that are higher or lower, 0 to 1.
        intervals: by size, the widest fall first.
    """

    rising: int
    falling: int
    repeated: int
    share_rising: float
    intervals: list[IntervalCount]


class Leap(msgspec.Struct, frozen=True, kw_only=True):
    """A fifth or more from one note to the next.

    Attributes:
        interval: such as ``up P5``; empty where the file spells no notes.
        semitones: upward positive.
        from_pitch: name of the note it starts from.
        to_pitch: name of the note it leads to.
        place: of the note it leads to.
        over_rest: True where there is silence between them.
    """

    interval: str
    semitones: float
    from_pitch: str
    to_pitch: str
    place: Place
    over_rest: bool


class Phrase(msgspec.Struct, frozen=True, kw_only=True):
    """A phrase of a tune.

    Attributes:
        bars: printed numbers of the bars in which it begins and ends.
        first: place of its first note.
        last: place of its last note.
        notes: how many there are.
        lowest: name of its lowest note.
        highest: name of its highest note.
        average: note name nearest to the mean over its notes by their length.
        ended_by: ``breath`` (a rest, breath mark, caesura, fermata, double bar or repeat),
            ``slur`` (of two bars and more), ``long note`` (long for this tune, behind two
            bars) or ``end``.
    """

    bars: str
    first: Place
    last: Place
    notes: int
    lowest: str
    highest: str
    average: str
    ended_by: PhraseEnd


class Departure(msgspec.Struct, frozen=True, kw_only=True):
    """A moment at which a later statement is not as the first.

    Attributes:
        place: where it is, in the later one.
        has: name of the note that begins there; empty for none.
        first_has: name of the note of the first, moved as this statement is; empty for none.
    """

    place: Place
    has: str
    first_has: str


class Statement(msgspec.Struct, frozen=True, kw_only=True):
    """A stretch of the tune that comes back, the first time or later.

    Attributes:
        number: by time, from 1, counted over all there are.
        returns: number of the statement it returns; its own for a first one.
        bars: printed numbers of the bars in which it begins and ends.
        first: place of its first note.
        last: place of its last note.
        notes: how many there are.
        interval: from the first, such as ``up P4``; empty for none.
        semitones: the same, upward positive.
        lacks_before: notes the first has before what comes back here.
        lacks_behind: notes it has behind.
        departures: what else is not as in the first, in order.
    """

    number: int
    returns: int
    bars: str
    first: Place
    last: Place
    notes: int
    interval: str
    semitones: float
    lacks_before: int
    lacks_behind: int
    departures: list[Departure]


class OctaveFit(msgspec.Struct, frozen=True, kw_only=True):
    """The tune in one section alone at one octave.

    Attributes:
        octave: whole octaves from the tune's sounding pitch.
        sings: how well it suits the section there, as of a line: 1 at best, 0 where it
            carries none, below 0 out of range, down to -10.
        out_of_range: notes beyond the range, those beyond the extreme among them.
        beyond_extreme: notes beyond the extreme or below the lowest string.
        registers: those it sounds in, lowest first, and how long.
    """

    octave: int
    sings: float
    out_of_range: int
    beyond_extreme: int
    registers: list[RegisterTime]


class RegisterFrom(msgspec.Struct, frozen=True, kw_only=True):
    """A register of a section.

    Attributes:
        register: its name, such as ``tenor``.
        from_midi: its lowest note, as a sounding MIDI number; it goes to the next.
    """

    register: str
    from_midi: int


class SectionFit(msgspec.Struct, frozen=True, kw_only=True):
    """A section against the tune.

    Attributes:
        section: its name in the ensemble, such as ``Vn I``.
        low: lowest note of its range, as a sounding MIDI number.
        high: highest note of its range.
        registers: lowest first.
        octaves: those at which more than half of the time is in its range, the highest first.
    """

    section: str
    low: int
    high: int
    registers: list[RegisterFrom]
    octaves: list[OctaveFit]


class Survey(msgspec.Struct, frozen=True, kw_only=True):
    """What there is to know of a tune before it is given to anybody.

    Attributes:
        sketch: as the user named it.
        tune: which staff is the tune, and why.
        ensemble: title of the ensemble whose sections it is held against.
        bars: printed numbers of the first and last bar that was looked at.
        notes: how many the tune has there, tied runs counted once.
        lowest: its lowest note.
        highest: its highest note.
        tessitura: where it lies by time.
        strengths: how strong the music is, softest first.
        motion: how it moves.
        leaps: of a fifth and more, in order.
        phrases: in order.
        statements: by time; empty where nothing comes back.
        sections: in the order of the score.
    """

    sketch: str
    tune: str
    ensemble: str
    bars: str
    notes: int
    lowest: PitchPlaces
    highest: PitchPlaces
    tessitura: Tessitura
    strengths: list[StrengthTime]
    motion: Motion
    leaps: list[Leap]
    phrases: list[Phrase]
    statements: list[Statement]
    sections: list[SectionFit]
