"""Two finished scores compared, against parsing both and no more."""

from collections.abc import Iterator

from lxml import etree

import rewriter
from tests.bench.movements import Movement, first_violin, quartet
from tests.bench.timing import Row, at_most, interleaved
from tests.comparing.editing import EDITS, edited
from tests.comparing.resaving import resaved

NAMES = ("beethoven/opus18no1/movement1", "haydn/opus74no1/movement1", "mozart/k458/movement1")
LAYOUT = "Vn I / Vn II + Vla / Vc / Db"
AIM = 7.0


def rows(rounds: int) -> Iterator[Row]:
    """Parses that a comparison costs: a score against itself, edited, and saved again."""
    for name in NAMES:
        movement = first_violin(name)
        made = rewriter.expand(movement.data, LAYOUT).score
        yield _row(f"{name}, five parts, edited", movement, (made, _edited(made)), rounds)
        again = resaved(_edited(made), seed=3)
        yield _row(f"{name}, five parts, saved again", movement, (made, again), rounds)
        whole = quartet(name)
        again = resaved(whole.data, seed=4)
        yield _row(f"{name}, quartet, saved again", whole, (whole.data, again), rounds)


def _edited(score: bytes) -> bytes:
    for seed, name in enumerate(EDITS):
        made = edited(score, name, seed)
        score = made[0] if made else score
    return score


def _row(what: str, movement: Movement, both: tuple[bytes, bytes], rounds: int) -> Row:
    def parses() -> None:
        for data in both:
            etree.fromstring(data)

    seconds = interleaved(
        {"parses": parses, "ours": lambda: rewriter.differences(*both)}, rounds
    )
    ratio = seconds["ours"].processor / seconds["parses"].processor
    size = sum(map(len, both)) // 1000
    return at_most(what, ratio, "times", AIM, f"{movement.bars} bars, {size} kB in both")
