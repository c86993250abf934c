"""The table of orders against the W3C's schema (PyPI package ``musicxml``)."""

from functools import cache
from importlib.util import find_spec
from pathlib import Path

import pytest
from lxml import etree

from rewriter.musicxml.schema_order import FAMILIES, ORDER, place, successors

XS = "{http://www.w3.org/2001/XMLSchema}"
GROUPS = {"measure": "music-data"}
ALTERNATIVES = frozenset(("note",))
"""Elements whose schema lists several ways to begin."""


@cache
def named() -> dict[tuple[str, str], etree._Element]:
    found = find_spec("musicxml")
    assert found
    assert found.origin
    tree = etree.parse(Path(found.origin).parent / "generate_classes" / "musicxml_4_0.xsd")
    kinds = ("group", "complexType")
    return {
        (kind, one.get("name")): one
        for kind in kinds
        for one in tree.iter(XS + kind)
        if one.get("name")
    }


def children(content: etree._Element) -> list[str]:
    """Names of children in the order the schema lists them."""
    names = []
    for one in content:
        if one.tag == XS + "element":
            names.append(one.get("name") or one.get("ref"))
        elif one.tag == XS + "group":
            names += children(named()["group", one.get("ref")])
        elif one.tag in {XS + "sequence", XS + "choice"}:
            names += children(one)
    return names


def pairs(parent: str) -> set[tuple[str, str]]:
    """(before, after) of children of one sequence; those of a choice have no order."""
    if parent in {"score-partwise", "score-timewise"}:
        return ordered(named()["group", "score-header"])
    return ordered(named()["complexType", parent])


def ordered(content: etree._Element) -> set[tuple[str, str]]:
    found: set[tuple[str, str]] = set()
    before: list[str] = []
    for one in content:
        mine = children_of_one(one)
        if one.tag == XS + "group":
            found |= ordered(named()["group", one.get("ref")])
        elif one.tag in {XS + "sequence", XS + "choice"}:
            found |= ordered(one)
        if content.tag != XS + "choice":
            found |= {(first, then) for first in before for then in mine if first != then}
        before += mine
    return found


def children_of_one(one: etree._Element) -> list[str]:
    holder = etree.Element(XS + "sequence")
    holder.append(etree.fromstring(etree.tostring(one)))
    return children(holder)


@pytest.mark.parametrize("parent", sorted(set(ORDER) - {"measure"}))
def test_children_stand_as_the_schema_wants(parent: str) -> None:
    wanted = pairs(parent)
    # Some may stand before and behind each other: footnotes of a barline's parts, midi devices.
    wanted = {(one, other) for one, other in wanted if (other, one) not in wanted}
    assert wanted
    for one, other in wanted:
        if {one, other} <= set(ORDER[parent]):
            assert other in successors(parent, one), (one, other)
        assert place(parent, one) <= place(parent, other)


@pytest.mark.parametrize("parent", sorted(set(ORDER) - {"measure"}))
def test_every_child_with_a_place_of_its_own_is_in_the_table(parent: str) -> None:
    first = {one for one, _ in pairs(parent)}
    last = {other for _, other in pairs(parent)}
    missing = (first | last) - set(ORDER[parent])
    assert parent == "notations" or not missing


def test_children_of_bars_stand_in_any_order() -> None:
    assert not pairs_in_group("music-data")
    assert not successors("measure", "note")


def pairs_in_group(name: str) -> set[tuple[str, str]]:
    return ordered(named()["group", name])


@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_families_hold_the_signs_of_the_schema(family: str) -> None:
    signs = set(children(named()["complexType", family]))
    # An accidental beside an ornament is no ornament, and may stand in <notations> by itself.
    assert signs - {"accidental-mark"} == FAMILIES[family]
