"""A slice of the corpus mended; all of it: see ``tests.enforcing``."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

import rewriter
from tests.corpus.trying import pieces
from tests.enforcing import enforcing
from tests.enforcing.bytes_outside import changed_outside, changed_places
from tests.enforcing.dressing import DRESSES
from tests.enforcing.enforcing import Asked, asked_of, troubles_of
from tests.outside.heard import heard_by_music21
from tests.shorthand import finished_score

# By the end of the path; what each is here for.
SLICE = {
    "bach/bwv124.6.mxl": "a chorale: notes out of range, as strings",
    "mozart/k458/movement3.mxl": "a quartet movement: signs that are wanting",
    "schumann_clara/polonaise_op1n2.mxl": "a piece for piano, as if a violin had it",
    "monteverdi/madrigal.4.3.mxl": "a madrigal: an open line, notes out of range",
    "schoenberg/opus19/movement2.mxl": "a piece of which nothing is mended",
}
FAULTY = finished_score(
    {
        "Violin I": "4/4 mark=A | p A4h F#4-q F#4q | (C#5h D5h~ | D5w) | (E5h F3h) |",
        "Violoncello": "4/4 | p D3h D3h | [A2 C#3]q^begin-slur-1 B2q A2h | D3w | R |",
        "Double Bass": "4/4 mark=A | p D2h D2h | A1h A1h | D2w | R |",
    }
)


def _path(name: str) -> Path:
    return next(path for path in pieces() if path.as_posix().endswith(name))


def _kinds(asked: Asked, **ways: bool) -> list[str]:
    return [f"{one}" for one in troubles_of(asked, **ways) if one.kind != "mended"]


@pytest.mark.parametrize("name", SLICE)
def test_only_what_is_said_to_be_changed_is(name: str) -> None:
    for asked in asked_of(_path(name)):
        assert _kinds(asked) == []


def test_two_rules_alone_and_every_dress() -> None:
    """Of a score with faults of four kinds."""
    asked = Asked("faulty", FAULTY)
    rules = {one.rule for one in asked.mended(FAULTY).report.findings if one.mended}
    assert len(rules) >= 3
    assert _kinds(asked, pairs=True, dresses=True) == []


@pytest.mark.parametrize("name", DRESSES)
def test_a_dress_is_the_same_music(name: str) -> None:
    dressed = DRESSES[name](FAULTY)
    assert dressed != FAULTY
    if name != "utf_16":  # music21 knows no encoding but UTF-8
        heard = heard_by_music21(FAULTY)
        assert rewriter.differences(FAULTY, dressed).are_none
        if name not in {"zipped", "by_bars"}:
            assert heard_by_music21(dressed) == heard


def _sub(pattern: bytes, instead: bytes) -> Callable[[bytes], bytes]:
    return lambda data: re.sub(pattern, instead, data, count=1)


@pytest.mark.parametrize(
    ("spoil", "kind"),
    [
        (_sub(rb"<part id", rb"<part  id"), "byte changed"),
        (_sub(rb"</measure>(?=</part></score)", rb" </measure>"), "byte changed"),
        (_sub(rb"<type>half</type>", rb"<type>longer</type>"), "invalid"),
        (_sub(rb"<octave>5</octave>", rb"<octave>2</octave>"), "new finding"),
    ],
)
def test_trouble_would_be_seen(
    monkeypatch: pytest.MonkeyPatch, spoil: Callable[[bytes], bytes], kind: str
) -> None:
    whole = rewriter.enforce
    asked = Asked("faulty", FAULTY)

    def spoilt(data: bytes, **options: object) -> rewriter.Enforcement:
        made = whole(data, **options)  # type: ignore[arg-type]  # handed on
        return made._replace(score=spoil(made.score)) if data == FAULTY else made

    monkeypatch.setattr(enforcing.rewriter, "enforce", spoilt)
    assert kind in {one.kind for one in troubles_of(asked)}


def test_places_are_found_in_any_text() -> None:
    """Bars that comments and attributes speak of are none."""
    bars = [
        '<measure number="1"><note/></measure>',
        "<!-- <measure> --><measure number='2'/>",
        '<measure number="3>"><?x </measure>?></measure>',
    ]
    was = f'<score-partwise><part-list/><part id="P1">{"".join(bars)}</part></score-partwise>'
    for bar, (old, new) in enumerate([("note/>", "note />"), ("'2'", "'4'"), ("?x", "?y")]):
        assert changed_places(was.encode(), was.replace(old, new).encode()) == {("P1", bar)}
    made = was.replace("-list/", "-list /").replace("<!-- ", "<!--")
    assert changed_places(was.encode(), made.encode()) == {("", -1), None}
    assert [*changed_outside(was.encode(), was.encode(), set())] == []
