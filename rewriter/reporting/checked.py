"""What there is to say of finished scores that were looked at."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import msgspec

from rewriter.problems import Severity  # noqa: TC001 - the schema is made of it
from rewriter.reporting.tune_heard import said_tune

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.problems import Finding

ORDER: tuple[Severity, ...] = ("error", "warning", "advice")
"""Worst first."""


class PartTaken(msgspec.Struct, frozen=True, kw_only=True):
    """A part, and which section it was taken for.

    Attributes:
        part: its id.
        name: as the part list has it.
        sections: that play it, highest first; empty for what is no section.
        share: of the section, such as ``desk 1``; empty where nothing is said of one.
        soloist: one player plays it who is no section.
        family: of the instrument.
        known_by: name, abbreviation, group, sound, order, or told; empty for nothing.
    """

    part: str
    name: str
    sections: tuple[str, ...]
    share: str
    soloist: bool
    family: str
    known_by: str


class Flaw(msgspec.Struct, frozen=True, kw_only=True):
    """A finding in a finished score.

    Attributes:
        score: the file it is in.
        rule: stable id of what was looked at.
        severity: ``error`` makes the exit status 1.
        part: id of the part.
        section: as the ensemble abbreviates it, or the name of a part that is none; empty for
            the whole score.
        movement: counted from 1; 0 in a file of one.
        bar: as printed; empty for the whole score.
        index: the same bar counted from 0 from the beginning of the file; -1 for the whole
            score.
        beat: counted from 1 in the denominator of the printed metre; empty for the whole bar.
        voice: as the file numbers it; empty for all.
        sounds: what sounds there, by note name.
        wants: what the rule wants.
        mend: what would put it right, or why nothing does; empty where its rule never mends.
        message: the sentence for people, without the place.
        mended: True where it has been put right.
    """

    score: str
    rule: str
    severity: Severity
    part: str
    section: str
    movement: int
    bar: str
    index: int
    beat: str
    voice: str
    sounds: str
    wants: str
    mend: str
    message: str
    mended: bool = False


class Checked(msgspec.Struct, frozen=True, kw_only=True):
    """A score that was looked at.

    Attributes:
        score: the file, as it was named.
        bars: how many there are.
        taken: which part was taken for which section.
        taken_text: the same in one row.
        tune: where the tune is, in one row; empty where nobody has told what it is.
        findings: bar by bar, without those that were known before.
        known: how many were.
        signs: by what all of them will be known again, with how many there are of each.
    """

    score: str
    bars: int
    taken: tuple[PartTaken, ...]
    taken_text: str
    tune: str
    findings: tuple[Flaw, ...]
    known: int = 0
    signs: dict[str, int] = {}

    @property
    def has_errors(self) -> bool:
        """True when a finding is an error."""
        return any(one.severity == "error" for one in self.findings)


class LookedAt(msgspec.Struct, frozen=True, kw_only=True):
    """One score of those that were looked at.

    Attributes:
        score: the file, as it was named.
        bars: how many there are.
        taken: which part was taken for which section.
        tune: where the tune is, in one row; empty where nobody has told what it is.
        known: how many findings were known before and are not told again.
    """

    score: str
    bars: int
    taken: tuple[PartTaken, ...]
    tune: str
    known: int


class RefusedScore(msgspec.Struct, frozen=True, kw_only=True):
    """A score that could not be worked with.

    Attributes:
        score: the file, as it was named.
        message: what is wrong and what to do about it.
    """

    score: str
    message: str


class CheckedFiles(msgspec.Struct, frozen=True, kw_only=True):
    """What ``rewriter check --json`` prints.

    Attributes:
        format: tells it from other JSON; its number rises when a field changes its meaning.
        version: version of the tool.
        findings: of all scores, in the order in which they were named, bar by bar.
        scores: those that were looked at.
        refused: those that could not be worked with.
    """

    format: Literal["rewriter findings 1"] = "rewriter findings 1"
    version: str
    findings: tuple[Flaw, ...]
    scores: tuple[LookedAt, ...]
    refused: tuple[RefusedScore, ...]


def checked_of(
    score: Finished, findings: Sequence[Finding], *, known: int, signs: Mapping[str, int]
) -> Checked:
    """What there is to say of a score.

    Args:
        score: as it was looked at.
        findings: that are to be told, in order.
        known: how many others were known before.
        signs: of all of them, with how many there are of each.
    """
    from rewriter.hearing.sections import said_sections

    read = score.score
    return Checked(
        score=read.name,
        bars=max((len(part.bars) for part in read.parts), default=0),
        taken=tuple(
            PartTaken(
                part=part.id,
                name=part.full_name,
                sections=tuple(section.key for section in one.sections),
                share=one.share,
                soloist=one.soloist,
                family=one.family,
                known_by=one.known_by,
            )
            for part, one in zip(read.parts, score.players, strict=True)
        ),
        taken_text=said_sections(read, score.players),
        tune=said_tune(score),
        findings=tuple(flaw(read.name, one) for one in findings),
        known=known,
        signs=dict(signs),
    )


def flaw(score: str, one: Finding) -> Flaw:
    """A finding as it is told of a finished score.

    Args:
        score: the file it is in.
        one: the finding.
    """
    place = one.place
    return Flaw(
        score=score,
        rule=one.rule,
        severity=one.severity,
        part=place.part,
        section=place.who,
        movement=place.movement,
        bar=place.bar,
        index=place.bar_counted - 1,
        beat=place.beat,
        voice=place.voice,
        sounds=one.sounds,
        wants=one.wants,
        mend=one.mend,
        message=one.text,
    )
