"""Nobody reads a dynamic or the beginning of a hairpin under a rest from which he enters.

All but where a hairpin that began in sound leads into the rest, and ends there.
"""

from collections.abc import Iterator
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from tests.outside.reference import Clock, Event, score_root
from tests.property.expanding import LAYOUTS, expand
from tests.property.planning import expand as expand_plan
from tests.property.plans import Plan, plans
from tests.property.strategies import Sketch, sketches


def is_rest(event: Event) -> bool:
    return event.element.find("rest") is not None


def early(part: etree._Element) -> Iterator[tuple[str, str]]:
    """Signs under a rest with which a bar begins and behind which it sounds, by bar."""
    clock = Clock()
    for measure in part.findall("measure"):
        events = list(clock.events(measure))
        notes = [one for one in events if one.element.tag == "note"]
        if len({one.voice for one in notes}) != 1 or all(map(is_rest, notes)):
            continue
        entry = min(one.onset for one in notes if not is_rest(one))
        told = [one for one in events if one.element.tag == "direction" and one.onset < entry]
        for one in told:
            led_to = any(
                other.onset == one.onset
                and other.element.find(".//wedge[@type='stop']") is not None
                for other in told
            )
            wedges = [sign.get("type") for sign in one.element.iter("wedge")]
            dynamic = one.element.find("direction-type/dynamics") is not None and not led_to
            if dynamic or {"crescendo", "diminuendo"} & set(wedges):
                yield measure.get("number", ""), etree.tostring(one.element).decode()


def told_at_barlines(sketch: Sketch) -> Sketch:
    """The sketch with a dynamic at the beginning of each bar of the tune."""
    root = etree.fromstring(sketch.data)
    for number, measure in enumerate(root.find("part")):  # type: ignore[arg-type]  # it is there
        mark = etree.fromstring(
            "<direction><direction-type><dynamics><{}/></dynamics></direction-type>"
            "<staff>1</staff></direction>".format("mf" if number % 2 else "pp")
        )
        first = next((child for child in measure if child.tag in {"note", "forward"}), None)
        if first is not None:
            first.addprevious(mark)
    return replace(sketch, data=etree.tostring(root))


def check(score: bytes) -> None:
    for part in score_root(score).findall("part"):
        assert list(early(part)) == [], part.get("id")


@given(sketches(), st.sampled_from(LAYOUTS))
def test_dynamics_stand_at_entries(sketch: Sketch, layout: str) -> None:
    check(expand(told_at_barlines(sketch), layout).score)


@given(plans())
def test_dynamics_stand_at_the_entries_of_a_plan(plan: Plan) -> None:
    check(expand_plan(replace(plan, sketch=told_at_barlines(plan.sketch))).score)
