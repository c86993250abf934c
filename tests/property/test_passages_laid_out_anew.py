"""Passages that a house lays out anew: the tune where it is placed, all else as it was."""

from collections import Counter
from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from hypothesis import assume, given
from hypothesis import strategies as st

from rewriter.checking.finished import Finished
from rewriter.checking.house import House
from rewriter.checking.mending import Mended, mended
from rewriter.checking.rules import RULES
from rewriter.checking.scoring import scoring_in
from rewriter.checking.scoring_facts import Differs
from rewriter.checking.told_tune import ToldTune
from rewriter.editing.edits import InBar
from rewriter.hearing.tune_notes import TuneNote
from rewriter.problems import exact_text
from rewriter.rulefiles.houses import HouseRules, RuleSettings, Scoring, Where
from rewriter.rulefiles.loading import load_ensemble, resolve_layout
from rewriter.rulefiles.plans import Point
from rewriter.scores.score import Score, read_score
from tests.outside.reference import Heard, heard_by_reference, heard_in_xml
from tests.outside.schema import faults
from tests.outside.spans import spanner_faults, voice_faults
from tests.property.expanding import SECTIONS, expand, moved, tune_of
from tests.property.planning import expand as expand_by_plan
from tests.property.plans import Plan, plans
from tests.property.strategies import Sketch, sketches
from tests.property.test_expansions_are_heard_as_they_were_laid_out import stacks

FORCES = load_ensemble("symphonic")
OTHERS_OFF = {rule.id: RuleSettings("off", {}) for rule in RULES if rule.id != "scoring"}


class Wish(NamedTuple):
    """A stack in some bars of those there are, perhaps from a beat on."""

    stack: str
    first: float
    last: float
    beat: int | None
    replace: bool


@st.composite
def wishes(draw: st.DrawFn) -> Wish:
    first, last = sorted(draw(st.floats(0, 1)) for _ in range(2))
    beat = draw(st.sampled_from([None, None, 2, 3]))
    return Wish(draw(stacks()), first, last, beat, draw(st.booleans()))


def asked(wish: Wish, score: Score) -> Scoring:
    numbers = score.parts[0].numbers
    first, last = (numbers[round((len(numbers) - 1) * at)] for at in (wish.first, wish.last))
    beat = Fraction(wish.beat) if wish.beat else None
    where = Where(
        start=Point("named", f"bar {first}", beat), stop=Point("named", f"bar {last}")
    )
    want = resolve_layout(wish.stack, FORCES)
    return Scoring(place="made up", where=where, want=want, replace=wish.replace)


class Case(NamedTuple):
    """A score before and after."""

    was: Finished
    done: Mended
    house: House
    told: ToldTune

    def again(self, data: bytes) -> Finished:
        return Finished(read_score(data), FORCES, told_tune=self.told)


def case_of(score: bytes, tune: list[Heard], wish: Wish) -> Case:
    notes = tuple(TuneNote(one.onset, one.length, one.midi) for one in tune)
    told = ToldTune("made up", notes=notes)
    was = Finished(read_score(score), FORCES, told_tune=told)
    house = House(HouseRules(rules=OTHERS_OFF, scoring=(asked(wish, was.score),)))

    def again(data: bytes) -> Finished:
        return Finished(read_score(data), FORCES, told_tune=told)

    return Case(was, mended(was, house, again), house, told)


@given(sketches(), stacks(), wishes())
def test_a_passage_of_one_layout(sketch: Sketch, layout: str, wish: Wish) -> None:
    score, tune = expand(sketch, layout).score, tune_of(sketch)
    holds(case_of(score, tune, wish), tune)


@given(plans(without=frozenset({"keys"})), wishes())
def test_a_passage_among_others_and_their_accompaniment(plan: Plan, wish: Wish) -> None:
    score = expand_by_plan(plan).score
    _, part, staff, voice = plan.tune
    tune = heard_in_xml(plan.sketch.data, part, staff=staff, voice=voice, chords="top")
    holds(case_of(score, tune, wish), tune)


