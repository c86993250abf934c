"""``[[scoring]]`` of a house file: from TOML to rules about the layout itself."""

import re
from pathlib import Path
from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from rewriter.problems import Refused, Severity
from rewriter.rulefiles.ensembles import Ensemble
from rewriter.rulefiles.houses import Doubling, Handing, Scoring, Where
from rewriter.rulefiles.layout_files import HandoverFile, maybe_midi, read_handover
from rewriter.rulefiles.layouts import Layout
from rewriter.rulefiles.loading import resolve_layout
from rewriter.rulefiles.plan_files import read_stretch
from rewriter.rulefiles.section_names import section_named, sections_named
from rewriter.rulefiles.shapes import RuleText
from rewriter.rulefiles.shelf import beside
from rewriter.rulefiles.words import HouseSeverity, PitchText, StrengthText, Words
from rewriter.theory.dynamics import loudness

Statement = Annotated[int, Meta(ge=1, le=999)] | Literal["last"]
Levels = Annotated[int, Meta(ge=1, le=9)]

_WITH = re.compile(r"\s+with\s+", re.IGNORECASE)

_ASKED = (
    "want", "levels_at_least", "levels_at_most", "broader_than", "must_play", "must_not_play",
    "double", "handover",
)  # fmt: skip
"""What a block may ask for, of which it must ask something."""


class WhereFile(
    msgspec.Struct, forbid_unknown_fields=True, kw_only=True, rename={"from_": "from"}
):
    """Where a rule of scoring holds: all that is said must be so."""

    bars: Words | None = None
    from_: Words | None = None
    to: Words | None = None
    statement: Statement | None = None
    dynamic_at_least: StrengthText | None = None
    dynamic_at_most: StrengthText | None = None
    tune_in: Words | None = None
    above: PitchText | None = None
    below: PitchText | None = None


class HandingFile(HandoverFile, forbid_unknown_fields=True, kw_only=True):
    """Which section hands over, above or below a pitch, to whom, and how."""

    section: Words


