"""The shipped layouts, against the treatise they come from.

Rimsky-Korsakov, Principles of Orchestration (1922), ch. II, pp. 39-45: every combination he
lists has a file, and his register conditions stand in it.
"""

import pytest

from rewriter.rulefiles.loading import load_ensemble, names, resolve_layout
from rewriter.theory.pitch import name_of_midi
from tests.rulefiles.strings import symphonic

UNISON = {  # p. 39
    "a": ("violins-in-unison", "Vn I + Vn II"),
    "b": ("violins-and-violas-in-unison", "Vn I + Vn II + Vla"),
    "c": ("violas-and-cellos-in-unison", "Vla + Vc"),
    "d": ("violins-and-cellos-in-unison", "Vn I + Vn II + Vc"),
    "e": ("four-sections-in-unison", "Vn I + Vn II + Vla + Vc"),
    "f": ("cellos-and-basses-in-unison", "Vc + Db"),
}
OCTAVES = {  # pp. 40-44
    "a": ("violins-in-octaves", "Vn I / Vn II"),
    "note to a": ("two-desks-over-the-first-violins", "desks 1-2 Vn I / others Vn I"),
    "b": ("violins-divided-in-octaves", "Vn I + Vn II / Vn I + Vn II"),
    "c, first violins": ("first-violins-over-violas", "Vn I / Vla"),
    "c, second violins": ("second-violins-over-violas", "Vn II / Vla"),
    "c, both": ("violins-over-violas", "Vn I + Vn II / Vla"),
    "c, lower octave doubled": ("first-violins-over-seconds-and-violas", "Vn I / Vn II + Vla"),
    "d": ("violas-over-cellos", "Vla / Vc"),
    "e, both": ("violins-over-cellos", "Vn I + Vn II / Vc"),
    "e, first violins": ("first-violins-over-cellos", "Vn I / Vc"),
    "e, lower octave doubled": ("first-violins-over-seconds-and-cellos", "Vn I / Vn II + Vc"),
    "f": ("cellos-over-basses", "Vc / Db"),
    "g": ("violas-over-basses", "Vla / Db"),
    "h": ("violins-over-violas-and-cellos", "Vn I + Vn II / Vla + Vc"),
    "note III": ("violas-and-cellos-over-cellos-and-basses", "Vla + half Vc / half Vc + Db"),
}
MORE_OCTAVES = {  # pp. 44-45
    "a, violas": ("violins-in-octaves-over-violas", "Vn I / Vn II / Vla"),
    "a, cellos": ("violins-in-octaves-over-cellos", "Vn I / Vn II / Vc"),
    "a, both": ("violins-in-octaves-over-violas-and-cellos", "Vn I / Vn II / Vla + Vc"),
    "b, one each": ("violas-over-cellos-over-basses", "Vla / Vc / Db"),
    "b, middle doubled": (
        "violins-over-violas-and-cellos-over-basses",
        "Vn I + Vn II / Vla + Vc / Db",
    ),
    "b, top trebled": (
        "violins-and-violas-over-cellos-over-basses",
        "Vn I + Vn II + Vla / Vc / Db",
    ),
    "four octaves": ("five-levels", "Vn I / Vn II / Vla / Vc / Db"),
    "three octaves": (
        "violins-in-octaves-over-violas-and-cellos-over-basses",
        "Vn I / Vn II / Vla + Vc / Db",
    ),
}
SPACINGS = {  # common practice, no source
    "alone": ("cellos-alone", "Vc"),
    "violas": ("violas-alone", "Vla"),
    "violins": ("first-violins-alone", "Vn I"),
    "adjacent": ("violins-over-violas-over-cellos", "Vn I + Vn II / Vla / Vc"),
    "light bass": ("violins-over-violas-over-half-the-cellos", "Vn I + Vn II / Vla / half Vc"),
    "usual": ("three-levels-middle-doubled", "Vn I / Vn II + Vla / Vc"),
    "widest": ("four-levels", "Vn I / Vn II / Vla / Vc"),
}
WITH_MORE = [  # beyond one tune in octaves: the sketch's other staves, handover, division
    "cellos-dovetail-with-seconds",
    "cellos-hand-over-to-seconds",
    "four-levels-over-the-basses",
    "half-the-cellos-over-the-sketch",
    "seconds-leave-the-firsts-for-the-cellos",
    "sketched-chords-alone",
    "three-levels-over-the-basses",
    "three-levels-over-the-sketched-bass",
    "violas-over-cellos-in-the-sketch",
    "violins-divided-at-the-top",
]
ALL = [*UNISON.values(), *OCTAVES.values(), *MORE_OCTAVES.values(), *SPACINGS.values()]

CONDITIONS = {
    "four-sections-in-unison": "violins G3-A4, violas G3-A4, cellos G3-A4",  # unison e
    "cellos-and-basses-in-unison": "cellos -C3, basses -C3",  # unison f, very low
    "violins-divided-in-octaves": "violins A4-",  # octaves b, high enough
    "violins-over-cellos": "cellos D3-",  # octaves e: on the D or A string
    "first-violins-over-cellos": "cellos D3-",
    "first-violins-over-seconds-and-cellos": "cellos D3-",
    "violins-over-violas-and-cellos": "violins C4-C6, violas -C5, cellos C3-C5",  # h, middle
    "violas-over-cellos-over-basses": "violas -D4, cellos -D3, basses -D2",  # b, low register
    "violins-over-violas-and-cellos-over-basses": (
        "violins -A4, violas -A3, cellos -A3, basses -A2"
    ),
    "violins-and-violas-over-cellos-over-basses": (
        "violins -A4, violas -A4, cellos -A3, basses -A2"
    ),
    "cellos-alone": "cellos C3-C5",
}


@pytest.mark.parametrize(("name", "stack"), ALL)
def test_every_combination_is_shipped(name, stack):
    assert resolve_layout(name, symphonic()).stack.text == stack


def test_nothing_else_is_shipped():
    assert names("layouts") == sorted([*(name for name, _ in ALL), *WITH_MORE])
    assert len({stack for _, stack in ALL}) == len(ALL)


@pytest.mark.parametrize("name", [name for name, _ in ALL])
def test_conditions(name):
    condition = resolve_layout(name, symphonic()).condition
    bounds = condition.bounds if condition else ()
    said = ", ".join(
        f"{bound.family} {(bound.low and name_of_midi(bound.low)) or ''}"
        f"-{(bound.high and name_of_midi(bound.high)) or ''}"
        for bound in bounds
    )
    assert said == CONDITIONS.get(name, "")


@pytest.mark.parametrize("name", [name for name, _ in ALL])
def test_every_file_says_what_it_is(name):
    layout = resolve_layout(name, symphonic())
    for text in (layout.title, layout.summary, layout.character, layout.source):
        assert text
    treatise = "Rimsky-Korsakov, Principles of Orchestration (1922), ch. II"
    practice = [one for one, _ in SPACINGS.values()]
    assert layout.source.startswith("common practice" if name in practice else treatise)


@pytest.mark.parametrize("ensemble", ["symphonic", "concert", "studio", "chamber"])
def test_every_layout_suits_every_ensemble(ensemble):
    strings = load_ensemble(ensemble)
    for name, _ in ALL:
        stack = resolve_layout(name, strings).stack
        for member in stack.members:
            assert stack.players_of(member, strings.section(member.section)) > 0


def test_a_condition_only_binds_sections_that_play():
    for name, _ in ALL:
        layout = resolve_layout(name, symphonic())
        playing = {member.section for member in layout.stack.members}
        for bound in layout.condition.bounds if layout.condition else ():
            assert playing & set(bound.sections), name
