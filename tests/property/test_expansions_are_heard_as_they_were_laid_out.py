"""In what was expanded, the tune and its doublings are heard where the layout put them."""

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations, pairwise

from hypothesis import given
from hypothesis import strategies as st

import rewriter
from rewriter.hearing.doublings import Doubling, doublings_of
from rewriter.hearing.lines import Heard as HeardScore
from rewriter.hearing.tune import tune_told_by_sketch
from rewriter.hearing.tune_notes import TuneNote
from rewriter.scores.reading import Reading
from rewriter.scores.score import read_score
from tests.outside.reference import Heard
from tests.property.expanding import expand, tune_of
from tests.property.strategies import Sketch, sketches

SECTIONS = ("Vn I", "Vn II", "Vla", "Vc", "Db")


@st.composite
def stacks(draw: st.DrawFn) -> str:
    """One to four levels, each section on one of them, perhaps one divided between two."""
    levels: list[list[str]] = [[] for _ in range(draw(st.integers(1, 4)))]
    sections = draw(st.lists(st.sampled_from(SECTIONS), min_size=len(levels), unique=True))
    for at, section in enumerate(sections):
        levels[at if at < len(levels) else draw(st.integers(0, len(levels) - 1))].append(
            section
        )
    divided, level = draw(st.sampled_from(sections)), draw(st.integers(0, len(levels) - 1))
    if divided not in levels[level] and draw(st.booleans()):
        levels[level].append(divided)
    text = " / ".join(" + ".join(level) for level in levels)
    return draw(st.sampled_from([text, text.replace("/", "//", 1)]))


Lines = Counter[tuple[str, int, Fraction]]
"""(section, octave from the tune, onset) of every note of the tune in every line."""


def _heard(expansion: rewriter.Expansion) -> HeardScore:
    return HeardScore(Reading(read_score(expansion.score)))


def _laid_out(expansion: rewriter.Expansion, tune: list[Heard]) -> Lines:
    return Counter(
        (line.section, line.octave, note.onset)
        for line in expansion.report.lines
        for note in tune
    )


@given(sketches(), stacks())
def test_the_tune(sketch: Sketch, layout: str) -> None:
    expansion, tune = expand(sketch, layout), tune_of(sketch)
    heard = _heard(expansion)
    names = [part.short_name for part in heard.reading.score.parts]
    notes = {line.place: line.notes for line in heard.lines}
    found: Lines = Counter()
    told = [TuneNote(note.onset, note.length, note.midi) for note in tune]
    for carrying in tune_told_by_sketch(heard, told).carrying.values():
        for one in carrying:
            for _, at in one.agreeing:
                time = Fraction(notes[one.line][at].time, heard.reading.divisions)
                found[names[one.line.part], one.octaves, time] += 1
    assert found == _laid_out(expansion, tune)


@given(sketches(), stacks())
def test_the_doublings(sketch: Sketch, layout: str) -> None:
    expansion, tune = expand(sketch, layout), tune_of(sketch)
    heard = _heard(expansion)
    names = [part.short_name for part in heard.reading.score.parts]
    lines = {(line.section, line.octave) for line in expansion.report.lines}
    sounding = {note.onset: note.midi for note in tune}
    found: Counter[frozenset[tuple[str, int]]] = Counter()
    for doubling in doublings_of(heard):
        octaves = _octaves(doubling, sounding, heard.reading.divisions)
        pair = frozenset(
            (names[place.part], octave)
            for place, octave in zip((doubling.upper, doubling.lower), octaves, strict=True)
        )
        assert pair <= lines
        found[pair] += len(doubling.agreeing)
    if _is_one_line(heard, tune):
        wanted = {frozenset(pair): len(tune) for pair in combinations(sorted(lines), 2)}
        assert found == wanted


def _octaves(
    doubling: Doubling, tune: dict[Fraction, float], divisions: int
) -> tuple[int, int]:
    """Octaves of both lines from the tune, which are the same at every note."""

    def of_each(which: int) -> Iterator[float]:
        for pair in doubling.agreeing:
            note = pair[which]
            yield (note.sounding - tune[Fraction(note.time, divisions)]) / 12

    (upper,), (lower,) = set(of_each(0)), set(of_each(1))
    assert upper - lower == doubling.octaves
    return int(upper), int(lower)


def _is_one_line(heard: HeardScore, tune: list[Heard]) -> bool:
    """True where the whole tune is one doubling by the definition, its rests short enough."""
    repeated = sum(one.midi == other.midi for one, other in pairwise(tune))
    rests = [other.onset - one.onset - one.length for one, other in pairwise(tune)]
    starts = heard.bars.starts
    shortest = min(other - one for one, other in pairwise(starts))
    return (
        len(tune) >= 6
        and len({note.midi % 12 for note in tune}) >= 3
        and 3 * repeated <= 2 * (len(tune) - 1)
        and max(rests) * heard.reading.divisions <= shortest
    )
