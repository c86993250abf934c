"""Known faults are found: each one where it was planted, once, and nothing else.

What mends does: the fault is gone, no other bar is other bytes, and what music21 and partitura
hear elsewhere is what they heard. Two faults at a time are two findings.
"""

from collections import Counter
from itertools import combinations

import pytest

import rewriter
from rewriter.reporting.checked import Flaw
from tests.demo_scores.lamp import CLEAN
from tests.enforcing.enforcing import Asked, troubles_of
from tests.outside.heard import heard_by_music21, heard_by_partitura
from tests.outside.reference import Heard, bar_starts
from tests.outside.schema import assert_valid
from tests.seeded.seeds import ELSEWHERE, NEED, SCORED, SEEDS, Scored, Seed, planted
from tests.shorthand import sketch

HOUSE = "strict"
EVERY = 11
"""Of so many pairs one is planted."""

ONE_OF_BOTH = [
    # a bass that sounds as written has no low notes
    {"needs-extension", "bass-transposition"},
    # high notes in another clef: it is no old notation
    {"beyond-extreme", "old-cello-notation"},
]
"""Faults of which one changes what the other is."""


def _found(data: bytes) -> tuple[Flaw, ...]:
    return rewriter.check(data, house=HOUSE).findings


def _places(findings: tuple[Flaw, ...]) -> Counter[tuple[str, str, str]]:
    return Counter((one.rule, one.part, one.bar) for one in findings)


def test_every_rule_about_finished_scores_has_a_seed() -> None:
    """Or it is said where its faults are planted."""
    seeded = {seed.fault.rule for seed in SEEDS} | set(SCORED)
    assert seeded == {rule.id for rule in NEED}
    assert not seeded & set(ELSEWHERE)


def test_nothing_is_found_before() -> None:
    assert _found(planted()) == ()


@pytest.mark.parametrize("seed", SEEDS, ids=str)
def test_a_planted_fault_is_the_one_finding(seed: Seed) -> None:
    data = planted(seed)
    assert_valid(data)
    (found,) = _found(data)
    assert (found.rule, found.part, found.bar) == seed.place
    assert seed.fault.says in found.message


@pytest.mark.parametrize("seed", SEEDS, ids=str)
def test_a_planted_fault_is_mended_where_its_rule_says_so(seed: Seed) -> None:
    data = planted(seed)
    (found,) = rewriter.enforce(data, house=HOUSE).report.findings
    assert found.mended == seed.fault.mended
    kinds = {one.kind for one in troubles_of(Asked(str(seed), data, house=HOUSE))}
    assert kinds == {"mended"}


@pytest.mark.parametrize("rule", SCORED)
def test_a_layout_that_is_not_as_it_should_be(rule: str) -> None:
    """The tune is told by its sketch; the score by the other layout has no findings."""
    scored: Scored = SCORED[rule]
    music = sketch(scored.tune)
    sound, faulty = (
        rewriter.check(rewriter.expand(music, stack).score, sketch=music).findings
        for stack in (scored.sound, scored.faulty)
    )
    assert sound == ()
    assert {one.rule for one in faulty} == {rule}


def _apart(one: Seed, other: Seed) -> bool:
    """True for faults that are not in the same bars, or next to them."""
    bars = all(seed.fault.music for seed in (one, other))
    near = one.fault.part == other.fault.part and abs(one.fault.bar - other.fault.bar) < 4
    return not (bars and near)


PAIRS = [
    pair
    for pair in combinations(SEEDS, 2)
    if _apart(*pair) and {one.fault.rule for one in pair} not in ONE_OF_BOTH
]


@pytest.mark.parametrize("pair", PAIRS[::EVERY], ids=lambda pair: f"{pair[0]} and {pair[1]}")
def test_two_faults_are_two_findings(pair: tuple[Seed, Seed]) -> None:
    data = planted(*pair)
    assert _places(_found(data)) == Counter(seed.place for seed in pair)
    made = rewriter.enforce(data, house=HOUSE).report
    mended = Counter((one.rule, one.part, one.bar) for one in made.findings if one.mended)
    assert mended == Counter(seed.place for seed in pair if seed.fault.mended)


def _outside(
    data: bytes, heard: list[list[Heard]], bars: set[tuple[int, int]]
) -> list[set[Heard]]:
    """What is heard of each part, but what begins or ends in some of its bars."""
    starts = [*bar_starts(data), 10**6]
    return [
        {
            note
            for note in notes
            if not any(
                starts[bar] < note.onset + note.length and note.onset < starts[bar + 1]
                for at, bar in bars
                if at == part
            )
        }
        for part, notes in enumerate(heard)
    ]


def test_others_hear_the_same_elsewhere() -> None:
    """All that mend at once, but what moves whole parts."""
    seeds: list[Seed] = []
    for seed in SEEDS:
        if seed.fault.music and seed.fault.mended and all(_apart(seed, one) for one in seeds):
            seeds.append(seed)
    data = planted(*seeds)
    made = rewriter.enforce(data, house=HOUSE)
    parts = [f"P{number + 1}" for number in range(len(CLEAN))]
    bars = {(parts.index(one.part), one.index) for one in made.report.changed}
    assert len(bars) >= len(seeds) > 8
    for hear in (heard_by_music21, heard_by_partitura):
        was, now = (_outside(one, hear(one), bars) for one in (data, made.score))
        assert was == now
        assert sum(map(len, was)) > 300
