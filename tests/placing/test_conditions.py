"""What treatises ask of the register, and how a breach is said."""

import pytest

from rewriter.placing.conditions import outside_condition
from rewriter.placing.fitness import hear
from rewriter.placing.limits import PlayedLine
from rewriter.placing.octave import place
from rewriter.rulefiles.layouts import Bound, Condition
from rewriter.rulefiles.loading import resolve_layout
from rewriter.rulefiles.shelf import names
from rewriter.sketch.model import Sounding
from tests.placing.ground import midi, player, said, strings, tune

# Rimsky-Korsakov, Principles of Orchestration (1922), ch. II, p. 41.
ON_UPPER_STRINGS = Condition(
    bounds=(Bound(family="cellos", sections=("Vc",), low=midi("D3"), high=None),),
    because="the cellos must lie on the A or D string.",
    source="Rimsky-Korsakov (1922), p. 41; example: Antar 43",
)
# The same, p. 39: four sections in unison only in the alto-tenor register.
ALTO_TENOR = Condition(
    bounds=tuple(
        Bound(family=family, sections=sections, low=midi("G3"), high=midi("A4"))
        for family, sections in (("violins", ("Vn I", "Vn II")), ("violas", ("Vla",)))
    ),
    because="only in the alto-tenor register",
    source="",
)


def _line(key, text, octave=0):
    notes, _ = tune(text)
    return PlayedLine(player(key, octave), notes, 12 * octave)


def test_a_tune_that_keeps_the_condition_is_not_mentioned():
    lines = [_line("Vn I", "D4q E4q F4h", 1), _line("Vc", "D4q E4q F4h", -1)]
    assert outside_condition(ON_UPPER_STRINGS, lines) == []


def test_a_breach_names_its_first_note_and_its_share():
    lines = [_line("Vn I", "C3w"), _line("Vc", "D4h C4q D4q | (B3q C4q) D4h", -1)]
    assert said(outside_condition(ON_UPPER_STRINGS, lines)) == [
        "advice: Vc, bar 1, beat 3: C3 is below D3, as is 38% of this line; "
        "the cellos must lie on the A or D string (Rimsky-Korsakov (1922), p. 41)  "
        "[outside-condition]"
    ]


def test_each_limit_is_mentioned_once_at_the_line_that_breaks_it_most():
    lines = [
        _line("Vn I", "Bb4q A4h."),
        _line("Vn II", "A4q Bb4h."),
        _line("Vla", "F3q G3q Bb4h"),
    ]
    assert said(outside_condition(ALTO_TENOR, lines)) == [
        "advice: Vn II, bar 1, beat 2: Bb4 is above A4, as is 75% of this line; "
        "only in the alto-tenor register  [outside-condition]",
        "advice: Vla, bar 1, beat 1: F3 is below G3, as is 25% of this line; "
        "only in the alto-tenor register  [outside-condition]",
        "advice: Vla, bar 1, beat 3: Bb4 is above A4, as is 50% of this line; "
        "only in the alto-tenor register  [outside-condition]",
    ]


@pytest.mark.parametrize("text", ["`C3e D3w", "`C3e"])
def test_grace_notes_breach_by_count_only_where_nothing_else_sounds(text):
    (line,) = said(outside_condition(ON_UPPER_STRINGS, [_line("Vc", text)]))
    assert ("as is 1% of" if "w" in text else "as is all of") in line


def _shipped():
    ensemble = strings()
    for name in names("layouts"):
        layout = resolve_layout(name, ensemble)
        if layout.condition:
            yield pytest.param(layout, id=name)


def _lines_of(layout, pitches):
    """The layout with its top line at the tune's pitch, and a tune of these pitches."""
    notes = [Sounding(0, 4 * at, 4, pitch, -1, at) for at, pitch in enumerate(pitches)]
    anchored = layout.stack._replace(top_octave=0)
    placed = place(anchored, strings(), hear(notes, ()))
    return [
        PlayedLine(player(line.member.section), notes, 12 * line.octave)
        for line in placed.lines
    ]


def _limits(layout):
    """Each limit of each line it concerns, as the tune's pitch; sign 1 is an upper limit."""
    for line in _lines_of(layout, [60]):
        for bound in layout.condition.bounds:
            if line.section.key in bound.sections:
                for limit, sign in ((bound.low, -1), (bound.high, 1)):
                    if limit is not None:
                        yield bound.family, sign, limit - line.shift


@pytest.mark.parametrize("layout", list(_shipped()))
def test_a_tune_inside_the_condition_of_the_treatise_gives_no_finding(layout):
    """Rimsky-Korsakov, Principles of Orchestration (1922), ch. II; one of common practice."""
    limits = list(_limits(layout))
    lows = [limit for _, sign, limit in limits if sign < 0]
    highs = [limit for _, sign, limit in limits if sign > 0]
    low = max(lows) if lows else min(highs) - 12
    high = min(highs) if highs else low + 12
    assert low < high
    assert outside_condition(layout.condition, _lines_of(layout, [low, high])) == []


@pytest.mark.parametrize("layout", list(_shipped()))
def test_a_tune_outside_gives_exactly_that_advice(layout):
    limits = list(_limits(layout))
    for _, sign, limit in limits:
        pitch = limit + sign
        broken = {
            (family, side) for family, side, other in limits if side * (pitch - other) > 0
        }
        found = said(outside_condition(layout.condition, _lines_of(layout, [pitch])))
        assert len(found) == len(broken)
        assert all(line.startswith("advice: ") for line in found)
        assert all("as is all of this line; " in line for line in found)
        assert all(layout.condition.because in line for line in found)


@pytest.mark.parametrize(
    ("by", "first", "share"),
    [(0, None, 0), (-2, 48, 0.25), (-3, 49, 0.5), (-6, 46, 1), (7, None, 0)],
)
def test_a_condition_is_asked_at_any_number_of_semitones(by, first, share):
    """E3 D3 G3 are 52, 50 and 55, of one, one and two quarters; the cellos' limit is D3, 50."""
    notes, _ = tune("E3q D3q G3h")
    found = outside_condition(ON_UPPER_STRINGS, [PlayedLine(player("Vc"), notes, by)])
    assert [(one.note.midi, one.share) for one in found] == ([(first, share)] if first else [])
