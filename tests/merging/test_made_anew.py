"""A changed sketch, another key, other layouts: what is carried goes to its own bar."""

from collections import Counter
from random import Random

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rewriter import expand
from rewriter.comparing.comparison import Comparison, compare
from rewriter.comparing.difference import Difference
from rewriter.merging.edits import OF_NOTES
from rewriter.merging.results import Merged
from rewriter.merging.three import Scores, Three
from rewriter.scores.score import read_score
from rewriter.theory.fifths import Interval, parse_interval
from tests.comparing.editing import EDITS, edited
from tests.comparing.resaving import resaved
from tests.merging.lettered import music
from tests.merging.merging import merged
from tests.outside.schema import faults
from tests.outside.spans import spanner_faults
from tests.shorthand import sketch

Bars = list[tuple[int | None, str]]
"""Letters of bars, and which bar of the old sketch each is."""

LAYOUTS = ("Vn I / Vn II + Vla / Vc", "Vn I + Vn II / Vla / half Vc", "Vn I / Vc / Db")


def changed(letters: list[str], rng: Random) -> Bars:
    """A sketch with bars put in, taken out, said twice, altered, replaced, or as it was."""
    now: Bars = list(enumerate(letters))
    at, size = rng.randrange(len(now)), rng.choice((1, 1, 2, 4))
    match rng.randrange(6):
        case 0:
            now[at:at] = [(None, rng.choice("XYZ")) for _ in range(size)]
        case 1 if len(now) > size + 3:
            del now[at : at + size]
        case 2:
            now[at:at] = [(None, letter) for _, letter in now[at : at + size]]
        case 3:
            now[at] = now[at][0], now[at][1] + "'"
        case 4:
            now[at] = now[at][0], rng.choice("XYZ")
    return now


def score(letters: list[str], layout: str, by: str = "") -> bytes:
    said = " | ".join(map(music, letters))
    return expand(sketch(f"4/4 mf {said} |"), layout, by=by).score


def edited_often(data: bytes, names: list[str], seed: int) -> bytes:
    for step, name in enumerate(names):
        made = edited(data, name, seed + step)
        data = made[0] if made else data
    return data


@settings(
    suppress_health_check=[HealthCheck.too_slow],
    max_examples=max(settings.default.max_examples // 5, 10),
)
@given(
    letters=st.lists(st.sampled_from("ABCDE"), min_size=5, max_size=14),
    names=st.lists(st.sampled_from(sorted(EDITS)), min_size=1, max_size=5),
    by=st.sampled_from(["", "", "up M2", "down m3"]),
    layout=st.sampled_from(LAYOUTS),
    other=st.sampled_from(["", "", "", "Vn I 8va / Vn II / Vc"]),
    seed=st.integers(0, 2**16),
)
def test_all_that_was_not_told_is_there(
    letters: list[str], names: list[str], by: str, layout: str, other: str, seed: int
) -> None:
    rng = Random(seed)  # noqa: S311 - music, not secrets
    bars = changed(letters, rng)
    base = score(letters, layout)
    new = score([letter for _, letter in bars], other or layout, by)
    hand = edited_often(base, names, seed)
    hand = resaved(hand, seed) if rng.random() < 0.7 else hand
    move = parse_interval(by) if by else Interval(0, 0)
    result = merged(base, hand, new, by=move)
    three = Three(
        Scores(read_score(base), read_score(hand), read_score(new)), move, None,
        with_breaks=False,
    )  # fmt: skip
    require_right_bars(three, bars)
    require_nothing_lost(three, result, move)
    require_untouched_bars(new, result)
    assert not set(faults(result.score)) - set(faults(new))
    assert spanner_faults(result.score) == []


def require_right_bars(three: Three, bars: Bars) -> None:
    """No bar is taken for another."""
    went = {was: place for place, (was, _) in enumerate(bars) if was is not None}
    for bar, place in three.new_bars.certain.items():
        assert bar in three.new_bars.unlike or went.get(bar) == place


def require_nothing_lost(three: Three, result: Merged, move: Interval) -> None:
    """Edited score and result differ where base and new do, or where the account says so."""
    base, hand, new = three.scores
    bars = three.new_bars.bars
    made = three.edited_bars.bars
    changed_there = {_place(one, bars) for one in compare(base, new, bars=bars, by=move).all}
    told = {
        one.kind for name in ("conflicts", "ambiguous", "dropped", "restored")
        for one in getattr(result, name)
    }  # fmt: skip
    both = {made[a]: b for a, b in three.new_bars.certain.items() if a in made}
    found: Comparison = compare(hand, read_score(result.score), bars=both, by=move)
    was = {b: a for a, b in made.items()}
    for one in found.all:
        kind, bar = _place(one, bars)
        bar = was.get(one.at.bar) if one.a else bar
        if kind in {"bar", "title", "creator"} or kind in told:
            continue
        assert (kind, bar) in changed_there, one


def _place(one: Difference, bars: dict[int, int]) -> tuple[str, int | None]:
    """Kind, and bar of the base."""
    kind = "notes" if one.kind in OF_NOTES else one.kind
    if one.a is not None:
        return kind, one.at.bar
    return kind, {b: a for a, b in bars.items()}.get(one.at.bar)


def require_untouched_bars(new: bytes, result: Merged) -> None:
    """Not more bars changed than there were edits, each at both its ends."""
    before, after = read_score(new), read_score(result.score)
    different = Counter(
        bar
        for one, two in zip(before.parts, after.parts, strict=True)
        for bar, (a, b) in enumerate(zip(one.bars, two.bars, strict=True))
        if a != b
    )
    edits = len(result.carried) + len(result.conflicts)
    assert len(different) <= 3 * edits
    if not edits:
        assert result.score == new
