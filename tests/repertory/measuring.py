"""The table of the measured registers, made from tunes.

For each section and strength the share of tune time at each pitch, counted over every section
that plays a tune at its own octave, smoothed by a Gaussian of 2.5 semitones, with a floor of
two per cent spread over five octaves; its logarithm is what a pitch is worth.
"""

import json
from collections.abc import Callable, Iterator, Sequence
from math import exp, log

import msgspec

from rewriter.rulefiles.repertory import MeasuredSection, Repertory
from rewriter.theory.dynamics import STRENGTHS, Strength
from tests.repertory.tunes import SOURCE, Tune, strings

SPREAD = 2.5
"""Semitones; how far a pitch counts for its neighbours."""

FLOOR, FLOOR_OVER = 0.02, 60
"""So much of all time is spread evenly over so many semitones, since a tune may go anywhere."""

FEWEST = 30
"""Tunes of a section from which a strength is measured; with fewer, all its tunes are taken
(plain has 28 tunes in all, and a sketch without dynamics is plain)."""

DIGITS = 2
"""Decimals of the logarithms: one per cent of a share."""


def measure(tunes: Sequence[Tune], per_octave: float) -> Repertory:
    """What a repertory says of where its tunes lie.

    Args:
        tunes: that are learned from.
        per_octave: what a stack loses for each octave between its top line and the tune.
    """
    return Repertory(
        title="Measured: where the symphonic repertory puts its tunes",
        source=SOURCE,
        made_by="python -m tests.repertory --write",
        per_octave=per_octave,
        elsewhere=_worth(0.0),
        sections=[
            _section(tunes, section.key, section.sound, section.lowest, section.extreme)
            for section in strings().sections
        ],
    )


def _section(
    tunes: Sequence[Tune], key: str, sound: str, lowest: int, highest: int
) -> MeasuredSection:
    own = [tune for tune in tunes if key in tune.lines]
    span = range(lowest, highest + 1)
    shares = {strength: _shares(own, key, strength, span) for strength in STRENGTHS}
    lines = [
        [(length, midi + 12 * tune.lines[key]) for length, midi in tune.notes] for tune in own
    ]
    means = [sum(n * midi for n, midi in line) / sum(n for n, _ in line) for line in lines]
    tops = [max(midi for _, midi in line) for line in lines]
    return MeasuredSection(
        section=key,
        sound=sound,
        tunes=len(own),
        lowest=lowest,
        **shares,
        as_high=_of_a_hundred(means, span),
        up_to=_of_a_hundred(tops, span),
    )


def _shares(tunes: Sequence[Tune], key: str, strength: Strength, span: range) -> list[float]:
    """What each pitch of a section is worth; where tunes of one strength are few, in all."""
    chosen = [tune for tune in tunes if tune.strength == strength]
    if len(chosen) < FEWEST:
        chosen = list(tunes)
    times: dict[int, int] = {}
    for tune in chosen:
        for length, midi in tune.notes:
            pitch = midi + 12 * tune.lines[key]
            times[pitch] = times.get(pitch, 0) + length
    smoothed = _smoothed(times)
    return [_worth(smoothed(pitch)) for pitch in span]


def _smoothed(times: dict[int, int]) -> Callable[[int], float]:
    """The smoothed share of all time at a pitch."""
    total = sum(times.values())
    weights = {step: exp(-((step / SPREAD) ** 2) / 2) for step in range(-15, 16)}
    whole = sum(weights.values())

    def share(pitch: int) -> float:
        near = sum(weight * times.get(pitch + step, 0) for step, weight in weights.items())
        return near / whole / total if total else 0.0

    return share


def _worth(share: float) -> float:
    return round(log((1 - FLOOR) * share + FLOOR / FLOOR_OVER), DIGITS)


def _of_a_hundred(figures: Sequence[float], span: range) -> list[int]:
    """For each pitch, how many of a hundred figures are there or higher."""
    many = len(figures)
    return [
        round(100 * sum(figure >= pitch for figure in figures) / many) if many else 0
        for pitch in span
    ]


def lines_of_json(repertory: Repertory) -> Iterator[str]:
    """The table as it is shipped: one row for each list of figures."""
    table = msgspec.to_builtins(repertory)
    sections = table.pop("sections")
    yield "{"
    for name, value in table.items():
        yield f"  {_json(name)}: {_json(value)},"
    yield '  "sections": ['
    for at, section in enumerate(sections):
        rows = [f"      {_json(name)}: {_json(value)}" for name, value in section.items()]
        yield "    {\n" + ",\n".join(rows) + "\n    }" + ("," if at + 1 < len(sections) else "")
    yield "  ]\n}"


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)
