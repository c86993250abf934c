"""Where lines that double each other do not say the same, kind by kind."""

import pytest

from rewriter.hearing.disagreements import Disagreement, Said, in_notes
from rewriter.hearing.doublings import doublings_of
from rewriter.hearing.lines import Heard
from rewriter.hearing.mark_disagreements import MarkedDoublings
from tests.hearing.hearing import heard, moment

LONG = "C5q D5 E5 F5 | G5q F5 E5 D5 | C5q E5 G5 C6 | B5q A5 G5 F5 | E5w |"


def _side(said: tuple[Said, ...]) -> str:
    return " ".join(one.what for one in said) or "nothing"


def _row(listened: Heard, one: Disagreement) -> str:
    sides = f"{_side(one.upper)}, {_side(one.lower)}"
    return f"{moment(listened, one.time)} {one.kind}: {sides}"


def _found(music: str, other: str, *, marks: bool) -> list[str]:
    listened = heard({"Vn I": f"4/4 | {music}", "Vn II": f"4/4 | {other}"})
    marked = MarkedDoublings(listened)
    return [
        _row(listened, one)
        for doubling in doublings_of(listened)
        for one in (marked.disagreements(doubling) if marks else in_notes(doubling))
    ]


@pytest.mark.parametrize(
    ("was", "now", "found"),
    [
        ("B5q", "D6q", "4.1 pitch: B5, D6"),
        ("B5q", "Bb5q", "4.1 alteration: B5, Bb5"),
        ("B5q", "Bb4q", "4.1 pitch: B5, Bb4"),
        ("B5q", "B4q", "4.1 octave: B5, B4"),
        ("B5q", "Cb6q", "4.1 spelling: B5, Cb6"),
        ("B5q A5", "B5e B5 A5q", "4.1 length: B5, B5; 4.1.5 rhythm: nothing, B5"),
        ("A5 G5 F5", "A5h F5q", "4.2 length: A5, A5; 4.3 rhythm: G5, nothing"),
        ("E5w", "E5h. rq", "5.1 length: E5, E5"),
    ],
)
def test_in_notes(was: str, now: str, found: str) -> None:
    assert "; ".join(_found(LONG, LONG.replace(was, now), marks=False)) == found


def test_a_transposing_instrument_spells_as_it_sounds() -> None:
    clarinet = "4/4 transpose=-1,-2 | D5q E5 F#5 G5 | A5q G5 F#5 Fb5 |"
    violin = "4/4 | C5q D5 E5 F5 | G5q F5 E5 D5 |"
    listened = heard({"Clarinet": clarinet, "Vn I": violin})
    (doubling,) = doublings_of(listened)
    assert [_row(listened, one) for one in in_notes(doubling)] == ["2.4 spelling: Ebb5, D5"]


@pytest.mark.parametrize(
    ("was", "now", "found"),
    [
        ("G5q F5", "(G5q F5)", ["2.1 slur: nothing, slur"]),
        ("G5q F5", "G5q^staccato F5", ["2.1 articulation: nothing, staccato"]),
        ("G5q F5", "G5q^trill F5", ["2.1 ornament: nothing, trill-mark"]),
        ("G5q F5", "G5q^up-bow F5", ["2.1 bowing: nothing, up-bow"]),
        ("G5q F5", "G5q^open-string F5", ["2.1 technique: nothing, open-string"]),
        ("G5q F5", "sf G5q F5", ["2.1 dynamic: nothing, sf"]),
        ("G5q F5", '"dolce" G5q F5', ["2.1 words: nothing, dolce"]),
        ("G5q F5", '"pizz." G5q F5', ["2.1 technique: arco, pizz."]),
        ("G5q F5 E5 D5", "< G5q F5 E5 D5 !", ["2.1 hairpin: nothing, crescendo"]),
        ("G5q F5", '"Allegro" G5q F5', []),
        ("G5q F5", "mf G5q F5", []),
    ],
)  # fmt: skip
def test_in_marks(was: str, now: str, found: list[str]) -> None:
    assert _found(LONG, LONG.replace(was, now), marks=True) == found


def test_other_slurs_at_one_place_are_one_disagreement() -> None:
    ours = LONG.replace("G5q F5 E5 D5", "(G5q F5 E5 D5)")
    others = LONG.replace("G5q F5 E5 D5", "(G5q F5)( E5 D5)").replace(")(", ") (")
    assert _found(ours, others, marks=True) == ["2.1 slur: slur, slur slur"]


def test_dynamics_are_compared_by_what_is_in_force() -> None:
    ours = "f " + LONG.replace("G5q F5", "f G5q F5").replace("B5q", "p B5q")
    others = "f " + LONG.replace("C5q E5 G5", "mf C5q E5 G5").replace("B5q", "p B5q")
    assert _found(ours, others, marks=True) == ["3.1 dynamic: f, mf"]


def test_signs_half_a_beat_off_are_at_one_place() -> None:
    ours = LONG.replace("G5q F5", "p G5e G5 F5q")
    others = LONG.replace("G5q F5", "G5e p G5 F5q")
    assert _found("f " + ours, "f " + others, marks=True) == []
