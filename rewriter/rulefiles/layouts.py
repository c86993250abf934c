"""Layouts: a stack, and in what detail its lines are played."""

import msgspec

from rewriter.rulefiles.stack_lines import Stack
from rewriter.rulefiles.words import Chords, HandoverAt, OutOfRange


class Handover(msgspec.Struct, frozen=True, kw_only=True):
    """A line passes to another section while it is past a limit.

    Attributes:
        above: passes on above this sounding MIDI number; None for no upper limit.
        below: passes on below this sounding MIDI number; None for no lower limit.
        to: key of the receiving section.
        at: what the run of notes is widened to.
        leave: True when the receiver may leave its own line for the run.
        dovetail: True when both play the joining notes.
    """

    above: int | None
    below: int | None
    to: str
    at: HandoverAt = "slur"
    leave: bool = False
    dovetail: bool = False


class LineDetail(msgspec.Struct, frozen=True, kw_only=True):
    """What the lines of one section do besides playing the tune.

    Attributes:
        handover: None for none.
        marking: words at the start of the line, such as ``espr.``.
        dynamic: ``mf`` (absolute), ``-1`` or ``+1`` (steps from the tune's), or empty.
    """

    handover: Handover | None = None
    marking: str = ""
    dynamic: str = ""


class With(msgspec.Struct, frozen=True, kw_only=True):
    """Another staff or voice of the sketch, and what plays it.

    Attributes:
        source: sketch part name or id, ``staff 3``, or ``voice 2 of staff 1``.
        stack: who plays it.
        chords: top note only, or dealt out among the lines top down.
    """

    source: str
    stack: Stack
    chords: Chords = "top"


class Bound(msgspec.Struct, frozen=True, kw_only=True):
    """Where a treatise wants a family's lines to sound.

    Attributes:
        family: ``violins``, ``violas``, ``cellos`` or ``basses``.
        sections: keys of the ensemble's sections of that family.
        low: lowest sounding MIDI number, or None.
        high: highest sounding MIDI number, or None.
    """

    family: str
    sections: tuple[str, ...]
    low: int | None
    high: int | None


class Condition(msgspec.Struct, frozen=True, kw_only=True):
    """What a treatise asks for; a breach is advice.

    Attributes:
        bounds: violins first, basses last.
        because: why, the treatise paraphrased.
        source: book, chapter, page; the layout's own.
        winds: True where woodwind that double the sections make up for a breach.
    """

    bounds: tuple[Bound, ...]
    because: str
    source: str
    winds: bool = False


class Limits(msgspec.Struct, frozen=True):
    """What to do with notes outside a section's range."""

    out_of_range: OutOfRange = "keep"


class Layout(msgspec.Struct, frozen=True, kw_only=True):
    """Which section plays the tune in which octave, and how sections divide.

    Attributes:
        name: file name without ``.toml``; the stack itself for a bare stack.
        title: for people; the stack itself for a bare stack.
        summary: one sentence.
        source: book, chapter, page, or ``common practice, no source``.
        character: how it sounds.
        stack: the stack, read.
        line: detail by section key.
        with_: what else plays.
        condition: None where no treatise states one.
        limits: what to do out of range.
        chords: chords in the tune: top note only, or divide the section.
    """

    name: str
    title: str
    summary: str = ""
    source: str = ""
    character: str = ""
    stack: Stack
    line: dict[str, LineDetail] = {}
    with_: tuple[With, ...] = ()
    condition: Condition | None = None
    limits: Limits = Limits()
    chords: Chords = "top"
