"""No input makes a traceback, changes the input, or reaches outside."""

import socket
from pathlib import Path
from random import Random

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

import rewriter
from rewriter.problems import Refused
from tests.property.strategies import Sketch, broken_sketches, sketches


@pytest.fixture(autouse=True, scope="module")
def _no_network() -> None:
    patch = pytest.MonkeyPatch()

    def refuse(*args: object, **kwargs: object) -> None:
        raise AssertionError(f"reaches for the network: {args} {kwargs}")

    patch.setattr(socket, "socket", refuse)
    patch.setattr(socket, "create_connection", refuse)
    yield
    patch.undo()


def expanded_or_refused(data: bytes, layout: str = "Vn I / Vla") -> None:
    try:
        rewriter.expand(data, layout, tune="P1")
    except Refused as refusal:
        said = str(refusal)
        assert said
        assert "\n" not in said


@given(st.binary(max_size=200))
@example(b"")
@example(b"PK\x03\x04")
@example(b"\xff\xfe<\x00")
@example(b"<score-partwise/>")
@example(b"<html><body/></html>")
def test_any_bytes(data: bytes) -> None:
    expanded_or_refused(data)


@given(broken_sketches())
def test_sketches_with_ends_missing(sketch: Sketch) -> None:
    rewriter.expand(sketch.data, "Vn I / Vla", tune=sketch.tune)


@given(sketches(max_bars=3), st.integers(min_value=0, max_value=2**32 - 1))
def test_sketches_cut_off(sketch: Sketch, seed: int) -> None:
    expanded_or_refused(sketch.data[: Random(seed).randrange(len(sketch.data))])


WRONG = (
    "",
    "x",
    "-1",
    "0",
    "1e9",
    "99999999999999999999",
    "H",
    "1.5",
    " 1 ",
    "\u0664",
    "&#0065;",
)


@given(sketches(max_bars=3), st.integers(0, 2**32 - 1), st.sampled_from(WRONG))
def test_sketches_with_wrong_values(sketch: Sketch, seed: int, wrong: str) -> None:
    """One text between tags, or one attribute, replaced by something it cannot be."""
    rng, text = Random(seed), sketch.data.decode()
    places = [
        place
        for place, one in enumerate(text)
        if one == ">" and text[place + 1 : place + 2] not in "<"
    ]
    place = rng.choice(places)
    end = text.index("<", place)
    expanded_or_refused((text[: place + 1] + wrong + text[end:]).encode())


@given(sketches(max_bars=3), st.integers(0, 2**32 - 1))
def test_sketches_with_an_element_missing(sketch: Sketch, seed: int) -> None:
    from lxml import etree

    root = etree.fromstring(sketch.data)
    chosen = Random(seed).choice(list(root.iter())[1:])
    chosen.getparent().remove(chosen)
    expanded_or_refused(etree.tostring(root))


@given(sketches(max_bars=2), st.text(max_size=20))
def test_any_layout(sketch: Sketch, layout: str) -> None:
    try:
        rewriter.expand(sketch.data, layout, tune=sketch.tune)
    except Refused as refusal:
        assert "\n" not in str(refusal)


def test_the_input_file_is_left_alone_and_nothing_is_written(tmp_path: Path) -> None:
    from tests.property.strategies import FEATURES, compose

    path = tmp_path / "lantern.musicxml"
    path.write_bytes(compose(4, frozenset(FEATURES), 3).data)
    before = (path.read_bytes(), path.stat().st_mtime_ns)
    rewriter.expand(path, "Vn I / Vla", tune="P1 staff 1 voice 1")
    assert (path.read_bytes(), path.stat().st_mtime_ns) == before
    assert list(tmp_path.iterdir()) == [path]


def test_a_tree_is_left_as_it_was() -> None:
    from lxml import etree

    from tests.property.strategies import FEATURES, compose

    tree = etree.ElementTree(etree.fromstring(compose(4, frozenset(FEATURES), 3).data))
    before = etree.tostring(tree)
    rewriter.expand(tree, "Vn I / Vla", tune="P1 staff 1 voice 1")
    assert etree.tostring(tree) == before


def test_an_external_entity_is_never_read(tmp_path: Path) -> None:
    from tests.property.strategies import compose

    secret = tmp_path / "secret.txt"
    secret.write_text("the lantern is under the stairs", encoding="utf-8")
    data = compose(2, frozenset({"words"}), 1).data.decode()
    doctype = f'<!DOCTYPE score-partwise [<!ENTITY leak SYSTEM "{secret.as_uri()}">]>'
    data = data.replace("<score-partwise", f"{doctype}<score-partwise", 1)
    data = data.replace("<words>", "<words>&leak;")
    assert "&leak;" in data
    try:
        score = rewriter.expand(data.encode(), "Vn I", tune="P1").score
    except Refused as refusal:
        assert "stairs" not in str(refusal)
    else:
        assert b"stairs" not in score
