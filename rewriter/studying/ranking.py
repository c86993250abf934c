"""Layouts ranked for a tune: each at its best octave in every key, from one reading.

In another key the counts of pitches are shifted; nothing is read again. Layouts of as many
levels are ranked among each other, as placing compares octaves, then by how even the players
are over the octaves, then by how near the key is to the tune's own.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import msgspec

from rewriter.placing.candidates import Manner
from rewriter.placing.facts import Player
from rewriter.placing.fitness import hear
from rewriter.placing.limits import PlayedLine, longest_at_the_top
from rewriter.placing.octave import best_candidate
from rewriter.placing.statement import strength_times
from rewriter.problems import Refused
from rewriter.rulefiles.stack_lines import Share
from rewriter.theory.fifths import Interval, kept_within_seven

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from rewriter.placing.candidates import Candidate
    from rewriter.placing.fitness import Heard
    from rewriter.placing.lines import Stretch
    from rewriter.placing.writable import Letters
    from rewriter.rulefiles.ensembles import Ensemble, Section
    from rewriter.rulefiles.layouts import Layout
    from rewriter.rulefiles.repertory import Repertory
    from rewriter.rulefiles.stack_lines import Stack

FOURTH = 5
"""Semitones up and down within which keys are looked at."""
SHOWN = 2
"""Decimals by which the shares of players are compared."""


class Ranked(NamedTuple):
    """A layout at its best octave in one key.

    Attributes:
        layout: who plays.
        by: the interval its music is moved by.
        best: where its stack is put.
        players: how many play it, by octaves, top down.
        full: share of the tune's time that is full, 0 to 1.
        at_the_top: for how many bars each line stays in its highest register, at most.
    """

    layout: Layout
    by: Interval
    best: Candidate
    players: list[float]
    full: float
    at_the_top: list[int]

    @property
    def balance(self) -> float:
        """The share of the players that its strongest octave has, above 0, to 1."""
        return max(self.players) / sum(self.players) if any(self.players) else 1.0

    @property
    def order(self) -> tuple[Any, ...]:
        """What it is ranked by; the smallest is the first."""
        key = abs(self.by.semitones), -self.by.semitones
        return (*self.best.criteria, round(self.balance, SHOWN), *key, self.layout.name)


class NotRanked(msgspec.Struct, frozen=True):
    """A layout, perhaps only in one key, of which there is nothing to rank.

    Attributes:
        layout: its name.
        by: the interval its music would be moved by; None for every key.
        why: what is in the way.
    """

    layout: str
    by: Interval | None
    why: str


def keys_within_a_fourth(fifths: int) -> list[Interval]:
    """The interval to every key within a fourth, lowest first, so that few accidentals arise.

    >>> [interval.text for interval in keys_within_a_fourth(0)][3:8]
    ['down M2', 'down m2', '', 'up m2', 'up M2']

    Args:
        fifths: signature the music has.
    """
    return [_plainest(fifths, semitones) for semitones in range(-FOURTH, FOURTH + 1)]


def _plainest(fifths: int, semitones: int) -> Interval:
    """The interval of so many semitones that leads to the fewest accidentals."""
    if not semitones:
        return Interval(0, 0)
    near = round(semitones * 7 / 12)
    ways = [kept_within_seven(fifths, Interval(near + n, semitones)) for n in (0, 1, -1)]
    return min(ways, key=lambda way: (abs(fifths + way.fifths), abs(way.fifths)))


def players_of(stack: Stack, ensemble: Ensemble) -> list[float]:
    """How many play a stack, by octaves, top down."""
    return [
        sum(stack.players_of(one, ensemble.section(one.section)) for one in level.members)
        for level in stack.levels
    ]


class Ranker:
    """Ranks layouts for one stretch of a tune."""

    def __init__(
        self,
        ensemble: Ensemble,
        repertory: Repertory | None,
        letters: Callable[[Interval, Layout], Letters],
    ) -> None:
        """Prepare.

        Args:
            ensemble: whose figures hold.
            repertory: as composers did; None for the registers in which sections sing.
            letters: gives for a key what :func:`rewriter.placing.octave.place` asks.
        """
        self._ensemble = ensemble
        self._repertory = repertory
        self._letters = letters
        self.not_ranked: list[NotRanked] = []

    def rank(
        self, layouts: Sequence[Layout], stretch: Stretch, keys: Sequence[Interval]
    ) -> list[Ranked]:
        """Rank some layouts in some keys, the best first, whatever their levels.

        Args:
            layouts: that settle the chords of the tune alike.
            stretch: of the tune.
            keys: as intervals from its own.
        """
        heard = hear(stretch.soundings, stretch.voice.strengths)
        full = strength_times(heard).get("full", 0.0)
        tops = _Tops(stretch)
        ranked = []
        for by in keys:
            moved = heard.moved(by.semitones) if by.semitones else heard
            for layout in layouts:
                try:
                    best = self._best(layout, by, moved)
                except Refused as refusal:
                    self.not_ranked.append(NotRanked(layout.name, by, refusal.what))
                    continue
                ranked.append(
                    Ranked(
                        layout,
                        by,
                        best,
                        players_of(layout.stack, self._ensemble),
                        full,
                        [
                            tops.bars(
                                self._ensemble.section(line.member.section),
                                12 * line.octave + by.semitones,
                            )
                            for line in best.lines
                        ],
                    )
                )
        return ranked

    def _best(self, layout: Layout, by: Interval, heard: Heard) -> Candidate:
        manner = Manner(layout.condition, self._repertory)
        letters = self._letters(by, layout)
        return best_candidate(
            layout.stack, self._ensemble, heard, manner=manner, letters=letters
        )


class _Tops:
    """How long sections stay in their highest register, each asked once for each pitch."""

    def __init__(self, stretch: Stretch) -> None:
        self._stretch = stretch
        self._known: dict[tuple[str, int], int] = {}

    def bars(self, section: Section, shift: int) -> int:
        """For how many bars at most, so many semitones from the tune."""
        if self._stretch.highest + shift < section.registers[-1].from_midi:
            return 0
        known = self._known.get((section.key, shift))
        if known is None:
            player = Player(section, Share(), 0, self._stretch.voice)
            line = PlayedLine(player, self._stretch.soundings, shift)
            known = longest_at_the_top(line, self._stretch.voice.timeline)
            self._known[section.key, shift] = known
        return known
