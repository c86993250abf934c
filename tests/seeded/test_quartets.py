"""Known faults planted into real quartet movements: found where they are, mended, no byte else.

What the movements have of their own is taken away by comparing with what was found before.
"""

from collections import Counter
from functools import cache
from pathlib import Path

import pytest
from lxml import etree

import rewriter
from rewriter.reporting.checked import Flaw
from tests.enforcing.enforcing import Asked, troubles_after
from tests.outside.reference import score_root
from tests.rates.measuring import quartets
from tests.seeded.planting import LOWEST, PLANTERS, Music

MOVEMENTS = (
    "haydn/opus74no1/movement1",
    "mozart/k458/movement2",
    "beethoven/opus59no2/movement3",
    "schumann_robert/opus41no1/movement3",  # has a change of metre
)
SECTIONS = ("Vn I", "Vn II", "Vla", "Vc")
RESTORED = {"wrong sign", "too low", "other metre"}
"""Faults whose mend brings back what was there."""


@cache
def _path(name: str) -> Path:
    return next(path for path in quartets() if name in path.as_posix())


@cache
def _music(name: str) -> bytes:
    return etree.tostring(score_root(_path(name).read_bytes()))


@cache
def _told(name: str) -> tuple[str, ...]:
    parts = [part.get("id") for part in etree.fromstring(_music(name)).findall("part")]
    return tuple(f"{part}={section}" for part, section in zip(parts, SECTIONS, strict=True))


def _places(findings: tuple[Flaw, ...]) -> Counter[tuple[str, str, int]]:
    return Counter((one.rule, one.part, one.index) for one in findings)


@cache
def _before(name: str) -> Counter[tuple[str, str, int]]:
    return _places(rewriter.check(_music(name), sections=_told(name)).findings)


def _planted(name: str, fault: str, part: int) -> tuple[bytes, tuple[str, str, int]] | None:
    """A movement with a fault in a part, and where it is; None where it has no place for it."""
    planter, rule = PLANTERS[fault]
    root = etree.fromstring(_music(name))
    element = root.findall("part")[part]
    own = str(element.get("id"))
    if any(found[:2] == (rule, own) for found in _before(name)):
        return None
    places = list(planter(Music(element, LOWEST[part])))
    if not places:
        return None
    place = places[len(places) // 2]
    place.make()
    return etree.tostring(root), (rule, own, place.bar)


@pytest.mark.parametrize("fault", PLANTERS)
def test_a_fault_in_a_real_movement(fault: str) -> None:
    """In each movement in one part that has a place for it; in one of them at least."""
    tried = 0
    for turn, name in enumerate(MOVEMENTS):
        parts = [(turn + part) % len(SECTIONS) for part in range(len(SECTIONS))]
        found = next(filter(None, (_planted(name, fault, part) for part in parts)), None)
        if found is None:
            continue
        tried += 1
        data, place = found
        now = _places(rewriter.check(data, sections=_told(name)).findings)
        assert now - _before(name) == Counter([place])
        assert not _before(name) - now
        _mended_alone(fault, name, data, place)
    assert tried


def _mended_alone(fault: str, name: str, data: bytes, place: tuple[str, str, int]) -> None:
    rule = place[0]
    asked = Asked(f"{fault} in {name}", data, _told(name), house="")
    made = asked.mended(data, [rule])
    assert list(troubles_after(asked, made, [rule])) == []
    mended = [one for one in made.report.findings if one.mended]
    if fault in RESTORED:
        assert place in _places(tuple(mended))
        others = [one for one in mended if (one.rule, one.part, one.index) != place]
        assert others or rewriter.differences(_music(name), made.score).are_none


def test_every_planter_is_told_from_the_others() -> None:
    assert len({rule for _, rule in PLANTERS.values()}) == len(PLANTERS)
