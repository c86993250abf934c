"""Layout files: from TOML, or from a bare stack, to a layout."""

from collections.abc import Sequence
from pathlib import PurePath

import msgspec

from rewriter.problems import Refused
from rewriter.rulefiles.ensembles import Ensemble
from rewriter.rulefiles.layouts import (
    Bound,
    Condition,
    Handover,
    Layout,
    Limits,
    LineDetail,
    With,
)
from rewriter.rulefiles.line_numbers import KeyPath
from rewriter.rulefiles.section_names import section_named, sections_named
from rewriter.rulefiles.shapes import RuleText, Setting
from rewriter.rulefiles.stack import parse_stack
from rewriter.rulefiles.stack_lines import Stack
from rewriter.rulefiles.stack_text import StackFault
from rewriter.rulefiles.words import (
    Chords,
    DynamicText,
    HandoverAt,
    OutOfRange,
    PitchText,
    Words,
)
from rewriter.theory.pitch import parse_pitch


class HandoverFile(msgspec.Struct, forbid_unknown_fields=True):
    """Where the line passes on: above or below a pitch, to whom, and how."""

    to: Words
    above: PitchText | None = None
    below: PitchText | None = None
    at: HandoverAt = "slur"
    leave: bool = False
    dovetail: bool = False


class LineFile(msgspec.Struct, forbid_unknown_fields=True):
    """What the lines of one section do besides playing the tune."""

    handover: HandoverFile | None = None
    marking: str = ""
    dynamic: DynamicText | None = None


class WithFile(msgspec.Struct, forbid_unknown_fields=True, rename={"from_": "from"}):
    """Another staff or voice of the sketch, and the stack that plays it."""

    from_: Words
    to: Words
    chords: Chords = "top"


class ConditionFile(msgspec.Struct, forbid_unknown_fields=True):
    """What a treatise asks for, as sounding pitches, and its reason."""

    because: Words
    winds: bool = False
    violins_from: PitchText | None = None
    violins_to: PitchText | None = None
    violas_from: PitchText | None = None
    violas_to: PitchText | None = None
    cellos_from: PitchText | None = None
    cellos_to: PitchText | None = None
    basses_from: PitchText | None = None
    basses_to: PitchText | None = None


class LimitsFile(msgspec.Struct, forbid_unknown_fields=True):
    """What to do with notes outside a section's range."""

    out_of_range: OutOfRange = "keep"


class LayoutFile(msgspec.Struct, forbid_unknown_fields=True, rename={"with_": "with"}):
    """A layout: a stack, and in what detail its lines are played."""

    stack: Words
    title: str = ""
    summary: str = ""
    source: Words = "common practice, no source"
    character: str = ""
    chords: Chords = "top"
    line: dict[str, LineFile] = {}
    with_: tuple[WithFile, ...] = ()
    condition: ConditionFile | None = None
    limits: LimitsFile = msgspec.field(default_factory=LimitsFile)


_FAMILIES = {
    "violins": "strings.violin",
    "violas": "strings.viola",
    "cellos": "strings.cello",
    "basses": "strings.contrabass",
}


def layout_from_stack(text: str, ensemble: Ensemble) -> Layout:
    """A layout that is nothing but a stack.

    Raises:
        Refused: the text is no stack; the place is the character the mistake begins at.
    """
    try:
        stack = parse_stack(text, ensemble)
    except StackFault as fault:
        raise Refused(
            fault.what,
            fault.remedy,
            place=f"stack, character {fault.position + 1}",
            quotation=fault.quotation,
        ) from None
    return Layout(name=text.strip(), title=text.strip(), stack=stack)


def layout_from_text(text: str, file: str, ensemble: Ensemble) -> Layout:
    """Read a layout file.

    Args:
        text: its content.
        file: how messages name it.
        ensemble: whose sections it may name.

    Raises:
        Refused: every fault in the file, one line each.
    """
    rule = RuleText(text, file)
    read = rule.read(LayoutFile)
    stack = rule.stack(("stack",), read.stack, ensemble)
    others = tuple(
        With(
            source=Setting.of(rule, ("with", index, "from"), one.from_),
            stack=rule.stack(("with", index, "to"), one.to, ensemble),
            chords=one.chords,
        )
        for index, one in enumerate(read.with_)
    )
    line = _lines(rule, read, ensemble, stack, [one.stack for one in others])
    rule.refuse_if_faulty()
    name = PurePath(file).stem
    return Layout(
        name=name,
        title=read.title or name,
        summary=read.summary,
        source=read.source,
        character=read.character,
        stack=stack,
        line=line,
        with_=others,
        condition=_condition(read, ensemble),
        limits=Limits(read.limits.out_of_range),
        chords=read.chords,
    )


def _lines(
    rule: RuleText,
    read: LayoutFile,
    ensemble: Ensemble,
    stack: Stack,
    others: Sequence[Stack],
) -> dict[str, LineDetail]:
    """Line details by section key; faults noted.

    What is handed over is the tune, so a section that has only other staves has nothing to
    hand over.
    """
    lines: dict[str, LineDetail] = {}
    leading = {member.section for member in stack.members}
    playing = leading | {member.section for other in others for member in other.members}
    for name, detail in read.line.items():
        path = ("line", name)
        sections = sections_named(rule, path, name, ensemble)
        for section in sections:
            if section not in playing and playing:
                rule.fault(
                    path, f"{section} plays nothing in this layout", "name it in the stack"
                )
            elif detail.handover is not None and section not in leading and leading:
                what = f"{section} only accompanies in this layout, and the tune is handed over"
                remedy = "name it in the stack too, or take this out"
                rule.fault((*path, "handover"), what, remedy)
            over = (*path, "handover")
            lines[section] = LineDetail(
                handover=None
                if detail.handover is None
                else read_handover(rule, over, detail.handover, section, ensemble),
                marking=detail.marking,
                dynamic=(detail.dynamic or "").strip().replace("\u2212", "-"),
            )
    return lines


def read_handover(
    rule: RuleText, path: KeyPath, read: HandoverFile, giver: str, ensemble: Ensemble
) -> Handover:
    """Where a line passes on; faults are noted.

    Args:
        rule: the file.
        path: of the block in it.
        read: the block.
        giver: key of the section that hands over.
        ensemble: whose sections may receive.
    """
    receiver = section_named(rule, (*path, "to"), read.to, ensemble)
    if receiver and receiver == giver:
        what = f"{giver} would hand over to itself"
        rule.fault((*path, "to"), what, "name another section")
    if read.above is None and read.below is None:
        rule.fault(
            path, "there is no limit", "say above or below which pitch the line passes on"
        )
    return Handover(
        above=maybe_midi(read.above),
        below=maybe_midi(read.below),
        to=receiver,
        at=read.at,
        leave=read.leave,
        dovetail=read.dovetail,
    )


def _condition(read: LayoutFile, ensemble: Ensemble) -> Condition | None:
    if read.condition is None:
        return None
    bounds = []
    for family, sound in _FAMILIES.items():
        low = maybe_midi(getattr(read.condition, f"{family}_from"))
        high = maybe_midi(getattr(read.condition, f"{family}_to"))
        sections = tuple(section.key for section in ensemble.sections if section.sound == sound)
        if sections and (low is not None or high is not None):
            bounds.append(Bound(family=family, sections=sections, low=low, high=high))
    asked = read.condition
    return Condition(
        bounds=tuple(bounds), because=asked.because, source=read.source, winds=asked.winds
    )


def maybe_midi(text: str | None) -> int | None:
    """Sounding MIDI number of a pitch; None for none."""
    return None if text is None else int(parse_pitch(text).midi)
