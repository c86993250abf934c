"""What there is to say of a finished score that was mended."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import msgspec
from msgspec.structs import replace

from rewriter.checking.runs import joined_runs
from rewriter.editing.edit_kinds import InBar, InHeader
from rewriter.reporting.checked import Flaw, RefusedScore, flaw
from rewriter.reporting.tune_heard import said_tune

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.mending import Done, Mended

PART_LIST = "part-list"


class ChangedBar(msgspec.Struct, frozen=True, kw_only=True):
    """A bar of a part that is not as it was.

    Attributes:
        score: the file it is in.
        part: id of the part.
        section: as the ensemble abbreviates it, or the name of a part that is none.
        movement: counted from 1; 0 in a file of one.
        bar: as printed.
        index: the same bar counted from 0 from the beginning of the file.
        what: was done, and by which rule.
    """

    score: str
    part: str
    section: str
    movement: int
    bar: str
    index: int
    what: str


class Enforced(msgspec.Struct, frozen=True, kw_only=True):
    """A score that was mended.

    Attributes:
        score: the file, as it was named.
        taken_text: which part was taken for which section, in one row.
        tune: where the tune is, in one row; empty where nobody has told what it is.
        findings: before mending, in the order of the bars; of those that were mended it is
            said.
        changed: bars that are not as they were, in the order of parts and bars.
        part_list: True where the list of parts was mended.
    """

    score: str
    taken_text: str
    tune: str
    findings: tuple[Flaw, ...]
    changed: tuple[ChangedBar, ...]
    part_list: bool

    @property
    def has_errors(self) -> bool:
        """True when an error is left."""
        return any(one.severity == "error" and not one.mended for one in self.findings)


class EnforcedScore(msgspec.Struct, frozen=True, kw_only=True):
    """One score of those that were mended.

    Attributes:
        score: the file, as it was named.
        tune: where the tune is, in one row; empty where nobody has told what it is.
        written_to: the file that was written; empty where nothing was to be mended.
        part_list: True where its list of parts was mended.
    """

    score: str
    tune: str
    written_to: str
    part_list: bool


class EnforcedFiles(msgspec.Struct, frozen=True, kw_only=True):
    """What ``rewriter enforce --json`` prints.

    Attributes:
        format: tells it from other JSON; its number rises when a field changes its meaning.
        version: version of the tool.
        findings: of all scores before mending, in the order in which they were named.
        changed: bars of all scores that are not as they were.
        part_list: True where a list of parts was mended.
        scores: those that were looked at.
        refused: those that could not be worked with.
    """

    format: Literal["rewriter mends 1"] = "rewriter mends 1"
    version: str
    findings: tuple[Flaw, ...]
    changed: tuple[ChangedBar, ...]
    part_list: bool
    scores: tuple[EnforcedScore, ...]
    refused: tuple[RefusedScore, ...]


def enforced_of(mended: Mended, in_runs: frozenset[str]) -> Enforced:
    """What there is to say of a score.

    Args:
        mended: the score, and what was done.
        in_runs: ids of the rules whose findings come in runs.
    """
    from rewriter.hearing.sections import said_sections

    score = mended.before
    name = score.score.name
    done = [replace(one.finding, mend=one.what) for one in mended.done]
    findings = [
        *(replace(flaw(name, one), mended=True) for one in joined_runs(done, in_runs)),
        *(flaw(name, one) for one in joined_runs(mended.left, in_runs)),
    ]
    order = {part.id: at for at, part in enumerate(score.score.parts)}
    return Enforced(
        score=name,
        taken_text=said_sections(score.score, score.players),
        tune=said_tune(score),
        findings=tuple(
            sorted(findings, key=lambda one: (one.index, order.get(one.part, -1), one.rule))
        ),
        changed=tuple(_changed(mended)),
        part_list=any(
            isinstance(where, InHeader) and where.of in {"", PART_LIST}
            for one in mended.done
            for where in one.places
        ),
    )


def _changed(mended: Mended) -> Iterator[ChangedBar]:
    score = mended.before
    said: dict[tuple[int, int], list[str]] = {}
    for part, bar, one in _bars(mended.done):
        said.setdefault((part, bar), []).append(f"{one.what} [{one.finding.rule}]")
    for (part, bar), whats in sorted(said.items()):
        place = score.place(part, bar)
        yield ChangedBar(
            score=score.score.name,
            part=place.part,
            section=place.section,
            movement=place.movement,
            bar=place.bar,
            index=bar,
            what="; ".join(dict.fromkeys(whats)),
        )


def _bars(done: Sequence[Done]) -> Iterator[tuple[int, int, Done]]:
    for one in done:
        for where in one.places:
            if isinstance(where, InBar):
                yield where.part, where.bar, one
