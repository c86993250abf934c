"""Plan files: from TOML to the passages of a cue."""

import re
from fractions import Fraction
from pathlib import Path
from typing import Annotated, Protocol

import msgspec
from msgspec import Meta

from rewriter.problems import Refused
from rewriter.rulefiles.ensembles import Ensemble
from rewriter.rulefiles.layout_files import layout_from_stack
from rewriter.rulefiles.layouts import Layout
from rewriter.rulefiles.line_numbers import KeyPath
from rewriter.rulefiles.loading import resolve_layout
from rewriter.rulefiles.moves import read_move, tried
from rewriter.rulefiles.plans import Passage, Plan, Point, parse_bars
from rewriter.rulefiles.shapes import RuleText
from rewriter.rulefiles.shelf import beside, find_rule, shown
from rewriter.rulefiles.stack_text import StackFault, tokens_of
from rewriter.rulefiles.words import Chords, Words

_BEAT = re.compile(r"\sbeat\s+([0-9]{1,9}(?:\.[0-9]{1,9})?)$", re.IGNORECASE)


class PassageFile(msgspec.Struct, forbid_unknown_fields=True, rename={"from_": "from"}):
    """Bars, or from and to; a layout or a stack; and what else is different here."""

    bars: Words | None = None
    from_: Words | None = None
    to: Words | None = None
    pickup: Annotated[float, Meta(ge=0, le=99)] = 0
    layout: Words | None = None
    stack: Words | None = None
    octave: Words | None = None
    key: Words | None = None
    by: Words | None = None
    up: bool = False
    down: bool = False
    chords: Chords | None = None


class PlanFile(msgspec.Struct, forbid_unknown_fields=True):
    """A plan: which passage is played in which layout."""

    title: str = ""
    summary: str = ""
    source: str = ""
    passage: tuple[PassageFile, ...] = ()


def load_plan(name_or_path: str, ensemble: Ensemble) -> Plan:
    """The plan by name or file.

    Raises:
        Refused: no such plan, or the file has faults.
    """
    path, text = find_rule("plans", name_or_path)
    return plan_from_text(text, shown(path), ensemble, folder=path.parent)


def plan_from_text(text: str, file: str, ensemble: Ensemble, *, folder: Path) -> Plan:
    """Read a plan file.

    Args:
        text: its content.
        file: how messages name it.
        ensemble: whose sections its stacks may name.
        folder: layout files named in it are looked for here, then in the current folder.

    Raises:
        Refused: every fault in the file, one line each.
    """
    rule = RuleText(text, file)
    read = rule.read(PlanFile)
    if not read.passage:
        rule.fault(("passage",), "there is no passage", "add [[passage]] with bars and layout")
    passages = [
        _passage(rule, index, one, ensemble, folder) for index, one in enumerate(read.passage)
    ]
    rule.refuse_if_faulty()
    name = Path(file).stem
    return Plan(
        name=name,
        file=file,
        title=read.title or name,
        summary=read.summary,
        source=read.source,
        passages=tuple(passage for passage in passages if passage is not None),
    )


def _passage(
    rule: RuleText, index: int, read: PassageFile, ensemble: Ensemble, folder: Path
) -> Passage | None:
    """A passage, or None and its faults noted."""
    path: KeyPath = ("passage", index)
    start, stop = read_stretch(rule, path, read, "this passage")
    layout = _layout(rule, path, read, ensemble, folder)
    move = read_move(rule, path, read)
    octave = tried(rule, (*path, "octave"), _octave, read.octave)
    if start is None or stop is None or layout is None:
        return None
    return Passage(
        index=index,
        start=start,
        stop=stop,
        by_bars=read.bars is not None,
        pickup=Fraction(str(read.pickup)),
        layout=layout,
        octave=octave,
        key=move.key,
        by=move.by,
        direction=move.direction,
        chords=read.chords,
    )


class SaysStretch(Protocol):
    """A block with these settings."""

    bars: str | None
    from_: str | None
    to: str | None


def read_stretch(
    rule: RuleText, path: KeyPath, read: SaysStretch, what: str
) -> tuple[Point, Point] | tuple[None, None]:
    """Where a stretch of a score begins and ends; None and None, and faults noted, for none.

    Args:
        rule: the file.
        path: of the block in it.
        read: the block.
        what: the stretch, for messages: ``this passage``.
    """
    if read.bars is not None:
        if read.from_ is not None or read.to is not None:
            rule.fault(path, "bars and from or to stand together", "keep one of the two")
        return _bars(rule, (*path, "bars"), read.bars)
    if read.from_ is None or read.to is None:
        nothing = f"nothing says which bars {what} is"
        rule.fault(path, nothing, 'write bars = "1-8", or both from and to')
        return None, None
    return _point(read.from_), _point(read.to)


def _bars(rule: RuleText, path: KeyPath, text: str) -> tuple[Point, Point] | tuple[None, None]:
    named = parse_bars(text)
    if named is None:
        remedy = 'write it like "1-8" or "5", or from and to for marks and beats'
        rule.fault(path, f'"{text}" names no bars', remedy)
        return None, None
    first, last = named
    if {first.lower(), last.lower()} & {"start", "end"}:
        what = "start and end do not go with bars"
        rule.fault(path, what, f'write from = "{first}" and to = "{last}"')
        return None, None
    return Point("named", first), Point("named", last)


def _point(text: str) -> Point:
    name, counted = text.strip(), None
    if match := _BEAT.search(name):
        name, counted = name[: match.start()].strip(), Fraction(match[1])
    if name.lower() == "start":
        return Point("start", "", counted)
    if name.lower() == "end":
        return Point("end", "", counted)
    return Point("named", name, counted)


def _layout(
    rule: RuleText, path: KeyPath, read: PassageFile, ensemble: Ensemble, folder: Path
) -> Layout | None:
    if read.layout is not None and read.stack is not None:
        rule.fault(path, "layout and stack stand together", "keep one of the two")
        return None
    try:
        if read.stack is not None:
            return layout_from_stack(read.stack, ensemble)
        if read.layout is not None:
            return resolve_layout(beside(read.layout, folder), ensemble)
    except Refused as fault:
        if fault.remedy.startswith("name it with --"):
            fault.remedy = "a passage has a layout or a stack"
        rule.refused((*path, "layout" if read.stack is None else "stack"), fault)
        return None
    rule.fault(path, "nothing says who plays here", "write layout or stack")
    return None


def _octave(text: str) -> int:
    """Octaves that an octave word means.

    Raises:
        ValueError: it is none.
    """
    try:
        tokens = tokens_of(text)
    except StackFault:
        tokens = []
    if [token.kind for token in tokens] != ["octave", "end"]:
        raise ValueError(f'"{text}" is no octave; write it like 8va, loco or octave +2')
    return tokens[0].octave
