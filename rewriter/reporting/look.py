"""What there is to say of a sketch before anything is decided about it."""

import msgspec

from rewriter.reporting.results import Compass


class Told(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Something the sketch says.

    Attributes:
        text: what it says.
        bar: printed number of the bar in which it stands, or from which it holds.
        beat: counted from 1; empty at the beginning of the bar.
    """

    text: str
    bar: str
    beat: str = ""


class Words(msgspec.Struct, frozen=True, kw_only=True):
    """Words over or under a staff.

    Attributes:
        text: as they are printed.
        bars: printed numbers of the bars in which they stand, in order.
    """

    text: str
    bars: list[str]


class VoiceLook(msgspec.Struct, frozen=True, kw_only=True):
    """A voice of the sketch that sounds.

    Attributes:
        choice: the voice as `--tune` takes it: `P1`, or `P2 staff 1 voice 2`.
        part: the name of its part; the id where it has none.
        staff: counted from the top of its part.
        voice: its name in the file.
        notes: heads with stems, those of chords and grace notes counted.
        lowest: its lowest note, by sound.
        highest: its highest note, by sound.
        is_tune: True for the one that is taken as the tune.
    """

    choice: str
    part: str
    staff: str
    voice: str
    notes: int
    lowest: Compass
    highest: Compass
    is_tune: bool


class Look(msgspec.Struct, frozen=True, kw_only=True):
    """What a sketch says at a glance.

    Attributes:
        sketch: as the user named it.
        title: as printed at its head; empty for none.
        tune: which staff is the tune, and why; or that nothing is plainly the tune, and what
            to do.
        tune_is_plain: False where nothing is.
        bars: how many.
        numbers: printed numbers of the first and last bar of each run: `0-24`.
        repeated: printed numbers that several bars have.
        pickup: beats in the first bar, where it is an upbeat; empty where it is none.
        movements: printed numbers of the first bars of movements; empty for only one.
        marks: rehearsal marks.
        metres: each with the bar from which it holds.
        keys: by sound, likewise.
        tempi: in words and figures.
        layouts: stacks and names of layouts between square brackets above the tune.
        words: all others, tempo left out.
        voices: in the order of the parts.
        plan: the skeleton of a plan, as TOML, with a passage for each mark.
    """

    sketch: str
    title: str
    tune: str
    tune_is_plain: bool
    bars: int
    numbers: list[str]
    repeated: list[str]
    pickup: str
    movements: list[str]
    marks: list[Told]
    metres: list[Told]
    keys: list[Told]
    tempi: list[Told]
    layouts: list[Told]
    words: list[Words]
    voices: list[VoiceLook]
    plan: str
