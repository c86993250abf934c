"""What is known already of a score: findings told apart however its bars have moved.

A finding is known again by its rule, its section and what sounds in its bar and in two bars on
either side, so that bars put in or cut elsewhere change nothing. Half of all bars have an exact
twin in their part, so findings that look the same are counted: only as many as were known are.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from fractions import Fraction
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.problems import Finding

AROUND: Final = 2
"""Bars on either side that are looked at."""
_DIGITS: Final = 16
"""Of a digest; enough to tell the bars of any number of scores apart."""


class Remembering:
    """Makes the signs by which findings of one score are known again."""

    def __init__(self, score: Finished) -> None:
        """Take a score.

        Args:
            score: the findings are about.
        """
        self._score = score
        self._parts = {part.id: index for index, part in enumerate(score.score.parts)}
        self._bars: dict[int, dict[int, list[str]]] = {}

    def sign(self, finding: Finding) -> str:
        """What a finding is known again by; the same for those of twin bars."""
        place = finding.place
        part = self._parts.get(place.part)
        sounds = ""
        if part is not None and place.bar_counted:
            bars = self._sounding(part)
            bar = place.bar_counted - 1
            around = range(bar - AROUND, bar + AROUND + 1)
            sounds = "|".join(" ".join(bars.get(one, ())) for one in around)
        said = "\n".join((finding.rule, place.who, finding.sounds, sounds or finding.text))
        digest = hashlib.sha256(said.encode()).hexdigest()[:_DIGITS]
        return f"{finding.rule} {place.who} {digest}"

    def _sounding(self, part: int) -> dict[int, list[str]]:
        """What begins in each bar: onset and length in quarters, sounding pitch."""
        known = self._bars.get(part)
        if known is None:
            known = self._bars[part] = {}
            for bar, sound in self._sounds(part):
                known.setdefault(bar, []).append(sound)
            for sounds in known.values():
                sounds.sort()
        return known

    def _sounds(self, part: int) -> Iterator[tuple[int, str]]:
        reading = self._score.reading
        for run in self._score.joined(part):
            if run.length:
                bar = run.notes[0].bar
                onset = Fraction(run.time - reading.timeline.starts[bar], reading.divisions)
                length = Fraction(run.length, reading.divisions)
                yield bar, f"{onset}:{length}:{run.notes[0].sounding}"


def counted(signs: Iterable[str]) -> dict[str, int]:
    """How many findings there are of each sign, in the order of the alphabet."""
    return dict(sorted(Counter(signs).items()))


def not_known(
    findings: Sequence[Finding], signs: Sequence[str], known: Mapping[str, int]
) -> list[Finding]:
    """Findings that are new; all of a sign whose number is not what it was.

    Args:
        findings: of a score.
        signs: theirs, in the same order.
        known: how many of each sign were known.
    """
    now = Counter(signs)
    return [
        one
        for one, sign in zip(findings, signs, strict=True)
        if now[sign] != known.get(sign, 0)
    ]