class ScoringFile(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """A rule about the layout itself: where it holds, and what is asked for there."""

    where: WhereFile = msgspec.field(default_factory=WhereFile)
    want: Words | None = None
    levels_at_least: Levels | None = None
    levels_at_most: Levels | None = None
    broader_than: Literal["previous statement"] | None = None
    must_play: tuple[Words, ...] = ()
    must_not_play: tuple[Words, ...] = ()
    double: Words | None = None
    handover: HandingFile | None = None
    replace: bool = False
    severity: HouseSeverity = "warning"
    why: str = ""


def read_scoring(
    rule: RuleText, blocks: tuple[ScoringFile, ...], ensemble: Ensemble, folder: Path
) -> tuple[Scoring, ...]:
    """What a file asks of the scoring; faults are noted, and what is off is left out.

    Args:
        rule: the file.
        blocks: of it.
        ensemble: whose sections are named.
        folder: layout files named in it are looked for here, then in the current folder.
    """
    read = [_Reader(rule, index, one, ensemble) for index, one in enumerate(blocks)]
    return tuple(
        one.scoring(block.severity, folder)
        for one, block in zip(read, blocks, strict=True)
        if block.severity != "off"
    )


class _Reader:
    """One block on its way to a rule of scoring."""

    def __init__(
        self, rule: RuleText, index: int, read: ScoringFile, ensemble: Ensemble
    ) -> None:
        self._rule = rule
        self._read = read
        self._ensemble = ensemble
        self._path = ("scoring", index)

    def scoring(self, severity: Severity, folder: Path) -> Scoring:
        """The rule, and its faults noted."""
        read = self._read
        self._look_whole()
        found = Scoring(
            place=self._rule.place(self._path),
            where=self._where(read.where),
            want=self._want(folder),
            levels_at_least=read.levels_at_least,
            levels_at_most=read.levels_at_most,
            broader=read.broader_than is not None,
            must_play=self._sections("must_play", read.must_play),
            must_not_play=self._sections("must_not_play", read.must_not_play),
            double=self._double(),
            handover=self._handover(),
            replace=read.replace,
            severity=severity,
            why=read.why,
        )
        self._look_at_contradictions(found)
        return found

    def _fault(self, what: str, remedy: str = "", *keys: str) -> None:
        self._rule.fault((*self._path, *keys), what, remedy)

    def _look_whole(self) -> None:
        """Note what asks for nothing, or changes nothing and is to replace something."""
        read = self._read
        if not any(getattr(read, name) for name in _ASKED):
            self._fault("nothing is asked for here", f"write one of {', '.join(_ASKED)}")
        elif read.replace and not (read.want or read.double or read.handover):
            what = "nothing here is written, so nothing can be replaced"
            self._fault(what, "add want, double or handover", "replace")

    def _where(self, read: WhereFile) -> Where:
        path = (*self._path, "where")
        start = stop = None
        if read.bars or read.from_ or read.to:
            start, stop = read_stretch(self._rule, path, read, "this")
        low, high = read.dynamic_at_least or "", read.dynamic_at_most or ""
        if low and high and loudness(low) > loudness(high):
            self._fault(f"no dynamic is at least {low} and at most {high}", "", "where")
        above, below = maybe_midi(read.above), maybe_midi(read.below)
        if above is not None and below is not None and above + 1 >= below:
            self._fault(f"no note is above {read.above} and below {read.below}", "", "where")
        tune_in = read.tune_in
        return Where(
            start=start,
            stop=stop,
            by_bars=read.bars is not None,
            statement=read.statement,
            dynamic_at_least=low,
            dynamic_at_most=high,
            tune_in=self._section(tune_in, "where", "tune_in") if tune_in else "",
            above=above,
            below=below,
        )

    def _section(self, name: str, *keys: str) -> str:
        return section_named(self._rule, (*self._path, *keys), name, self._ensemble)

    def _sections(self, key: str, names: tuple[str, ...]) -> tuple[str, ...]:
        """Keys of sections in a list, each once."""
        found = [
            section
            for index, name in enumerate(names)
            for section in sections_named(
                self._rule, (*self._path, key, index), name, self._ensemble
            )
        ]
        return tuple(dict.fromkeys(found))

    def _want(self, folder: Path) -> Layout | None:
        if self._read.want is None:
            return None
        try:
            return resolve_layout(beside(self._read.want, folder), self._ensemble)
        except Refused as fault:
            if fault.remedy.startswith("name it with --"):
                fault.remedy = "want is a layout or a stack"
            self._rule.refused((*self._path, "want"), fault)
            return None

    def _double(self) -> Doubling | None:
        text = self._read.double
        if text is None:
            return None
        path = (*self._path, "double")
        parts = _WITH.split(text.strip())
        if len(parts) != 2:  # noqa: PLR2004 - who, and with whom
            what = f'"{text}" does not say who doubles whom'
            self._rule.fault(path, what, 'write it like "Vla with Vn II"')
            return None
        doubling = sections_named(self._rule, path, parts[0], self._ensemble)
        leading = section_named(self._rule, path, parts[1], self._ensemble)
        if leading in doubling:
            self._rule.fault(path, f"{leading} would double itself", "name another section")
        return Doubling(tuple(doubling), leading)

    def _handover(self) -> Handing | None:
        read = self._read.handover
        if read is None:
            return None
        path = (*self._path, "handover")
        giver = self._section(read.section, "handover", "section")
        return Handing(giver, read_handover(self._rule, path, read, giver, self._ensemble))

    def _look_at_contradictions(self, found: Scoring) -> None:
        """Note what cannot be had together."""
        least, most = found.levels_at_least or 1, found.levels_at_most or 9
        if least > most:
            self._fault(f"no layout has at least {least} levels and at most {most}")
        for section in found.must_play:
            if section in found.must_not_play:
                self._fault(f"{section} must play and must not", "keep one of the two")
        if found.want is None:
            return
        levels = len(found.want.stack.levels)
        if levels and not least <= levels <= most:
            limit = f"at least {least}" if levels < least else f"at most {most}"
            self._fault(f"it has {levels} levels, and {limit} are asked for", "", "want")
        stacks = (found.want.stack, *(one.stack for one in found.want.with_))
        playing = {member.section for stack in stacks for member in stack.members}
        for section in found.must_play:
            if playing and section not in playing:
                self._fault(f"{section} must play, and plays nothing in it", "", "want")
        for section in found.must_not_play:
            if section in playing:
                self._fault(f"{section} must not play, and plays in it", "", "want")
