"""Fermatas stand over every part at their moment, and nowhere else.

The moments are found by our reference reader: where several staves hold at once, that is from
where the last of them has begun.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from tests.outside.reference import Clock, score_root
from tests.property.expanding import LAYOUTS, expand
from tests.property.planning import expand as expand_plan
from tests.property.plans import Plan, plans
from tests.property.strategies import Sketch, sketches


class Held(NamedTuple):
    """A note or rest from when to when, in quarters from the start of its bar."""

    bar: int
    begins: Fraction
    ends: Fraction
    fermata: bool


def held_in(part: etree._Element) -> Iterator[Held]:
    clock = Clock()
    for bar, measure in enumerate(part.findall("measure")):
        for event in clock.events(measure):
            if event.element.tag == "note":
                fermata = event.element.find("notations/fermata") is not None
                yield Held(bar, event.onset, event.onset + event.length, fermata)


def moments(data: bytes) -> list[tuple[int, Fraction]]:
    """Bar and quarters from its start at which the score holds."""
    signs = sorted(
        one for part in score_root(data).findall("part") for one in held_in(part) if one.fermata
    )
    found: list[Held] = []
    for sign in signs:
        last = found[-1] if found else None
        same = last is not None and last.bar == sign.bar
        if (
            last is not None
            and same
            and (sign.begins < last.ends or sign.begins == last.begins)
        ):
            found[-1] = sign._replace(ends=min(last.ends, sign.ends))
        else:
            found.append(sign)
    return [(one.bar, one.begins) for one in found]


def check(sketch: bytes, score: bytes) -> None:
    wanted = moments(sketch)
    for part in score_root(score).findall("part"):
        there = list(held_in(part))
        for bar, moment in wanted:
            assert any(
                one.fermata
                for one in there
                if one.bar == bar
                and (one.begins <= moment < one.ends or one.begins == moment == one.ends)
            ), (part.get("id"), bar + 1, moment)
        for one in there:
            if one.fermata and one.begins < one.ends:
                assert any(
                    one.bar == bar and one.begins <= moment < one.ends for bar, moment in wanted
                ), (part.get("id"), one)


@given(sketches(), st.sampled_from(LAYOUTS))
def test_fermatas_stand_over_every_part(sketch: Sketch, layout: str) -> None:
    check(sketch.data, expand(sketch, layout).score)


@given(plans())
def test_fermatas_stand_over_every_part_of_a_plan(plan: Plan) -> None:
    check(plan.sketch.data, expand_plan(plan).score)
