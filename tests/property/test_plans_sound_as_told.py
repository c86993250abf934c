"""Each passage's lines sound the notes of their source at their octave, and nothing else."""

from collections import Counter

from hypothesis import given

from tests.outside.reference import Heard
from tests.property.planning import Model, expand, heard_by_section
from tests.property.plans import SECTIONS, Handover, Plan, plans
from tests.property.strategies import sketches

PLAIN = plans(without=frozenset({"handovers"}))


@given(PLAIN)
def test_every_section_sounds_what_its_lines_say(plan: Plan) -> None:
    expansion = expand(plan)
    model = Model(plan, expansion)
    heard = heard_by_section(expansion.score)
    for section in SECTIONS:
        assert model.split(heard[section]) == model.sounding(section), section


# Without ties every note has its passage; without other voices nobody holds anything over.
WITH_HANDOVERS = plans(sketches(without=frozenset({"ties"})), without=frozenset({"withs"}))


@given(WITH_HANDOVERS)
def test_a_handover_moves_notes_and_loses_none(plan: Plan) -> None:
    expansion = expand(plan)
    model = Model(plan, expansion)
    heard = heard_by_section(expansion.score)
    for passage in model.passages:
        sounds = {one: model.within(passage, notes) for one, notes in heard.items()}
        told = {one: model.told(passage, one) for one in SECTIONS}
        handover = passage.handover
        away, others = Counter[Heard](), set(SECTIONS)
        if handover:
            others -= {handover.giver, handover.receiver}
            away = told[handover.giver] - sounds[handover.giver]
            assert sounds[handover.giver] - told[handover.giver] == Counter()
            taken = told[handover.giver] if handover.dovetail else away
            own = told[handover.receiver]
            assert sounds[handover.receiver] - own - taken == Counter()
            left = own + away - sounds[handover.receiver]
            if not handover.leave:
                assert left == Counter()
            assert {note for note in left if not _sounds_with(note, taken)} == set()
            givers = [one for one in passage.lines if one.section == handover.giver]
            stays = "receiver-out-of-range" in {one.rule for one in expansion.report.findings}
            if not own and len(givers) == 1 and not stays:
                assert _past_the_limit(told[handover.giver] - away, handover) == set()
        for section in others:
            assert sounds[section] == told[section], section


def _sounds_with(note: Heard, others: Counter[Heard]) -> bool:
    """True when a note lies between the first onset of others and the last end."""
    return bool(others) and (
        note.onset + note.length > min(one.onset for one in others)
        and note.onset < max(one.onset + one.length for one in others)
    )


def _past_the_limit(notes: Counter[Heard], handover: Handover) -> set[Heard]:
    """What should have gone."""
    return {
        note
        for note in notes
        if (handover.above is not None and note.midi > handover.above)
        or (handover.below is not None and note.midi < handover.below)
    }
