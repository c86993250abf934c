"""What was found in a tune, as plain text that is read in ten seconds, and as a picture."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from rewriter.problems import beat_text
from rewriter.reporting.columns import UNBROKEN, align, count, wrap_hanging
from rewriter.reporting.survey_picture import picture_of
from rewriter.reporting.table import percent
from rewriter.reporting.text import LABEL, WIDTH

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.problems import Place
    from rewriter.reporting.survey import (
        Departure,
        Leap,
        Phrase,
        PitchPlaces,
        Statement,
        Survey,
    )

NAMED_LEAPS = 4
"""How many leaps are told one by one, the widest first."""
NAMED_PHRASES = 12
NAMED_DEPARTURES = 2
NARROWEST = 24
"""Columns that what differs in a statement needs beside the others."""

_PHRASES = ("Phrase", "Notes", "Lowest", "Average", "Highest", "Ends with")
_STATEMENTS = ("Statement", "Bars", "Interval", "Differs")


def survey_as_text(survey: Survey, width: int = WIDTH) -> str:
    """Word what was found.

    Args:
        survey: of a tune.
        width: columns; only a word or a row of a table that is longer goes beyond.

    Returns:
        Lines, each ended.
    """
    bars = f"bar{'s' if '-' in survey.bars else ''} {survey.bars}"
    first = f"{survey.sketch}: {bars}, {count(survey.notes, 'note')}"
    blocks = [
        wrap_hanging(first, first="", rest="    ", width=width),
        list(_paragraphs(survey, width)),
        [f"  {row}" for row in _phrases(survey.phrases)],
        list(_statements(survey.statements, width)),
        list(picture_of(survey)),
    ]
    return "\n".join("\n".join(block) + "\n" for block in blocks if block)


def _paragraphs(survey: Survey, width: int) -> Iterator[str]:
    lies, motion = survey.tessitura, survey.motion
    strengths = [f"{each.strength} {percent(each.time)}" for each in survey.strengths]
    labelled = (
        ("Tune", survey.tune),
        ("Compass", f"{_end(survey.lowest)} to {_end(survey.highest)}"),
        (
            "Tessitura",
            f"{lies.average} on average; half of the time between {lies.low} and {lies.high}",
        ),
        ("Strength", ", ".join(strengths)),
        (
            "Motion",
            f"{motion.rising} up, {motion.falling} down, {motion.repeated} repeated; "
            f"{percent(motion.share_rising)} of what moves rises",
        ),
        ("Leaps", _leaps(survey.leaps)),
    )
    for label, text in labelled:
        if text:
            start = f"  {label:<{LABEL - 2}}"
            yield from wrap_hanging(text, first=start, rest=" " * LABEL, width=width)


def _end(end: PitchPlaces) -> str:
    places, more = end.places, len(end.places) - 1
    others = f" and {more} more" if more else ""
    return f"{end.pitch} ({_at(places[0])}{others})"


def _at(place: Place) -> str:
    movement = f"movement {place.movement}, " if place.movement else ""
    said = f"bar {place.bar} beat {beat_text(Fraction(place.beat))}"
    return movement + said.replace(" ", UNBROKEN)


def _leaps(leaps: Sequence[Leap]) -> str:
    """The widest, in their order; of the others how many there are."""
    if not leaps:
        return "none of a fifth or more"
    widest = sorted(leaps, key=lambda leap: -abs(leap.semitones))[:NAMED_LEAPS]
    said = [_leap(leap) for leap in leaps if leap in widest][:NAMED_LEAPS]
    up = sum(leap.semitones > 0 for leap in leaps)
    of_all = f"{len(leaps)} of a fifth and more, {up} up and {len(leaps) - up} down"
    which = "" if len(said) == len(leaps) else "the widest "
    return f"{of_all}; {which}{'; '.join(said)}"


def _leap(leap: Leap) -> str:
    name = leap.interval or f"{leap.semitones:+g} semitones"
    rest = " over a rest" if leap.over_rest else ""
    return f"{name} to {leap.to_pitch} {_at(leap.place)}{rest}"


def _phrases(phrases: Sequence[Phrase]) -> list[str]:
    shown = phrases if len(phrases) <= NAMED_PHRASES else phrases[: NAMED_PHRASES - 1]
    rows = [
        (
            _from(phrase.bars, phrase.first),
            str(phrase.notes),
            phrase.lowest,
            phrase.average,
            phrase.highest,
            f"a {phrase.ended_by}" if phrase.ended_by != "end" else "the tune",
        )
        for phrase in shown
    ]
    table = align([_PHRASES, *rows], right=frozenset({1}))
    left = len(phrases) - len(shown)
    return [*table, f"and {left} more; --json has all"] if left else table


def _from(bars: str, first: Place) -> str:
    """Bars, and the beat where they begin within one."""
    movement = f"movement {first.movement}, " if first.movement else ""
    beat = beat_text(Fraction(first.beat))
    return f"{movement}{bars}" + ("" if beat == "1" else f" from beat {beat}")


def _statements(statements: Sequence[Statement], width: int) -> Iterator[str]:
    if not statements:
        yield "  Nothing of four bars and more comes back."
        return
    rows = [
        (str(one.number), _from(one.bars, one.first), _interval(one), "") for one in statements
    ]
    head, *table = align([_STATEMENTS, *rows])
    margin = head.index(_STATEMENTS[-1]) + 2
    yield f"  {head}"
    for one, row in zip(statements, table, strict=True):
        start, room = f"  {row}".ljust(margin), max(width, margin + NARROWEST)
        yield from wrap_hanging(_differs(one), first=start, rest=" " * margin, width=room)


def _interval(one: Statement) -> str:
    if one.returns == one.number:
        return "the first"
    if not one.semitones:
        return f"as {one.returns}"
    return f"{one.interval or f'{one.semitones:+g} semitones'} from {one.returns}"


def _differs(one: Statement) -> str:
    if one.returns == one.number:
        return ""
    said = []
    if one.lacks_before:
        said.append(f"without its first {count(one.lacks_before, 'note')}")
    if one.lacks_behind:
        said.append(f"without its last {count(one.lacks_behind, 'note')}")
    said += [_departure(each) for each in one.departures[:NAMED_DEPARTURES]]
    if more := len(one.departures) - NAMED_DEPARTURES if said else 0:
        said += [f"{more} more"] if more > 0 else []
    return "; ".join(said) or "nothing"


def _departure(one: Departure) -> str:
    where = _at(one.place)
    if one.has and one.first_has:
        return f"{where} {one.has} for {one.first_has}"
    return f"{where} {one.has} more" if one.has else f"{where} no {one.first_has}"
