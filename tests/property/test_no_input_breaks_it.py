"""No input makes a traceback, changes the input, or reaches outside."""

import re
import signal
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from lxml import etree

import rewriter
from rewriter.problems import Refused
from tests.property.strategies import FEATURES, Sketch, broken_sketches, compose, sketches
from tests.shorthand import sketch as sketch_of

RANDOMS = st.randoms(use_true_random=False)
WRONG = (
    "x",
    "-1",
    "0",
    "1e9",
    "99999999999999999999",
    "H",
    "1.5",
    " 1 ",
    "\u0664",
    "&#x0;",
    "",
)
TEXTS = re.compile(r">([^<>]+)<|=[\"']([^\"']+)[\"']")


@pytest.fixture(autouse=True, scope="module")
def _no_network() -> Iterator[None]:
    def refuse(*args: object, **kwargs: object) -> None:
        raise AssertionError(f"reaches for the network: {args} {kwargs}")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(socket, "socket", refuse)
        patch.setattr(socket, "create_connection", refuse)
        yield


@contextmanager
def coming_to_an_end() -> Iterator[None]:
    """Turn an endless loop into a failure; no test of speed, a tenth of a second is usual."""

    def stop(*_: object) -> None:
        raise AssertionError("does not come to an end")

    before = signal.signal(signal.SIGALRM, stop)
    signal.alarm(30)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def expanded_or_refused(data: bytes, layout: str = "Vn I / Vla") -> None:
    """A refusal is one line; anything else that is raised fails the test."""
    refusal = "refused in one line"
    try:
        with coming_to_an_end():
            rewriter.expand(data, layout, tune="P1")
    except Refused as refused:
        refusal = str(refused)
    assert refusal
    assert "\n" not in refusal


HUGE = "99999999999999999999"


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("<beats>2</beats>", f"<beats>{HUGE}</beats>"),
        ("<beat-type>4</beat-type>", f"<beat-type>{HUGE}</beat-type>"),
        ("<chromatic>-2</chromatic>", "<chromatic>1e9</chromatic>"),
        ("<chromatic>-2</chromatic>", f"<chromatic>{HUGE}</chromatic>"),
        ("<duration>1</duration>", f"<duration>{HUGE}</duration>"),
        ("<divisions>1</divisions>", f"<divisions>{HUGE}</divisions>"),
        ("<divisions>1</divisions>", "<divisions>1e-9</divisions>"),
        ("<fifths>1</fifths>", f"<fifths>{HUGE}</fifths>"),
        ("<octave>5</octave>", f"<octave>{HUGE}</octave>"),
        ("<step>C</step>", "<step>C</step><alter>1e9</alter>"),
    ],
)
def test_values_beyond_all_bounds(right: str, wrong: str) -> None:
    text = sketch_of("2/4 key=1 transpose=-1,-2 | C5q D5 |").decode()
    assert right in text
    expanded_or_refused(text.replace(right, wrong, 1).encode())


@pytest.mark.parametrize("length", [HUGE, "1e9", "999999999"])
def test_a_length_beyond_all_bounds_in_another_part(length: str) -> None:
    text = sketch_of("2/4 | C5q |", others={"Oboe": "2/4 | D5q E5 |"}).decode()
    first, other = text.split('<part id="P2">')
    other = other.replace("<duration>1</duration>", f"<duration>{length}</duration>", 1)
    expanded_or_refused(f'{first}<part id="P2">{other}'.encode())


@given(st.binary(max_size=200))
@example(b"")
@example(b"PK\x03\x04")
@example(b"\xff\xfe<\x00")
@example(b"<score-partwise/>")
@example(b"<score-timewise><part-list/><measure/></score-timewise>")
@example(b"<html><body/></html>")
def test_any_bytes(data: bytes) -> None:
    expanded_or_refused(data)


@given(broken_sketches())
def test_sketches_with_ends_missing(sketch: Sketch) -> None:
    assert rewriter.expand(sketch.data, "Vn I / Vla", tune=sketch.tune).score


@given(sketches(max_bars=3), RANDOMS)
def test_sketches_cut_off(sketch: Sketch, rng: Random) -> None:
    expanded_or_refused(sketch.data[: rng.randrange(len(sketch.data))])


@given(sketches(max_bars=3), RANDOMS, st.sampled_from(WRONG))
def test_sketches_with_a_wrong_value(sketch: Sketch, rng: Random, wrong: str) -> None:
    """One text between tags, or one attribute, replaced by something it cannot be."""
    text = sketch.data.decode()
    start, end = rng.choice([one.span(one.lastindex or 0) for one in TEXTS.finditer(text)])
    expanded_or_refused((text[:start] + wrong + text[end:]).encode())


@given(sketches(max_bars=3), RANDOMS)
def test_sketches_with_an_element_missing(sketch: Sketch, rng: Random) -> None:
    root = etree.fromstring(sketch.data)
    chosen = rng.choice(list(root.iter())[1:])
    chosen.getparent().remove(chosen)
    expanded_or_refused(etree.tostring(root))


@given(sketches(max_bars=3), RANDOMS)
def test_sketches_with_two_elements_exchanged(sketch: Sketch, rng: Random) -> None:
    root = etree.fromstring(sketch.data)
    one, two = rng.sample(list(root.iter())[1:], 2)
    one.tag, two.tag = two.tag, one.tag
    expanded_or_refused(etree.tostring(root))


@given(sketches(max_bars=2), st.text(max_size=20))
def test_any_layout(sketch: Sketch, layout: str) -> None:
    expanded_or_refused(sketch.data, layout)


@given(st.lists(st.sampled_from(["Vn I", "Vla", "Db", "/", "+", "half", "8va", "loco", "x"])))
def test_any_words_of_layouts(words: list[str]) -> None:
    expanded_or_refused(compose(1, frozenset(), 1).data, " ".join(words))


def test_the_input_file_is_left_alone_and_nothing_is_written(tmp_path: Path) -> None:
    path = tmp_path / "lantern.musicxml"
    path.write_bytes(compose(4, frozenset(FEATURES), 3).data)
    before = (path.read_bytes(), path.stat().st_mtime_ns)
    rewriter.expand(path, "Vn I / Vla", tune="P1 staff 1 voice 1")
    assert (path.read_bytes(), path.stat().st_mtime_ns) == before
    assert list(tmp_path.iterdir()) == [path]


def test_a_tree_is_left_as_it_was() -> None:
    tree = etree.ElementTree(etree.fromstring(compose(4, frozenset(FEATURES), 3).data))
    before = etree.tostring(tree)
    rewriter.expand(tree, "Vn I / Vla", tune="P1 staff 1 voice 1")
    assert etree.tostring(tree) == before


def test_an_external_entity_is_never_read(tmp_path: Path) -> None:
    secret = tmp_path / "secret.txt"
    secret.write_text("the lantern is under the stairs", encoding="utf-8")
    data = compose(2, frozenset({"words"}), 1).data.decode()
    doctype = f'<!DOCTYPE score-partwise [<!ENTITY leak SYSTEM "{secret.as_uri()}">]>'
    data = data.replace("<score-partwise", f"{doctype}<score-partwise", 1)
    data = data.replace("<words>", "<words>&leak;")
    assert "&leak;" in data
    try:
        said = rewriter.expand(data.encode(), "Vn I", tune="P1").score.decode()
    except Refused as refused:
        said = str(refused)
    assert "stairs" not in said
