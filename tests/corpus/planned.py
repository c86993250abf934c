"""One part of one piece through one made-up plan, and all that may be wrong with the result."""

from collections.abc import Iterator

from tests.corpus.trying import Line, Piece, Trouble, attempt, lines_of, written_troubles
from tests.outside.spans import voice_faults
from tests.property.planning import Model, expanded, heard_by_section
from tests.property.plans import IN_PLANS, SECTIONS, Source, make_plan_for
from tests.property.strategies import Sketch


def plan_troubles(piece: Piece, line: Line, seed: int) -> Iterator[Trouble]:
    """What is wrong with the expansion of one line by the plan a seed makes.

    Every other plan has handovers; what these should sound is not looked at here.
    """
    features = frozenset(IN_PLANS) - ({"handovers"} if seed % 2 == 0 else frozenset())
    others = [_source(one) for one in lines_of(piece.data) if one.part != line.part]
    sketch = Sketch(0, frozenset(), seed, piece.data, line.tune)
    plan = make_plan_for(sketch, features, seed, _source(line), others)
    place = f"{piece.path.name} {line.tune} plan {seed}"
    made = attempt(lambda: expanded(plan), place)
    if isinstance(made, Trouble):
        yield made
        return
    yield from written_troubles(piece, line, made, place, of_all=True)
    if "handovers" not in features:
        is_odd = bool(voice_faults(piece.data))  # nobody knows where a tie over a gap ends
        for one in _notes(Model(plan, made), made.score, place):
            yield one._replace(kind=f"input too: {one.kind}") if is_odd else one


def _source(line: Line) -> Source:
    return Source(line.tune, line.part, line.staff, line.voice)


def _notes(model: Model, score: bytes, place: str) -> Iterator[Trouble]:
    """Notes that should sound and do not, and the other way round."""
    heard = heard_by_section(score)
    for section in SECTIONS:
        sounds, told = model.split(heard[section]), model.sounding(section)
        for kind, some in (("note lost", told - sounds), ("note added", sounds - told)):
            yield from (Trouble(kind, place, f"{section} {note}") for note in some.elements())
