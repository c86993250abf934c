"""One tune through one layout or plan, and what the ledger finds."""

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache

import msgspec

import rewriter
from tests.corpus.trying import Line, Piece, Trouble, attempt, lines_of
from tests.ledger.added import added
from tests.ledger.counted import miscounted, miscounted_bars
from tests.ledger.entries import Moment, Said, said_by
from tests.ledger.lost import lost
from tests.ledger.section import Section, Sides, Stretch
from tests.ledger.voice import Voice
from tests.outside.reference import chosen_part, score_root
from tests.property.planning import Model, expanded
from tests.property.plans import IN_PLANS, SECTIONS, Passage, Plan, Source, make_plan_for
from tests.property.strategies import Sketch

END = Moment(10**6, Fraction(0))
BEGIN = Moment(0, Fraction(0))


@lru_cache(maxsize=8)
def voice_of(data: bytes, part: str, staff: str | None, voice: str | None) -> Voice:
    return Voice(said_by(chosen_part(data, part), staff, voice))


@lru_cache(maxsize=2)
def all_said(data: bytes) -> set[tuple[str, Moment]]:
    """(kind, moment) of all that any part of the sketch says."""
    found = set()
    for part in score_root(data).findall("part"):
        for one in said_by(part).entries:
            found.add((one.kind.removeprefix("of others: "), one.at))
    return found


def sections_said(score: bytes) -> dict[str, Said]:
    """What each section says, a second staff with the first."""
    found = {section: Said([], []) for section in SECTIONS}
    for part in score_root(score).findall("part"):
        section = SECTIONS[int(part.get("id", "").strip("Pb")) - 1]
        said = said_by(part)
        found[section].chords.extend(said.chords)
        found[section].entries.extend(said.entries)
    return found


def layout_troubles(piece: Piece, line: Line, layout: str) -> Iterator[Trouble]:
    """What a layout over the whole cue does to a line of a piece."""
    place = f"{piece.path.name} {line.tune} {layout}"
    made = attempt(lambda: rewriter.expand(piece.data, layout, tune=line.tune), place)
    if isinstance(made, Trouble):
        return
    voice = voice_of(piece.data, line.part, line.staff, line.voice)
    said, sides = _sides(piece.data, made)
    counted = False
    for name in SECTIONS:
        count = sum(one["section"] == name for one in sides.report["lines"])
        section = Section(name, said[name], [Stretch(BEGIN, END, voice)] * count)
        yield from _placed(_unaccounted(section, sides), place)
        if count == 1 and not counted:
            counted = True
            yield from _placed(miscounted(voice, section, sides), place)


def plan_troubles(piece: Piece, line: Line, seed: int) -> Iterator[Trouble]:
    """What the plan a seed makes does to a line of a piece."""
    others = [_source(one) for one in lines_of(piece.data) if one.part != line.part]
    features = frozenset(IN_PLANS)
    plan = make_plan_for(
        Sketch(0, frozenset(), seed, piece.data, line.tune),
        features,
        seed,
        _source(line),
        others,
    )
    place = f"{piece.path.name} {line.tune} plan {seed}"
    made = attempt(lambda: expanded(plan), place)
    if not isinstance(made, Trouble):
        yield from _placed(troubles_of_plan(plan, made), place)


def troubles_of_plan(plan: Plan, made: rewriter.Expansion) -> Iterator[Trouble]:
    """What a plan does to its sketch."""
    passages = Model(plan, made).passages
    said, sides = _sides(plan.sketch.data, made)
    details = any("dynamic" in text or "marking" in text for text in plan.files.values())
    for name in SECTIONS:
        lines = [line for one in passages for line in _lines_of(plan, one, name)]
        gives = any(one.handover and one.handover.giver == name for one in passages)
        section = Section(
            name, said[name], lines, own_dynamics=details, others=said, gives=gives
        )
        yield from _unaccounted(section, sides)
    top = said_by(score_root(made.score).findall("part")[0])
    yield from miscounted_bars(top, sides.report)


def _lines_of(plan: Plan, passage: Passage, name: str) -> Iterator[Stretch]:
    """What a section carries in a passage, with what may be handed over to it."""
    start, stop = Moment(*passage.start), Moment(*passage.stop)
    sources = [(plan.tune, "") for line in passage.lines if line.section == name]
    sources += [(w.source, "") for w in passage.withs for x in w.lines if x.section == name]
    if passage.handover is not None and passage.handover.receiver == name:
        sources.append((plan.tune, passage.handover.giver))
    gives = passage.handover is not None and passage.handover.giver == name
    receiver = passage.handover.receiver if passage.handover and gives else ""
    for source, giver in sources:
        voice = voice_of(plan.sketch.data, *source[1:])
        to = receiver if source is plan.tune and not giver else ""
        yield Stretch(start, stop, voice, passage.semitones, giver, to)


def _sides(data: bytes, made: rewriter.Expansion) -> tuple[dict[str, Said], Sides]:
    said = sections_said(made.score)
    return said, Sides(all_said(data), said[SECTIONS[0]], msgspec.to_builtins(made.report))


def _unaccounted(section: Section, sides: Sides) -> Iterator[Trouble]:
    for entry in lost(section, sides):
        yield Trouble("sign lost", section.says(entry), "")
    for entry in added(section, sides):
        yield Trouble("sign added", section.says(entry), "")


def _placed(found: Iterator[Trouble], place: str) -> Iterator[Trouble]:
    for one in found:
        yield one._replace(place=f"{place}: {one.place}")


def _source(line: Line) -> Source:
    return Source(line.tune, line.part, line.staff, line.voice)
