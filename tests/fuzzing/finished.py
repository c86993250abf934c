"""Finished scores that somebody has spoiled, looked at and mended.

They are string scores the tool has made, and sketches whose parts are told to be sections;
notes, signs and numbers in them are replaced, repeated, moved, left out.
"""

import re
from collections.abc import Iterable
from functools import cache
from random import Random
from typing import Any

import msgspec
from jsonschema import Draft202012Validator

import rewriter
from rewriter.checking.rules import RULES
from rewriter.reporting.checked import CheckedFiles, Flaw
from rewriter.reporting.checked_text import checked_as_text
from rewriter.reporting.enforced import EnforcedFiles
from rewriter.reporting.enforced_text import enforced_as_text
from rewriter.reporting.schema import report_schema
from tests.fuzzing import spoiling
from tests.fuzzing.spoiling import LAYOUTS, Attempt, made_up, put, shuffled
from tests.property.strategies import FEATURES, compose

_SMALL = re.compile(r"<([a-z-]+)(?: [^>]*)?>[^<]*</\1>|<[a-z-]+(?: [^>]*)?/>")
_NEAR = {"1": "2", "2": "4", "3": "8", "4": "3", "5": "1", "6": "9", "sharp": "natural",
         "flat": "sharp", "start": "stop", "stop": "start", "crescendo": "stop", "C": "B",
         "half": "whole", "quarter": "eighth", "down": "stop", "P1": "P2"}  # fmt: skip
_NEAR_ONES = re.compile('[>"](' + "|".join(_NEAR) + ')(?=[<"])')
_HOUSES = ("", "strict", "quartet", "recording")


def _score(rng: Random) -> tuple[bytes, tuple[str, ...]]:
    """A spoiled score, and what is told of its sections."""
    if rng.random() < 0.6:
        text, told = _own(rng.randrange(6)), ()
    else:
        text, told = made_up(rng), rng.choice((("P1=Vn I",), ("P1=Vc",), ("P1=Vla", "P2=Db")))
    for _ in range(rng.randint(1, 2)):
        text = rng.choice((_values, _numbers, _near, _left_out, shuffled))(rng, text)
    return text.encode(), told if 'id="P2"' in text else told[:1]


def _values(rng: Random, text: str) -> str:
    return put(rng, text, spoiling.VALUE, spoiling.TEXTS)


def _numbers(rng: Random, text: str) -> str:
    return put(rng, text, spoiling.DIGITS, spoiling.NUMBERS)


def _near(rng: Random, text: str) -> str:
    """Values replaced by others that are as good."""
    for _ in range(rng.randint(1, 12)):
        one = rng.choice([*_NEAR_ONES.finditer(text)])
        text = text[: one.start(1)] + _NEAR[one[1]] + text[one.end(1) :]
    return text


def _left_out(rng: Random, text: str) -> str:
    """Small elements that are there no more."""
    for _ in range(rng.randint(1, 8)):
        one = rng.choice([*_SMALL.finditer(text)])
        text = text[: one.start()] + text[one.end() :]
    return text


@cache
def _own(seed: int) -> str:
    music = compose(6, frozenset(FEATURES), seed)
    layout = LAYOUTS[seed % 4]
    return rewriter.expand(music.data, layout, tune=music.tune).score.decode()


@cache
def _valid(name: str) -> Any:
    return Draft202012Validator(report_schema(name))


def _hold(name: str, shape: type[CheckedFiles | EnforcedFiles], **fields: Any) -> None:
    """The JSON of a report is what its schema says."""
    whole = shape(version="1", scores=(), refused=(), **fields)
    _valid(name).validate(msgspec.json.decode(msgspec.json.encode(whole)))


def checked(rng: Random) -> Attempt:
    """Spoiled scores looked at."""
    data, told = _score(rng)
    options = {"house": rng.choice(_HOUSES), "tune": rng.choice(("", "", "P1"))}

    def call() -> list[bytes]:
        report = rewriter.check(data, sections=told, **options)  # type: ignore[arg-type]  # texts
        _hold("check", CheckedFiles, findings=report.findings)
        assert checked_as_text(report, 80)
        again = rewriter.check(data, sections=told, known=report.signs, **options)  # type: ignore[arg-type]  # likewise
        assert again.findings == ()
        return []

    return Attempt(f"{told} {options} of {data!r}", call)


def enforced(rng: Random) -> Attempt:
    """Spoiled scores mended; what comes of it can be read and needs no more."""
    data, told = _score(rng)
    options: dict[str, Any] = {
        "house": rng.choice(_HOUSES),
        "tune": rng.choice(("", "", "P1")),
        "only": rng.choice(((), (), [one.id for one in RULES if rng.random() < 0.5])),
    }

    def call() -> list[bytes]:
        made = rewriter.enforce(data, sections=told, **options)
        report = made.report
        whole = {"findings": report.findings, "changed": report.changed}
        _hold("enforce", EnforcedFiles, part_list=report.part_list, **whole)
        assert enforced_as_text(report, "", 80, dry=True)
        again = rewriter.enforce(made.score, sections=told, **options)
        assert again.score == made.score
        assert not [one for one in again.report.findings if one.mended]
        assert _told(again.report.findings) == _told(
            one for one in report.findings if not one.mended
        )
        return [made.score]

    return Attempt(f"{told} {options} of {data!r}", call)


def _told(flaws: Iterable[Flaw]) -> list[tuple[str, str, int, str, str]]:
    return sorted((one.rule, one.part, one.index, one.beat, one.message) for one in flaws)
