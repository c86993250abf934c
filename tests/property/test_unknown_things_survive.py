"""Elements and attributes of the sketch that nobody need understand go into every line."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.outside.reference import score_root
from tests.property.expanding import expand
from tests.property.strategies import Sketch, compose, sketches

# Chords are left out because of their notes only one is carried.
OTHERS = sketches(without=frozenset({"chords"})).map(
    lambda sketch: compose(sketch.bars, sketch.features | {"others", "groupings"}, sketch.seed)
)
KINDS = (
    "other-ornament",
    "other-technical",
    "other-articulation",
    "other-notation",
    "notehead",
    "footnote",
    "other-play",
)


@given(OTHERS, st.sampled_from(KINDS))
def test_elements_of_notes_survive_in_every_line(sketch: Sketch, kind: str) -> None:
    tune = sum(1 for _ in score_root(sketch.data).find("part").iter(kind))
    parts = score_root(expand(sketch, "Vn I loco + Vla loco").score).findall("part")
    counts = [sum(1 for _ in part.iter(kind)) for part in parts]
    assert counts == [tune, 0, tune, 0, 0]


@given(OTHERS)
def test_attributes_of_notes_survive(sketch: Sketch) -> None:
    tune = sketch.data.count(b' dynamics="81.5"')
    assert expand(sketch, "Vn I loco").score.count(b' dynamics="81.5"') == tune


@given(OTHERS)
def test_what_hangs_on_an_element_survives_with_it(sketch: Sketch) -> None:
    for said in (b"as in the autograph", b'<other-play type="bow">light', b"sul tasto"):
        tune = sketch.data.count(said)
        assert expand(sketch, "Vn I loco").score.count(said) == tune


@pytest.mark.parametrize("said", ["<other-direction>gong</other-direction>", "<image/>"])
def test_directions_nobody_knows_survive(said: str) -> None:
    if said == "<image/>":
        said = '<image source="lantern.png" type="image/png"/>'
    data = compose(3, frozenset({"words"}), 1).data
    data = data.replace(b"<words>", said.encode() + b"</direction-type><direction-type><words>")
    sketch = Sketch(3, frozenset(), 1, data)
    assert data.count(said.encode()) > 1
    assert expand(sketch, "Vn I loco").score.count(said.encode()) == data.count(said.encode())
