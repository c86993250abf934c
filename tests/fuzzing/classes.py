"""The classes of spoiled inputs, by name."""

from collections.abc import Callable
from random import Random

from tests.fuzzing import spoiling as of
from tests.fuzzing.finished import checked, enforced
from tests.fuzzing.spoiling import Attempt

CLASSES: dict[str, Callable[[Random], Attempt]] = {
    one.__name__: one
    for one in (
        of.texts, of.attributes, of.numbers, of.elements, of.looks, of.compared, of.signed,
        of.rule_files, of.stacks, of.in_sketches, of.plans, checked, enforced,
    )
}  # fmt: skip
