"""A few of the first violin parts that ``python -m tests.regenerating`` takes, in every run."""

from collections import Counter

from tests.regenerating.trying import CHANGES, Change, first_violins, outcome

SLICE = 4


def test_nothing_is_lost_in_real_tunes() -> None:
    """Source: music21's corpus; which bar is which is known: the tests change it."""
    counts: Counter[str] = Counter()
    for place, data in enumerate(first_violins(SLICE)):
        for step, kind in enumerate(list(CHANGES)[place::SLICE]):
            made = outcome(Change(data, kind, place * 100 + step))
            if made:
                assert made.troubles == []
                counts.update(made.counts)
    assert counts["found"] > 100
    assert counts["carried"] > counts["found"] / 2
