"""What an expansion has to say for itself; the text and JSON writers only word it."""

import msgspec

from rewriter.problems import Finding


class Compass(msgspec.Struct, frozen=True):
    """The lowest or highest note of a line, by sound.

    Attributes:
        pitch: note name, such as ``F#4``.
        midi: sounding MIDI number (C4 = 60).
        bars: printed numbers of the bars that have it, in order.
    """

    pitch: str
    midi: float
    bars: list[str]


class RegisterShare(msgspec.Struct, frozen=True):
    """How much of a line's sounding time lies in one register (0 to 1)."""

    register: str
    share: float


class LineResult(msgspec.Struct, frozen=True, kw_only=True):
    """One section, or part of one, carrying one thing at one octave over one passage.

    Attributes:
        section: the ensemble's abbreviation, such as ``Vn I``.
        share: ``""`` for the whole section, else ``half``, ``third``, ``desk 1``, ``solo``, ...
        strength: how many play it.
        octave: whole octaves from the tune's sounding pitch.
        level: 0 for the top octave of the layout, counting down, empty octaves counted too.
        source: name of the staff of the sketch whose notes it carries.
        is_tune: True when that is the tune.
        taken_from: for a line handed over, whose it was; else empty.
        bars: printed numbers of the first and last bar, such as ``1-32``.
        fitness: mean over the notes weighted by length, as they are written in the end, after
            handovers and with notes moved or silenced; -10 to 1.
        lowest: None where the line has no note.
        highest: None where the line has no note.
        registers: shares of the sounding time, lowest register first; unused ones left out.
        notes: how many notes the line plays, tied runs counted once.
        passage: which of the report's `placed` it belongs to, from 0.
    """

    section: str
    share: str
    strength: float
    octave: int
    level: int
    source: str
    is_tune: bool
    taken_from: str
    bars: str
    fitness: float
    lowest: Compass | None
    highest: Compass | None
    registers: list[RegisterShare]
    notes: int
    passage: int


class StackLine(msgspec.Struct, frozen=True, kw_only=True):
    """One line of a stack as it was placed.

    Attributes:
        section: the ensemble's abbreviation.
        share: as the stack names it; empty for the whole section.
        octave: whole octaves from the tune's sounding pitch.
        fitness: mean over the notes of the whole statement, weighted by length, before
            anything was handed over, moved or silenced; what the reasons speak of. -10 to 1.
    """

    section: str
    share: str
    octave: int
    fitness: float


class PlacedStack(msgspec.Struct, frozen=True, kw_only=True):
    """Where one stack was put.

    Attributes:
        bars: printed numbers of the first and last bar of its passage.
        from_beat: where it begins within its first bar; empty at the beginning of the bar.
        to_beat: the first beat of its last bar behind it; empty where it goes to the barline.
        layout: the layout's title, or the stack itself.
        bare: the stack as it was written, without the octave found.
        stack: the stack with the octave words it was given or found, such as
            ``Vn I 8va / Vn II + Vla / Vc``.
        moved: the interval its music is moved by, such as ``up m3``; empty for none.
        key: the key it begins in, such as ``Eb major``; of a sketch without modes the tonic
            that the signature has in major, such as ``Eb``.
        anchored: True when the rule file or the user named the octave.
        why: one sentence, for people.
        runner_up: one sentence; empty when anchored.
        lines: of the stack, top down, with the figures that `why` and `runner_up` speak of.
    """

    bars: str
    from_beat: str
    to_beat: str
    layout: str
    stack: str
    bare: str
    moved: str
    key: str
    anchored: bool
    why: str
    runner_up: str
    lines: list[StackLine]


class Report(msgspec.Struct, frozen=True, kw_only=True):
    """The whole account of one expansion.

    Attributes:
        sketch: the sketch file as the user named it.
        tune: which staff was taken as the tune and why, one sentence.
        ensemble: title of the ensemble.
        plan: title of the plan, or that it stands in the sketch; empty for one layout.
        bars: number of bars.
        placed: one for each passage, in the order of the score.
        lines: one for each line, score order.
        resting: sections that play nothing.
        carried: what of the tune went into the lines, kind → count (``slurs``, ``ties``,
            ``dynamics``, ``hairpins``, ...); kinds with none left out.
        dropped: what of the sketch was left behind on purpose, kind → count.
        not_carried: staves and voices of the sketch that nothing plays.
        notes: other things worth saying, one sentence each (mode assumed ...).
        findings: every finding: about the whole, then passage by passage, line by line.
    """

    sketch: str
    tune: str
    ensemble: str
    plan: str
    bars: int
    placed: list[PlacedStack]
    lines: list[LineResult]
    resting: list[str]
    carried: dict[str, int]
    dropped: dict[str, int]
    not_carried: list[str]
    notes: list[str]
    findings: list[Finding]

    @property
    def has_errors(self) -> bool:
        """True when a finding is at error level; the exit status is then 1."""
        return any(finding.severity == "error" for finding in self.findings)
