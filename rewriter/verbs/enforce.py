"""Put right in a finished score what can be, as the house wants it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.checking.finished import Finished
from rewriter.checking.mending import mended
from rewriter.checking.rules import RULES
from rewriter.problems import Refused
from rewriter.reporting.enforced import Enforced, enforced_of
from rewriter.scores.events import NoCommonDivision
from rewriter.scores.score import read_score
from rewriter.verbs.arguments import check_texts
from rewriter.verbs.check import house_and_ensemble, tune_told
from rewriter.verbs.collector import collector_paused

if TYPE_CHECKING:
    import os
    from collections.abc import Collection, Sequence

    from lxml.etree import _Element, _ElementTree


class Enforcement(NamedTuple):
    """A mended score, and what there is to say of it.

    Attributes:
        score: the file; byte for byte what it was where nothing was mended.
        report: what was found, what was done, what is left.
    """

    score: bytes
    report: Enforced


@collector_paused()
def enforce(
    score: str | os.PathLike[str] | bytes | _Element | _ElementTree,
    *,
    house: str | os.PathLike[str] = "",
    ensemble: str | os.PathLike[str] = "",
    sections: Sequence[str] = (),
    sketch: str | os.PathLike[str] | bytes | _Element | _ElementTree | None = None,
    tune: str = "",
    only: Collection[str] = (),
    without: Collection[str] = (),
) -> Enforcement:
    """Put right in a finished score what a rule of the house can put right for certain.

    Every other byte of the file stays as it is. What is found and not mended is told with the
    reason.

    Args:
        score: a path, the bytes of a file, or an lxml tree, which is not changed.
        house: name or file; empty for every rule as it is by default.
        ensemble: name or file; empty for the house's, and where it names none, ``symphonic``.
        sections: which part is which section where the score does not make it plain, such as
            ``P3=Vla``.
        sketch: whose tune the score has, as :func:`rewriter.check` takes it.
        tune: or the part that has the tune, likewise.
        only: ids of the rules that may mend; empty for all.
        without: ids of rules that may not.

    Raises:
        Refused: the score, the sketch or a rule file cannot be read, or there is no such
            rule or part; its text is one line.
    """
    check_texts(tune=tune, **{f"sections[{at}]": one for at, one in enumerate(sections)})
    told = tune_told(sketch, tune)
    check_rule_ids([*only, *without])
    wanted, forces = house_and_ensemble(house, ensemble)
    read = read_score(score)

    def looked_at(data: bytes) -> Finished:
        return Finished(read_score(data), forces, sections, told)

    def may_mend(rule: str) -> bool:
        return (not only or rule in only) and rule not in without

    try:
        finished = Finished(read, forces, sections, told)
        made = mended(finished, wanted, looked_at, wanted=may_mend)
    except NoCommonDivision:
        raise Refused(
            "the lengths of its notes have no common division",
            "look at its <divisions>",
            file=read.name,
        ) from None
    except Refused as refusal:
        raise refusal.within(read.name) from None
    now = made.score.score
    in_runs = frozenset(rule.id for rule in RULES if rule.runs)
    return Enforcement(now.packed or now.source, enforced_of(made, in_runs))


def check_rule_ids(ids: Sequence[str]) -> None:
    """Refuse what is no rule.

    Raises:
        Refused: with the nearest id.
    """
    from difflib import get_close_matches

    known = [rule.id for rule in RULES]
    for one in ids:
        if one not in known:
            near = get_close_matches(one, known, n=1)
            remedy = f"did you mean {near[0]}?" if near else "see rewriter rules house"
            raise Refused(f'there is no rule "{one}"', remedy)
