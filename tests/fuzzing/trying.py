"""What holds of every input: it comes to an end, in scores that can be read or in a line."""

import re
from collections import Counter
from random import Random

from lxml import etree

from rewriter.problems import Refused
from tests.fuzzing.classes import CLASSES
from tests.property.test_no_input_breaks_it import coming_to_an_end

LONGEST_ROW = 5000
"""A path, what is wrong, and a remedy that may list every name there is."""

PYTHON = re.compile(
    r"Traceback|object has no|invalid literal|could not convert|not supported between|NoneType"
    r"|codec can't|embedded null|int_max_str|unexpected keyword|out of range \(|recursion"
)


class Stumbled(AssertionError):  # noqa: N818 - as a finding is called
    """An input that does not do what every input should."""


def outcome_of(name: str, seed: int) -> str:
    """``written``, ``read`` or ``refused``.

    Raises:
        Stumbled: anything else came of it; the input is named.
    """
    attempt = CLASSES[name](Random(f"{name} {seed}"))  # noqa: S311 - inputs, not secrets
    try:
        with coming_to_an_end():
            scores = attempt.call()
        for score in scores:
            etree.fromstring(score)
    except Refused as refused:
        said = str(refused)
        if fault := fault_of(said):
            raise Stumbled(f"{name} {seed}: {fault}: {said!r}\n{attempt.shown}") from None
        return "refused"
    except Exception as fault:
        raise Stumbled(f"{name} {seed}: {fault!r}\n{attempt.shown}") from fault
    return "written" if scores else "read"


def fault_of(said: str) -> str:
    """What is wrong with a refusal's text; empty for nothing."""
    rows = said.split("\n")
    if not all(row.isprintable() for row in rows):
        return "it does not fit a row"
    if max(map(len, rows)) > LONGEST_ROW or len(rows) > 50:
        return "it is too long"
    return "it is worded by Python" if PYTHON.search(said) else ""


def outcomes(name: str, first: int, number: int) -> tuple[Counter[str], list[str]]:
    """How often what came of the inputs of a class, and those that stumbled."""
    counted: Counter[str] = Counter()
    stumbled: list[str] = []
    for seed in range(first, first + number):
        try:
            counted[outcome_of(name, seed)] += 1
        except Stumbled as fault:
            counted["stumbled"] += 1
            stumbled.append(str(fault))
    return counted, stumbled
