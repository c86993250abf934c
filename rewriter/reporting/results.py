"""What an expansion has to say for itself; the text and JSON writers only word it."""

import msgspec

from rewriter.problems import Finding
from rewriter.rulefiles.words import RegisterSet
from rewriter.theory.dynamics import Strength


class Compass(msgspec.Struct, frozen=True):
    """The lowest or highest note of a line, by sound.

    Attributes:
        pitch: note name, such as ``F#4``.
        midi: sounding MIDI number (C4 = 60).
        bars: printed numbers of the bars that have it, in order.
        movements: which movement each of them is in, counted from 1; empty where there is only
            one.
    """

    pitch: str
    midi: float
    bars: list[str]
    movements: list[int] = []


class RegisterTime(msgspec.Struct, frozen=True):
    """How long a line stays in one register.

    Attributes:
        register: its name, such as ``tenor``.
        time: of all the time the line sounds, 0 to 1.
    """

    register: str
    time: float


class StrengthTime(msgspec.Struct, frozen=True):
    """How long the tune is so strong.

    Attributes:
        strength: ``soft`` is p and below, ``full`` f and above, ``plain`` what lies between
            and music without dynamics; a hairpin counts as what it leads to from its middle.
        time: of all the time the tune sounds, above 0, to 1.
    """

    strength: Strength
    time: float


class Usual(msgspec.Struct, frozen=True):
    """How usual the place of a line is in the repertory that the measured registers are of.

    Attributes:
        as_high: of a hundred tunes of the section, how many lie as high on average.
        up_to: of a hundred, how many go as high at the top.
    """

    as_high: int
    up_to: int


class LineResult(msgspec.Struct, frozen=True, kw_only=True):
    """One section, or a share of one, with one thing to play at one octave over one passage.

    Attributes:
        section: its name in the ensemble, such as ``Vn I``.
        share: of the section; empty for all of it, else ``half``, ``third``, ``desk 1``,
            ``solo``, ...
        players: how many play it; not always whole, since a section may not divide evenly.
        octave: whole octaves from the tune's sounding pitch: 1 for 8va, 0 for loco, -1 for 8vb.
        octaves_below_top: of the layout, 0 at the top; octaves that nobody plays count too.
        plays: name of the staff of the sketch whose notes it has.
        is_tune: True when these are those of the tune.
        handed_over_by: whose line it was before a handover; empty where there was none.
        bars: printed numbers of the first and last bar, such as ``1-32``.
        sings: how well it suits the tune where it lies as it is written in the end, after
            handovers and with notes moved or silenced: 1 at best, 0 where it carries none,
            below 0 out of range, down to -10; the mean over its notes by their length.
        lowest: its lowest note; None where the line has no note.
        highest: its highest note; None where the line has no note.
        registers: those it sounds in, lowest first, and how long.
        usual: how usual it is that the section carries a tune there; None for a line that is
            not the tune, and where nothing was measured.
        notes: how many notes the line plays, tied runs counted once.
        passage: which of the report's `passages` it belongs to, from 0.
    """

    section: str
    share: str
    players: float
    octave: int
    octaves_below_top: int
    plays: str
    is_tune: bool
    handed_over_by: str
    bars: str
    sings: float
    lowest: Compass | None
    highest: Compass | None
    registers: list[RegisterTime]
    usual: Usual | None
    notes: int
    passage: int


class StackLine(msgspec.Struct, frozen=True, kw_only=True):
    """One line of a stack as it was placed.

    Attributes:
        section: its name in the ensemble, such as ``Vn I``.
        share: of the section, as the stack names it; empty for all of it.
        octave: whole octaves from the tune's sounding pitch.
        sings: how well it suits the whole statement of the tune there, before anything was
            handed over, moved or silenced, which is what `why` and `runner_up` speak of: 1 at
            best, 0 where it carries none, below 0 out of range, down to -10.
    """

    section: str
    share: str
    octave: int
    sings: float


class PassageResult(msgspec.Struct, frozen=True, kw_only=True):
    """One passage: who plays, and where the stack was put.

    Attributes:
        bars: printed numbers of its first and last bar.
        movement: of its first bar, counted from 1; 0 where there is only one.
        to_movement: of its last bar, likewise.
        from_beat: where it begins within its first bar; empty at the beginning of the bar.
        to_beat: the first beat of its last bar behind it; empty where it goes to the barline.
        layout: the layout's title, or the stack itself.
        stack_as_written: the same without an octave that the tool found.
        stack: the stack with the octave words it was given or found, such as
            ``Vn I 8va / Vn II + Vla / Vc``.
        by: the interval its music is moved by, such as ``up m3``; empty for none.
        key: the key it begins in, such as ``Eb major``; of a sketch without modes the tonic
            that the signature has in major, such as ``Eb``.
        octave_named: True when the rule file or the user named the octave.
        why: for what reason the stack stands in its octave, one sentence.
        runner_up: the next best octave, and what it would have cost; empty where the octave
            is named.
        lines: of the stack, top down, with the figures that `why` and `runner_up` speak of.
        strengths: of the statement of the tune that the stack was placed for, softest first.
        octave_as_plain: octave of the top line, were there no dynamics; None where the octave
            is named.
        placed_by: the set of registers that placed the stack: ``singing``, in which sections
            sing, or ``measured``, in which the repertory puts its tunes.
        octave_by_other: octave of the top line by the other set; None where it is named.
    """

    bars: str
    movement: int = 0
    to_movement: int = 0
    from_beat: str
    to_beat: str
    layout: str
    stack: str
    stack_as_written: str
    by: str
    key: str
    octave_named: bool
    why: str
    runner_up: str
    lines: list[StackLine]
    strengths: list[StrengthTime]
    octave_as_plain: int | None
    placed_by: RegisterSet
    octave_by_other: int | None


class Report(msgspec.Struct, frozen=True, kw_only=True):
    """The whole account of one expansion.

    Attributes:
        sketch: the sketch file as the user named it.
        tune: which staff was taken as the tune and why, one sentence.
        ensemble: title of the ensemble.
        plan: title of the plan, or that it stands in the sketch; empty for one layout.
        bars: number of bars.
        passages: in the order of the score; one where one layout is for the whole cue.
        lines: those of all passages, one passage after the other, in the order of the score.
        tacet: sections that play nothing.
        kept: what of the sketch is in the score, kind → count (``slurs``, ``ties``,
            ``dynamics``, ``hairpins``, ...).
        dropped: what of the sketch is not in the score, on purpose, kind → count.
        not_played: staves and voices of the sketch that nobody plays.
        remarks: what else is worth saying, one sentence each (mode assumed ...).
        findings: every finding: about the whole, then passage by passage, line by line.
    """

    sketch: str
    tune: str
    ensemble: str
    plan: str
    bars: int
    passages: list[PassageResult]
    lines: list[LineResult]
    tacet: list[str]
    kept: dict[str, int]
    dropped: dict[str, int]
    not_played: list[str]
    remarks: list[str]
    findings: list[Finding]

    @property
    def has_errors(self) -> bool:
        """True when a finding is an error; the exit status is then 1."""
        return any(finding.severity == "error" for finding in self.findings)
