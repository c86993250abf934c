"""Finished scores for tests, and what is heard in them, in short."""

from collections.abc import Mapping
from fractions import Fraction

from rewriter.hearing.doublings import Doubling, doublings_of
from rewriter.hearing.lines import Heard, Place
from rewriter.hearing.stacks import levels_text, stacks_of
from rewriter.scores.reading import Reading
from rewriter.scores.score import read_score
from tests.shorthand import sketch


def heard(parts: Mapping[str, str | tuple[str, ...]]) -> Heard:
    """A score heard, its parts by name in the notation of ``tests.shorthand``."""
    (first, music), *rest = parts.items()
    return Heard(Reading(read_score(sketch(music, tune=first, others=dict(rest)))))


def name_of(listened: Heard, place: Place) -> str:
    """A line for tests: ``Vn I``, its second voice ``Vn I voice 2``, low notes ``Vn I -1``."""
    name = listened.reading.score.parts[place.part].name
    name += f" voice {place.voice + 1}" if place.voice else ""
    return name + (f" -{place.member}" if place.member else "")


def moment(listened: Heard, time: int, *, ends: bool = False) -> str:
    """A moment for tests: bar, and beat in quarters from 1: ``2.3``; ``1.5`` ends a bar."""
    bar = listened.bars.bar_at(time - ends)
    onset = Fraction(time - listened.bars.starts[bar], listened.reading.divisions)
    return f"{bar + 1}.{float(onset) + 1:g}"


def doubling_text(listened: Heard, one: Doubling) -> str:
    """A doubling in a row: ``1.1 to 2.5: Vn I, Vn II 8vb: 8 notes, 1 differing``."""
    upper, lower = (name_of(listened, place) for place in (one.upper, one.lower))
    octaves = f" {one.octaves} below" if one.octaves else ""
    differing = f", {len(one.differing)} differing" if one.differing else ""
    return (
        f"{moment(listened, one.start)} to {moment(listened, one.stop, ends=True)}: "
        f"{upper} = {lower}{octaves}: {len(one.agreeing)} notes{differing}"
    )


def doublings(parts: Mapping[str, str | tuple[str, ...]]) -> list[str]:
    """The doublings of a score, each in a row."""
    listened = heard(parts)
    return [doubling_text(listened, one) for one in doublings_of(listened)]


def stacks(parts: Mapping[str, str | tuple[str, ...]]) -> list[str]:
    """The stacks of a score, each in a row."""
    listened = heard(parts)
    return [
        f"{moment(listened, one.start)} to {moment(listened, one.stop, ends=True)}: "
        + levels_text(one.levels, lambda place: name_of(listened, place))
        for one in stacks_of(doublings_of(listened))
    ]
