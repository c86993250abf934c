"""One score mended by every rule, and all that may be wrong with that."""

import traceback
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations
from pathlib import Path
from typing import NamedTuple

from lxml import etree

import rewriter
from rewriter.checking.rules import RULES
from rewriter.problems import Refused
from rewriter.reporting.checked import Flaw
from tests.corpus.trying import Trouble
from tests.enforcing.bytes_outside import PART_LIST, changed_outside, unzipped
from tests.enforcing.dressing import DRESSES
from tests.outside.reference import score_root
from tests.outside.schema import faults

MENDING = [rule.id for rule in RULES if rule.mend is not None]
AS_STRINGS = (
    (),
    ("Vn I",),
    ("Vn I", "Vc"),
    ("Vn I", "Vla", "Vc"),
    ("Vn I", "Vn II", "Vla", "Vc"),
    ("Vn I", "Vn II", "Vla", "Vc", "Db"),
)


class Asked(NamedTuple):
    """A score, and how it is to be looked at.

    Attributes:
        name: for messages.
        data: of the file.
        sections: told.
        house: its rules.
    """

    name: str
    data: bytes
    sections: tuple[str, ...] = ()
    house: str = "strict"

    def mended(self, data: bytes, only: Sequence[str] = ()) -> rewriter.Enforcement:
        return rewriter.enforce(data, house=self.house, sections=self.sections, only=only)

    def told_as_strings(self) -> "Asked":
        """The same, its first parts taken for string sections from the top."""
        parts = [str(part.get("id")) for part in score_root(self.data).findall("part")]
        names = AS_STRINGS[min(len(parts), len(AS_STRINGS) - 1)]
        told = tuple(f"{part}={name}" for part, name in zip(parts, names, strict=False))
        return self._replace(name=f"{self.name} as strings", sections=told)


def asked_of(path: Path) -> list[Asked]:
    """A piece as it is, and as if strings played it."""
    plain = Asked(path.name, path.read_bytes())
    return [plain, plain.told_as_strings()]


def troubles_of(
    asked: Asked, *, pairs: bool = False, dresses: bool = False
) -> Iterator[Trouble]:
    """What is wrong after a score was mended.

    Args:
        asked: the score.
        pairs: mend also by each two of the rules alone.
        dresses: mend also in every other dress.
    """
    try:
        made = asked.mended(asked.data)
        yield from troubles_after(asked, made)
        yield Trouble(
            "mended", asked.name, f"{sum(one.mended for one in made.report.findings)}"
        )
        if pairs:
            yield from _of_pairs(asked, made)
        if dresses:
            yield from _of_dresses(asked, made)
    except Refused as refused:
        yield Trouble("refused", asked.name, str(refused))
    except Exception:  # noqa: BLE001 - that is what is looked for
        yield Trouble("crash", asked.name, traceback.format_exc()[-700:])


def troubles_after(
    asked: Asked, made: rewriter.Enforcement, only: Sequence[str] = ()
) -> Iterator[Trouble]:
    """What is wrong with a mended score.

    Args:
        asked: the score.
        made: of it.
        only: rules that could mend; empty for all.
    """
    name = f"{asked.name} {' '.join(only)}"
    report = made.report
    named = {(one.part, one.index) for one in report.changed}
    if report.part_list:
        named.add(PART_LIST)
    for said in changed_outside(asked.data, made.score, named):
        yield Trouble("byte changed", name, said)
    if not named and made.score != asked.data:
        yield Trouble("byte changed", name, "where nothing is said to be")
    if made.score == asked.data:
        return
    again = asked.mended(made.score, only)
    if any(one.mended for one in again.report.findings) or again.score != made.score:
        told = [_short(one) for one in again.report.findings if one.mended]
        yield Trouble("not settled", name, str(told))
    left = Counter(_short(one) for one in report.findings if not one.mended)
    now = Counter(_short(one) for one in again.report.findings)
    if left != now:
        yield Trouble("other findings", name, f"{left - now} {now - left}")
    for said in new_findings(report.findings, again.report.findings):
        yield Trouble("new finding", name, said)
    was, is_now = (Counter(_faults(one)) for one in (asked.data, made.score))
    for fault in is_now - was:
        yield Trouble("invalid", name, fault)


def _faults(data: bytes) -> list[str]:
    return [fault.partition(": ")[2] for fault in faults(unzipped(data)[0])]


def _short(one: Flaw) -> tuple[str, str, int, str, str]:
    return one.rule, one.part, one.index, one.beat, one.message


def new_findings(before: Sequence[Flaw], after: Sequence[Flaw]) -> list[str]:
    """Findings of rules at bars where these had none; a run of them is one bar."""
    known = {(one.rule, one.part, one.index) for one in before}
    return [
        f"{one.rule}, {one.part}, bar {one.bar}: {one.message}"
        for one in after
        if (one.rule, one.part, one.index) not in known
    ]


def _of_pairs(asked: Asked, made: rewriter.Enforcement) -> Iterator[Trouble]:
    """By two rules alone, of those that mended anything."""
    rules = sorted({one.rule for one in made.report.findings if one.mended})
    pairs = [*combinations(rules, 2)] or [(rule,) for rule in rules]
    for some in pairs:
        yield from troubles_after(asked, asked.mended(asked.data, some), some)


def _of_dresses(asked: Asked, made: rewriter.Enforcement) -> Iterator[Trouble]:
    """In other dress: the same is mended, in the same way, and the dress is kept."""
    plain = etree.tostring(etree.fromstring(unzipped(asked.data)[0]))
    wanted = [(one.part, one.index, one.what) for one in made.report.changed]
    for name, dress in DRESSES.items():
        dressed = asked._replace(name=f"{asked.name} {name}", data=dress(plain))
        now = dressed.mended(dressed.data)
        yield from troubles_after(dressed, now)
        changed = [(one.part, one.index, one.what) for one in now.report.changed]
        if changed != wanted:
            yield Trouble("mended otherwise", dressed.name, f"{changed} {wanted}"[:300])
        yield from _dress_lost(dressed, now.score, name)


def _dress_lost(asked: Asked, made: bytes, name: str) -> Iterator[Trouble]:
    data = unzipped(made)[0]
    if name == "crlf" and data.count(b"\n") != data.count(b"\r\n"):
        yield Trouble("dress lost", asked.name, "a line that ends otherwise")
    if name == "asides":
        for sign in (b"<!--", b"<?editor"):
            if data.count(sign) < asked.data.count(sign):
                yield Trouble("dress lost", asked.name, sign.decode())
    if name == "one_row" and b">\n<" in data.partition(b"?>\n")[2]:
        yield Trouble("dress lost", asked.name, "a new line")
