"""A tune surveyed, against parsing its sketch; layouts ranked, in seconds."""

from collections.abc import Iterator

from lxml import etree

import rewriter
from rewriter.rulefiles.loading import names
from tests.bench.movements import first_violin
from tests.bench.timing import Row, at_most, interleaved

NAMES = ("beethoven/opus18no1/movement1", "haydn/opus74no1/movement1", "mozart/k458/movement1")
SURVEY = 8.0
RANK = 1.0
LAYOUTS = 50
STACKS = (
    "Vn I + Vn II + Vla / half Vc", "Vn I / Vn II / half Vla", "Vn II / Vla + Vc",
    "Vla / half Vc", "half Vn I / Vla", "Vn I // Vc", "Vn I / Vn II + Vla + Vc",
    "solo Vn I / Vla", "Vn II / Vc", "Vn I + Vla / Vc", "Vn II + Vla / Vc", "half Vc",
)  # fmt: skip
"""Beside the shipped ones, as many as are wanting."""


def rows(rounds: int) -> Iterator[Row]:
    """What a survey and a ranking take, on movements' first violins."""
    for name in NAMES:
        movement = first_violin(name)
        parser = etree.XMLParser(huge_tree=True)
        spent = interleaved(
            {
                "parse": lambda data=movement.data, parser=parser: etree.fromstring(
                    data, parser
                ),
                "survey": lambda data=movement.data: rewriter.survey(data),
            },
            rounds,
        )
        ratio = spent["survey"].processor / spent["parse"].processor
        yield at_most(f"survey, {name}", ratio, "times", SURVEY, f"{movement.bars} bars")
    movement = first_violin(NAMES[0])
    alone = [name for name in names("layouts") if "sketch" not in name]
    alone = [name for name in alone if name != "three-levels-over-the-basses"]
    alone = [name for name in alone if name != "four-levels-over-the-basses"]
    layouts = [*alone, *STACKS][:LAYOUTS]
    spent = interleaved({"rank": lambda: rewriter.rank(movement.data, layouts=layouts)}, rounds)
    what = f"rank, {len(layouts)} layouts in 11 keys"
    yield at_most(what, spent["rank"].processor, "s", RANK, f"{movement.bars} bars")
