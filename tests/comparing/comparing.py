"""Two scores compared, and what was found in words that a test can hold by hand."""

from collections import Counter
from fractions import Fraction

from lxml import etree

from rewriter.comparing.comparison import Comparison, compare
from rewriter.comparing.difference import Difference
from rewriter.scores.score import read_score
from tests.comparing.resaving import resaved
from tests.outside.reference import score_root


def compared(a: bytes, b: bytes) -> Comparison:
    return compare(read_score(a), read_score(b))


def told(comparison: Comparison) -> list[str]:
    """Each difference in a line: ``pitch 2.1.5: C5 | D5``, bar and quarter counted from 1."""
    return [line(one, comparison.divisions) for one in comparison.all]


def line(one: Difference, divisions: int) -> str:
    bar, onset = one.at[:2]
    beat = Fraction(onset, divisions) + 1
    said = ["-" if thing is None else thing.what or "yes" for thing in (one.a, one.b)]
    return f"{one.kind} {bar + 1}.{float(beat):g}: {said[0]} | {said[1]}"


def mirrors(a: bytes, b: bytes) -> bool:
    """True when comparing one way finds what comparing the other way does."""
    one = Counter(map(repr, compared(a, b).all))
    two = Counter(repr(each.mirrored()) for each in compared(b, a).all)
    return one == two


def troubles(data: bytes, seed: int) -> list[str]:
    """What is wrong with comparing a score with itself and with itself saved again.

    Args:
        data: a file, zipped or not.
        seed: how it is saved again.
    """
    plain = etree.tostring(score_root(data))
    again = resaved(plain, seed)
    found = [f"itself: {one}" for one in told(compared(plain, plain))]
    found += [f"saved again: {one}" for one in told(compared(plain, again))]
    return found + ["not the same both ways"] * (not mirrors(plain, again))
