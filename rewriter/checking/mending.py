"""Faults put right, pass by pass, until nothing more can be.

A pass makes every mend that touches no bar another one touches; then all rules look again,
since what one has put right may be what another was about. A mend that leads to a finding the
score had not before is taken back, and so is one after which its finding is still there; these
findings stay. What a house asks of the layout is written first, in passes of its own, and there
advice is no reason to take it back: the house has decided.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, NamedTuple

from rewriter.checking.looking import found_in
from rewriter.checking.mends_at_once import Key, chosen_mends, is_asked, key_of
from rewriter.checking.rule import CANNOT_BE_WRITTEN, Deferred, Mend, Unmended
from rewriter.checking.worded import with_mend
from rewriter.editing.edit_kinds import InBar
from rewriter.editing.edits import edited
from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.checking.house import House
    from rewriter.checking.looking import Found
    from rewriter.editing.edits import Edit, Where
    from rewriter.problems import Finding


class Done(NamedTuple):
    """A finding that has been put right.

    Attributes:
        finding: as it was.
        what: was done.
        places: bars and pieces of the header that were changed for it.
    """

    finding: Finding
    what: str
    places: tuple[Where, ...]


class Mended(NamedTuple):
    """A score after mending.

    Attributes:
        before: as it was.
        score: as it is now; the same object where nothing was done.
        done: what was put right, in the order in which it was.
        left: findings of the score as it is now; of those that could have been mended, and
            were not, it is said why.
    """

    before: Finished
    score: Finished
    done: list[Done]
    left: list[Finding]


def mended(
    score: Finished,
    house: House,
    again: Callable[[bytes], Finished],
    *,
    wanted: Callable[[str], bool] = lambda _: True,
) -> Mended:
    """Put right what can be.

    It comes to an end, since every pass leaves fewer findings or gives up a mend; what was
    given up is tried again once others have been made, as a second run would. A mend that
    cannot be written, or leads to a score that cannot be read, stops nothing but itself.

    Args:
        score: as it is.
        house: severities and parameters.
        again: looks at a changed file as at this one.
        wanted: says for the id of a rule whether it may mend.

    Returns:
        The score after the last pass; nothing is found in it that was not found before, but
        advice about layouts that the house has asked for.
    """
    work = _Mending(score, house, again, wanted)
    while work.round():
        work.forgive()
    left = [_left(one, work.refused) for one in work.found]
    return Mended(score, work.score, work.done, left)


class _Mending:
    """A score while it is mended.

    Attributes:
        score: as it is by now.
        found: in it.
        done: so far.
        refused: findings whose mends are not tried again in this round, with the reason.
    """

    def __init__(
        self,
        score: Finished,
        house: House,
        again: Callable[[bytes], Finished],
        wanted: Callable[[str], bool],
    ) -> None:
        self._house, self._again, self._wanted = house, again, wanted
        self.score = score
        self.done: list[Done] = []
        self.refused: dict[Key, str] = {}
        self.found = _worked_out(found_in(score, house), self.refused, wanted)

    def round(self) -> bool:
        """Mend until nothing more can be; True where that helped and a mend was given up."""
        before = len(self.done)
        most: int | None = None
        while chosen := chosen_mends(self.found, self.refused, self._wanted)[:most]:
            try:
                edits = (edit for _, mend in chosen for edit in mend.edits)
                made = self._again(edited(self.score.score, edits))
            except (ValueError, Refused):
                most = _fewer(chosen, self.refused)
                continue
            most = None
            self._judge(chosen, made)
        return len(self.done) > before and bool(self._given_up())

    def forgive(self) -> None:
        """Let what was given up be tried again: what was in its way may be gone."""
        for key in self._given_up():
            del self.refused[key]

    def _given_up(self) -> set[Key]:
        mends = {key_of(one.finding) for one in self.found if isinstance(one.mend, Mend)}
        return mends & self.refused.keys()

    def _judge(self, chosen: Sequence[tuple[Found, Mend]], made: Finished) -> None:
        """Keep what was made, or give up what made it worse or no better."""
        made.take_over(self.score)
        then = list(found_in(made, self._house))
        if worse := _worse(chosen, self.found, then):
            _take_back(chosen, worse, self.refused, self.score)
        elif idle := _not_helped(chosen, self.found, then):
            self.refused.update(dict.fromkeys(idle, "it would be found again"))
        else:
            self.done += [_done(one, mend) for one, mend in chosen]
            self.score = made
            self.found = _worked_out(then, self.refused, self._wanted)


def _worked_out(
    found: Iterable[Found], refused: dict[Key, str], wanted: Callable[[str], bool]
) -> list[Found]:
    """Findings with mends that may be made, in place of what only says what would be done."""
    ready = []
    for one in found:
        key = key_of(one.finding)
        if isinstance(one.mend, Deferred) and wanted(one.rule.id) and key not in refused:
            mend = one.mend.make()
            if isinstance(mend, Unmended):
                refused[key] = mend.why
            ready.append(one._replace(mend=mend))
        else:
            ready.append(one)
    return ready


def _fewer(chosen: Sequence[tuple[Found, Mend]], refused: dict[Key, str]) -> int:
    """How many mends are made at once where so many could not be; one alone is given up."""
    if len(chosen) == 1:
        refused[key_of(chosen[0][0].finding)] = CANNOT_BE_WRITTEN.why
    return max(1, len(chosen) // 2)


def _not_helped(
    chosen: Sequence[tuple[Found, Mend]], before: Iterable[Found], after: Iterable[Found]
) -> set[Key]:
    """Findings as many as before, though something was done about them."""
    was, now = (Counter(key_of(one.finding) for one in found) for found in (before, after))
    keys = {key_of(one.finding) for one, _ in chosen}
    return {key for key in keys if now[key] >= was[key]}


def _done(one: Found, mend: Mend) -> Done:
    places = dict.fromkeys(edit.where for edit in mend.edits)
    return Done(one.finding, mend.what, tuple(places))


def _worse(
    chosen: Sequence[tuple[Found, Mend]], before: Iterable[Found], after: Iterable[Found]
) -> list[Finding]:
    """Findings that were not there, however often one was, and are a reason not to mend."""
    by_house = any(is_asked(one) for one, _ in chosen)
    left = Counter(key_of(one.finding) for one in before)
    new = []
    for one in after:
        key = key_of(one.finding)
        if left[key]:
            left[key] -= 1
        elif not by_house or one.finding.severity != "advice" or is_asked(one):
            new.append(one.finding)
    return new


def _take_back(
    chosen: Sequence[tuple[Found, Mend]],
    worse: Sequence[Finding],
    refused: dict[Key, str],
    score: Finished,
) -> None:
    """Refuse the mends that stand where something new is found; all, where none does."""
    parts = {part.id: index for index, part in enumerate(score.score.parts)}
    rules: dict[tuple[int, int], set[str]] = {}
    for one in worse:
        bar = parts.get(one.place.part, -1), one.place.bar_counted - 1
        rules.setdefault(bar, set()).add(one.rule)
    guilty = {
        key_of(one.finding): set().union(*(rules.get(bar, ()) for bar in _bars(mend.edits)))
        for one, mend in chosen
    }
    everywhere = set() if any(guilty.values()) else {one.rule for one in worse}
    for key, here in guilty.items():
        if found := ", ".join(sorted(here or everywhere)):
            refused[key] = f"it would lead to another finding ({found})"


def _bars(edits: Iterable[Edit]) -> set[tuple[int, int]]:
    """Part and bar, as indexes, of the edits that are made in bars."""
    return {
        (edit.where.part, edit.where.bar) for edit in edits if isinstance(edit.where, InBar)
    }


def _left(one: Found, refused: dict[Key, str]) -> Finding:
    why = refused.get(key_of(one.finding))
    return with_mend(one.finding, Unmended(why)) if why else one.finding
