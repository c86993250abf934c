"""Stacks in the words of layouts, and a tune told by a section."""

from collections.abc import Mapping
from functools import partial

from rewriter.hearing.doublings import doublings_of
from rewriter.hearing.sections import parts_of_section, sections_of
from rewriter.hearing.stack_names import stack_text
from rewriter.hearing.stacks import stacks_of
from rewriter.hearing.tune import line_chosen
from rewriter.rulefiles.loading import load_ensemble
from rewriter.rulefiles.stack import parse_stack
from tests.hearing.hearing import heard

LINE = "C5q D5 E5 F5 | G5q F5 E5 D5 | C5w"
BELOW = "C4q D4 E4 F4 | G4q F4 E4 D4 | C4w"
TWO_BELOW = "C3q D3 E3 F3 | G3q F3 E3 D3 | C3w"
OTHER = "C3w | G3w | C3w"


def _texts(parts: Mapping[str, str], ensemble: str = "symphonic") -> list[str]:
    listened = heard({name: f"4/4 | {music} |" for name, music in parts.items()})
    players = sections_of(listened.reading.score, load_ensemble(ensemble))
    return [stack_text(listened, players, one) for one in stacks_of(doublings_of(listened))]


def test_sections_are_called_as_layouts_call_them() -> None:
    parts = {
        "Violin 1": LINE,
        "Violini II": BELOW,
        "Bratschen": BELOW,
        "Violoncello": TWO_BELOW,
    }
    (text,) = _texts(parts)
    assert text == "Vn I / Vn II + Vla / Vc"
    assert parse_stack(text, load_ensemble("symphonic")).text == text


def test_a_section_in_octaves_stands_on_two_levels() -> None:
    pairs = zip(BELOW.split("|"), TWO_BELOW.split("|"), strict=True)
    divided = " | ".join(f"{one} & {other}" for one, other in pairs)
    assert _texts({"Violin 1": LINE, "Violoncello": divided}) == ["Vn I / Vc / Vc"]


def test_half_a_section_is_named_where_the_rest_plays_something_else() -> None:
    pairs = zip(BELOW.split("|"), OTHER.split("|"), strict=True)
    divided = " | ".join(f"{one} & {other}" for one, other in pairs)
    assert _texts({"Violin 1": LINE, "Violoncello": divided}) == ["Vn I / half Vc"]
    assert _texts({"Violin 1": LINE, "Violoncello": divided}, "quartet") == ["Vn I / Vc"]


def test_others_have_the_names_of_their_parts() -> None:
    assert _texts({"Flute": LINE, "Violin 1": LINE, "Viola": BELOW}) == ["Flute + Vn I / Vla"]


def test_a_tune_told_by_a_section() -> None:
    parts = {"Violin 1": LINE, "Violini II": BELOW}
    listened = heard({name: f"4/4 | {music} |" for name, music in parts.items()})
    ensemble = load_ensemble("symphonic")
    players = sections_of(listened.reading.score, ensemble)
    sections = partial(parts_of_section, players, ensemble)
    assert line_chosen(listened, "Vn II", sections).place.part == 1
