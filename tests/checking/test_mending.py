"""The loop that mends: whatever a rule's mends do, it ends, and says what it left.

The rules are made up: each finds the notes of one pitch, so that a mend that writes another
pitch puts right what it found, or leads to what another rule finds.
"""

from collections.abc import Callable
from functools import partial

import pytest

from rewriter.checking import mending
from rewriter.checking.finished import Finished
from rewriter.checking.house import House
from rewriter.checking.looking import found_in
from rewriter.checking.mending import Mended, mended
from rewriter.checking.rule import NONE, Mend, Rule, Said, Unmended
from rewriter.editing.edits import InBar, Replaced, bar_children
from rewriter.problems import Refused
from rewriter.rulefiles.loading import load_ensemble
from rewriter.scores.score import read_score
from rewriter.scores.voices import VoiceNote
from tests.shorthand import finished_score

SCORE = finished_score(
    {"Violin I": "4/4 | A4q B4q C5q D5q | A4w | B4w |", "Viola": "4/4 | C4w | R | A4w |"}
)

Way = Callable[[Finished, VoiceNote], Mend | Unmended]


def _rule(step: str, mend: Way) -> Rule[VoiceNote, object]:
    """Finds the notes of the first part on one step."""
    return Rule(
        id=f"no-{step}", title="x", why="x", instead="x", source="x", severity="warning",
        about=VoiceNote, parameters=NONE, mends="certain",
        find=lambda score, _: (
            run.notes[0] for run in score.joined(0) if run.notes[0].pitch.step == step
        ),
        say=lambda note, at, _: Said(at.place(0, note.bar, note.time), f"{step} is found"),
        mend=lambda score, note, _: mend(score, note),
    )  # fmt: skip


def _written(score: Finished, note: VoiceNote, was: bytes, now: bytes) -> Mend:
    where = InBar(0, note.bar)
    data = bar_children(score.score, where)[note.event.place]
    return Mend("write it", (Replaced(where, note.event.place, data.replace(was, now)),))


def to(step: str, instead: str) -> Way:
    """Writes another pitch."""
    texts = (f"<step>{one}<".encode() for one in (step, instead))
    was, now = texts
    return lambda score, note: _written(score, note, was, now)


def raising(fault: Exception) -> Way:
    """Cannot even be thought out."""

    def mend(_: Finished, __: VoiceNote) -> Mend:
        raise fault

    return mend


def nowhere(_: Finished, note: VoiceNote) -> Mend:
    """Names a child that its bar does not have."""
    return Mend("write it", (Replaced(InBar(0, note.bar), 99, b"<note/>"),))


def no_xml(score: Finished, note: VoiceNote) -> Mend:
    """Writes what nobody can read."""
    return _written(score, note, b"</note>", b"</not>")


def _mended(monkeypatch: pytest.MonkeyPatch, **ways: Way) -> Mended:
    return _mended_by(monkeypatch, [_rule(step, way) for step, way in ways.items()])


def _mended_by(monkeypatch: pytest.MonkeyPatch, rules: list[Rule[VoiceNote, object]]) -> Mended:
    monkeypatch.setattr(mending, "found_in", partial(found_in, rules=rules))

    def looked_at(data: bytes) -> Finished:
        return Finished(read_score(data), load_ensemble("symphonic"))

    return mended(looked_at(SCORE), House(), looked_at)


def _told(made: Mended) -> tuple[list[tuple[str, str]], list[tuple[str, str, str]]]:
    """Bars that were mended, and what is left with why."""
    done = [(one.finding.place.bar, one.finding.rule) for one in made.done]
    return done, [(one.place.bar, one.rule, one.mend) for one in made.left]


CANNOT = "not mended: it cannot be written there"


@pytest.mark.parametrize(
    "way", [raising(ValueError("x")), raising(Refused("x")), nowhere, no_xml],
    ids=["no value", "refused", "no such child", "no XML"],
)  # fmt: skip
def test_a_mend_that_cannot_be_written_stops_no_other(
    monkeypatch: pytest.MonkeyPatch, way: Way
) -> None:
    done, left = _told(_mended(monkeypatch, A=way, D=to("D", "E")))
    assert done == [("1", "no-D")]
    assert left == [("1", "no-A", CANNOT), ("2", "no-A", CANNOT)]


def test_a_mend_after_which_it_is_found_again_is_taken_back(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    made = _mended(monkeypatch, A=to("A", "A"), D=to("D", "E"))
    why = "not mended: it would be found again"
    assert _told(made) == ([("1", "no-D")], [("1", "no-A", why), ("2", "no-A", why)])


def test_mends_that_would_go_round_are_taken_back(monkeypatch: pytest.MonkeyPatch) -> None:
    made = _mended(monkeypatch, A=to("A", "B"), B=to("B", "A"))
    reasons = {rule: f"not mended: it would lead to another finding (no-{other})"
               for rule, other in (("no-A", "B"), ("no-B", "A"))}  # fmt: skip
    assert _told(made) == (
        [],
        [
            ("1", "no-A", reasons["no-A"]),
            ("2", "no-A", reasons["no-A"]),
            ("1", "no-B", reasons["no-B"]),
            ("3", "no-B", reasons["no-B"]),
        ],
    )
    assert made.score is made.before


def test_what_can_be_mended_is(monkeypatch: pytest.MonkeyPatch) -> None:
    made = _mended(monkeypatch, A=to("A", "G"), B=to("B", "F"))
    assert made.left == []
    assert sorted(_told(made)[0]) == [
        ("1", "no-A"),
        ("1", "no-B"),
        ("2", "no-A"),
        ("3", "no-B"),
    ]
    assert made.score.score.parts[1].bars == made.before.score.parts[1].bars


def test_a_mend_is_tried_again_when_what_was_in_its_way_is_mended(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """G is a fault as long as there is a D."""
    no_g = _rule("G", nowhere)

    def find(score: Finished, _: object) -> list[VoiceNote]:
        notes = [run.notes[0] for run in score.joined(0)]
        steps = {note.pitch.step for note in notes}
        return [note for note in notes if "D" in steps and note.pitch.step == "G"]

    rules = [_rule("A", to("A", "G")), _rule("D", to("D", "E")), no_g._replace(find=find)]
    made = _mended_by(monkeypatch, rules)
    assert made.left == []
    assert [rule for _, rule in _told(made)[0]] == ["no-D", "no-A", "no-A"]


def test_any_other_fault_of_a_rule_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(KeyError):
        _mended(monkeypatch, A=raising(KeyError("x")))
