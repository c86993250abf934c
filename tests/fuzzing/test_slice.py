"""A few spoiled inputs of every class; all of them: ``python -m tests.fuzzing``."""

import pytest

from tests.fuzzing.classes import CLASSES
from tests.fuzzing.spoiling import RULES, read_rule
from tests.fuzzing.trying import fault_of, outcomes

FEW = 25


@pytest.mark.parametrize("name", CLASSES)
def test_no_spoiled_input_stumbles(name: str) -> None:
    counted, stumbled = outcomes(name, first=0, number=FEW)
    assert stumbled == []
    assert counted.total() == FEW


def test_the_classes_spoil_neither_nothing_nor_everything() -> None:
    """In all, some inputs are refused and some are not."""
    for name in ("texts", "numbers", "rule_files", "stacks", "plans"):
        counted, _ = outcomes(name, first=0, number=FEW)
        assert counted["refused"]
        assert counted["written"] + counted["read"] or name in {"stacks", "rule_files"}


@pytest.mark.parametrize("kind", RULES)
def test_what_is_spoiled_is_sound_before(kind: str) -> None:
    read_rule(kind, RULES[kind])


@pytest.mark.parametrize(
    "said", ["x: \x1b[2J", "x" * 6000, "a\n" * 60, "x: invalid literal for int()", "a\tb"]
)
def test_a_refusal_that_is_none_is_noticed(said: str) -> None:
    assert fault_of(said)
    assert not fault_of("x.toml:3: stack: no section is called that; there are Vn I, Vc")
