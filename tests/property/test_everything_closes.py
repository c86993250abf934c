"""Ties, slurs, hairpins, tuplets and lines all close, whatever the sketch leaves open."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

import rewriter
from tests.outside.spans import spanner_faults, voice_faults
from tests.property.expanding import LAYOUTS, expand
from tests.property.strategies import Sketch, broken_sketches, sketches
from tests.shorthand import sketch as sketch_of


@given(sketches(), st.sampled_from(LAYOUTS))
def test_everything_closes(sketch: Sketch, layout: str) -> None:
    assert spanner_faults(expand(sketch, layout).score) == []


@given(broken_sketches(), st.sampled_from(LAYOUTS))
def test_what_the_sketch_leaves_open_is_closed(sketch: Sketch, layout: str) -> None:
    """All but beams, which are drawn as the sketch draws them."""
    found = spanner_faults(expand(sketch, layout).score)
    assert [fault for fault in found if "beam" not in fault] == []


@given(st.one_of(sketches(), broken_sketches()), st.sampled_from(LAYOUTS))
def test_voices_fill_their_bars_and_do_not_overlap(sketch: Sketch, layout: str) -> None:
    assert voice_faults(expand(sketch, layout).score) == []


@given(
    sketches(
        without=frozenset(
            {"chords", "cue notes", "unpitched notes", "second voice", "two staves"}
        )
    ),
    st.sampled_from(
        ("slur", "tie", "tied", "tuplet", "wedge", "tremolo", "glissando", "slide")
    ),
)
def test_nothing_is_closed_by_leaving_it_out(sketch: Sketch, tag: str) -> None:
    """What a clean tune has, a line that carries it has as often."""
    line = expand(sketch, "Vn I loco").score.decode().split("</part>")[0]
    tune = sketch.data.decode().split("</part>")[0]
    assert line.count(f"<{tag} ") == tune.count(f"<{tag} ")


@pytest.mark.parametrize(
    "music",
    [
        "4/4 | (G3q `G7s A3q B3 C4) |",  # one grace note high enough for an 8va of its own
        "4/4 | (G3q B3 `B5s `G7s C4q C4) |",
    ],
)
def test_an_octave_line_of_ours_over_grace_notes_closes(music: str) -> None:
    assert spanner_faults(rewriter.expand(sketch_of(music), "Vn I loco").score) == []


@pytest.mark.parametrize("end", ["tie", "tied"])
@pytest.mark.parametrize("side", ["start", "stop"])
def test_a_tie_is_heard_and_drawn_or_neither(end: str, side: str) -> None:
    """W3C MusicXML 4.0, a ``<tie>`` sounds and a ``<tied>`` is drawn: both or neither."""
    whole = sketch_of("2/4 | C5q~^accent C5^accent |")
    half = whole.replace(f'<{end} type="{side}"/>'.encode(), b"")
    assert half != whole
    assert spanner_faults(rewriter.expand(half, "Vn I loco").score) == []