def holds(case: Case, tune: list[Heard]) -> None:
    was, done = case.was, case.done
    found = [one for one in scoring_in(was, case.house.scoring) if isinstance(one, Differs)]
    assume(found)
    assert len(done.done) + len(done.left) >= len(found)
    for one in done.left:
        assert one.mend.startswith("not mended: ") or one.severity == "advice"
    assume(done.done)
    data = done.score.score.source
    places = {where for one in done.done for where in one.places}
    _only_there(was.score, done.score.score, places)
    assert faults(data) == []
    assert set(spanner_faults(data)) <= set(spanner_faults(was.score.source))
    assert voice_faults(data, filled=False) == []  # where they divide, a second may begin late
    assert not any(" voice 1 " in fault for fault in voice_faults(data))
    assert mended(done.score, case.house, case.again).score is done.score
    _sounds_right(case, found, tune)


def _only_there(was: Score, now: Score, places: set[object]) -> None:
    for part, (old, new) in enumerate(zip(was.parts, now.parts, strict=True)):
        for bar, (before, after) in enumerate(zip(old.bars, new.bars, strict=True)):
            assert before == after or InBar(part, bar) in places


def _sounds_right(case: Case, found: list[Differs], tune: list[Heard]) -> None:
    """In each passage the named sections have the tune, the others what they had or nothing."""
    divisions = case.was.reading.divisions
    left = {one.place.moment for one in case.done.left}
    passages = [
        one for one in found if exact_text(Fraction(one.passage.start, divisions)) not in left
    ]
    texts = {
        done.finding.place.moment: done.what.removeprefix("write ") for done in case.done.done
    }
    before, after = _by_section(case.was), _by_section(case.done.score)
    for section in SECTIONS:
        was, now = before[section], after[section]
        inside = []
        for one in passages:
            start, stop = (
                Fraction(time, divisions) for time in (one.passage.start, one.passage.stop)
            )
            inside.append((start, stop))
            own = _within(tune, start, stop)
            stack = resolve_layout(texts[exact_text(start)], FORCES).stack
            octaves = [
                stack.top_octave - level.depth
                for level in stack.levels
                for member in level.members
                if member.section == section
            ]
            wanted = _begun(note for octave in octaves for note in moved(own, octave))
            there = _within(now, start, stop)
            if octaves:  # one note in eight may not be in the voice it is taken from
                lacking = wanted - _begun(there)
                assert _begun(there) <= wanted, section
                assert lacking.total() * 8 <= wanted.total(), section
            else:
                assert _of_tune(_without(_within(was, start, stop), there), own), section
        assert _beside(now, inside) == _beside(was, inside), section


def _by_section(score: Finished) -> dict[str, list[Heard]]:
    """What sections sound like, those on two staves together."""
    found: dict[str, list[Heard]] = {section: [] for section in SECTIONS}
    heard = heard_by_reference(score.score.source)
    for own, notes in zip(score.players, heard, strict=True):
        found[own.sections[0].key] += notes
    return {section: sorted(notes) for section, notes in found.items()}


def _within(notes: list[Heard], start: Fraction, stop: Fraction) -> list[Heard]:
    return sorted(note for note in notes if start <= note.onset < stop)


def _begun(notes: Iterable[Heard]) -> Counter[tuple[Fraction, float]]:
    return Counter((note.onset, note.midi) for note in notes)


def _without(was: list[Heard], now: list[Heard]) -> list[Heard]:
    """What is no longer there; nothing is new."""
    assert Counter(now) <= Counter(was)
    return list((Counter(was) - Counter(now)).elements())


def _of_tune(notes: list[Heard], tune: list[Heard]) -> bool:
    sounding = {(note.onset, note.midi % 12) for note in tune}
    return all((note.onset, note.midi % 12) in sounding for note in notes)


def _beside(
    notes: list[Heard], spans: list[tuple[Fraction, Fraction]]
) -> list[tuple[Fraction, float]]:
    return [
        (note.onset, note.midi)
        for note in notes
        if not any(start <= note.onset < stop for start, stop in spans)
    ]
