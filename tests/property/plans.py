"""Made-up plans for hypothesis: who plays which bars of a made-up sketch, and from where.

As with sketches, a plan is drawn as a few sizes and a seed, and everything else follows from
them, so that failing examples shrink. Moments are (bar from 0, quarters from its start).
"""

from dataclasses import dataclass, field
from fractions import Fraction
from random import Random
from typing import Any, NamedTuple

from hypothesis import strategies as st

from tests.outside.reference import chosen_part, tune_bar_lengths
from tests.property.strategies import Sketch, sketches

Moment = tuple[int, Fraction]

SECTIONS = ("Vn I", "Vn II", "Vla", "Vc", "Db")
OCTAVE_WORDS = {2: "15ma", 1: "8va", 0: "loco", -1: "8vb", -2: "15mb"}
INTERVALS = {
    "m2": 1, "M2": 2, "m3": 3, "M3": 4, "P4": 5, "A4": 6, "d5": 6, "P5": 7, "m6": 8, "M6": 9,
    "m7": 10, "M7": 11, "P8": 12,
}  # fmt: skip
IN_PLANS = (
    "shares", "withs", "dealt", "handovers", "unanchored", "dynamics", "markings", "keys",
    "inside bars", "pickups", "gaps", "octaves",
)  # fmt: skip


@dataclass
class Line:
    """One member of a stack: who, how much of them, whole octaves from its source."""

    section: str
    share: str
    octave: int


@dataclass
class Handover:
    """As a layout file says it; one of above and below is a MIDI number."""

    giver: str
    receiver: str
    above: int | None
    below: int | None
    at: str
    leave: bool
    dovetail: bool


class Source(NamedTuple):
    """A voice of a sketch: as the tool wants it said, and where it stands."""

    said: str
    part: str
    staff: str | None
    voice: str | None


@dataclass
class With:
    """Another voice of the sketch and the lines that play it."""

    source: Source
    lines: list[Line]
    chords: str


@dataclass
class Passage:
    """A passage of a plan; ``start`` and ``stop`` are where it begins and ends in truth."""

    start: Moment
    stop: Moment
    said: list[str]
    lines: list[Line]
    anchored: bool = True
    withs: list[With] = field(default_factory=list)
    handover: Handover | None = None
    semitones: int = 0
    layout: str = ""


@dataclass(frozen=True)
class Plan:
    """A sketch with a plan for it.

    Attributes:
        sketch: what is played.
        features: what the plan may use.
        seed: where everything else follows from.
        passages: in order.
        files: name to text, ``plan.toml`` among them.
        tune: where it stands.
    """

    sketch: Sketch
    features: frozenset[str]
    seed: int
    passages: tuple[Passage, ...] = field(repr=False, compare=False)
    files: dict[str, str] = field(repr=False, compare=False)
    tune: Source = field(repr=False, compare=False)

    def _repr_pretty_(self, printer: Any, _cycle: bool) -> None:  # noqa: FBT001 - its ways
        """How hypothesis prints it: a call that makes it again, and what the files say."""
        one = self.sketch
        sketch = f"compose({one.bars}, {sorted(one.features)}, {one.seed})"
        printer.text(f"make_plan({sketch}, {sorted(self.features)}, {self.seed})\n")
        for name, text in sorted(self.files.items()):
            printer.text(f"--- {name}\n{text}")


@dataclass
class BarOf:
    """A bar of the sketch as a plan sees it; ``unit`` is the quarters of a beat."""

    number: str
    length: Fraction
    unit: Fraction | None


def bars_of(data: bytes, part: str = "P1") -> list[BarOf]:
    """The bars of the tune's part; no beats are counted in those that begin late."""
    found, unit = [], Fraction(1)
    measures = chosen_part(data, part).findall("measure")
    numbers = [measure.get("number", "") for measure in measures]
    lengths = tune_bar_lengths(data, part)
    for place, (measure, length) in enumerate(zip(measures, lengths, strict=True)):
        for time in measure.iterfind("attributes/time"):
            free = time.find("senza-misura") is not None
            unit = Fraction(0) if free else Fraction(4, int(time.findtext("beat-type", "4")))
        late = measure.get("implicit") == "yes" or not unit
        name = numbers[place]
        if numbers.count(name) > 1:
            name += f"({numbers[: place + 1].count(name)})"
        found.append(BarOf(name, length, None if late else unit))
    return found


def make_plan(sketch: Sketch, features: frozenset[str], seed: int) -> Plan:
    """The plan that these make for a made-up sketch."""
    others = []
    if "two staves" in sketch.features:
        others.append(Source("staff 2", "P1", "2", "5"))
    if "other parts" in sketch.features:
        others.append(Source("Oboe", "P2", None, None))
    staff = "1" if "two staves" in sketch.features else None
    return make_plan_for(sketch, features, seed, Source(sketch.tune, "P1", staff, "1"), others)


def make_plan_for(
    sketch: Sketch, features: frozenset[str], seed: int, tune: Source, others: list[Source]
) -> Plan:
    """The plan that these make for any sketch, with the voices that may accompany."""
    rng = Random(seed)  # noqa: S311 - music, not secrets
    passages = _stretches(rng, features, bars_of(sketch.data, tune.part))
    files = {}
    for number, passage in enumerate(passages):
        _score(rng, features, passage, others)
        files[f"layout{number}.toml"] = passage.layout
        passage.said.append(f'layout = "layout{number}.toml"')
    files["plan.toml"] = "".join(
        "[[passage]]\n" + "\n".join(passage.said) + "\n\n" for passage in passages
    )
    return Plan(sketch, features, seed, tuple(passages), files, tune)


def _decimal(number: Fraction) -> str:
    return f"{float(number):g}"


def _stretches(rng: Random, features: frozenset[str], bars: list[BarOf]) -> list[Passage]:
    """Passages one behind the other over all bars, with gaps between some."""
    moments = {(rng.randrange(len(bars)), Fraction(0)) for _ in range(rng.randint(0, 3))}
    if "inside bars" in features:
        for _ in range(rng.randint(1, 2)):
            bar = rng.randrange(len(bars))
            if bars[bar].unit is not None:
                moments.add((bar, Fraction(rng.randrange(int(4 * bars[bar].length)), 4)))
    starts = sorted({(0, Fraction(0)), *moments})
    ends = [*starts[1:], (len(bars), Fraction(0))]
    if "gaps" in features and len(starts) > 1:
        del starts[0], ends[0]
    passages = [
        Passage(start, end, [_from(bars, start), _to(bars, end)], [])
        for start, end in zip(starts, ends, strict=True)
    ]
    if "pickups" in features:
        for before, here in zip([None, *passages[:-1]], passages, strict=True):
            _take_pickup(rng, bars, before, here)
    return passages


def _from(bars: list[BarOf], start: Moment) -> str:
    bar, onset = start
    if start == (0, 0):
        return 'from = "start"'
    beat = f" beat {_decimal(onset / (bars[bar].unit or 1) + 1)}" if onset else ""
    return f'from = "bar {bars[bar].number}{beat}"'


def _to(bars: list[BarOf], end: Moment) -> str:
    """A bar that is played to its end or, within a bar, is cut short by who comes next."""
    bar, onset = end
    if bar == len(bars):
        return 'to = "end"'
    return f'to = "bar {bars[bar if onset else bar - 1].number}"'


def _take_pickup(rng: Random, bars: list[BarOf], before: Passage | None, here: Passage) -> None:
    """Beats from the bar before, which the passage before does without."""
    bar, onset = here.start
    if onset or bar == 0 or bars[bar].unit is None:
        return
    room = bars[bar - 1].length
    if before is not None and before.start[0] == bar - 1:
        room -= before.start[1] + Fraction(1, 4)
    beats = Fraction(rng.randint(1, 8), 4)
    if room <= 0 or beats * bars[bar].unit > room:
        return
    here.said.append(f"pickup = {_decimal(beats)}")
    here.start = (bar - 1, bars[bar - 1].length - beats * bars[bar].unit)
    if before is not None:
        before.stop = here.start


def _stack(
    rng: Random, features: frozenset[str], sections: list[str]
) -> tuple[str, list[Line]]:
    """A stack as text, anchored, and its lines."""
    lines: list[Line] = []
    octave = rng.choice((1, 0, 0, -1))
    word = f" {OCTAVE_WORDS[octave]}"
    said = ""
    halved = rng.choice(sections) if "shares" in features and rng.random() < 0.5 else ""
    for place, section in enumerate(sections):
        if place:
            down = rng.choice((0, 1, 1, 1, 2))
            said += f" {'/' * down or '+'} "
            octave -= down
        share = ""
        if "shares" in features and section != halved and rng.random() < 0.3:
            share = rng.choice(("half", "third", "desk 1", "solo", "desks 1-2"))
        said += f"{share} {section}".strip() + (word if not place else "")
        lines.append(Line(section, share, octave))
    if halved:
        octave -= 1
        said += f" / {halved}"
        lines.append(Line(halved, "", octave))
    return said, lines


def _score(
    rng: Random, features: frozenset[str], passage: Passage, others: list[Source]
) -> None:
    """Who plays a passage, and the layout file that says so."""
    sections = [one for one in SECTIONS if rng.random() < 0.5] or ["Vla"]
    if rng.random() < 0.2:
        rng.shuffle(sections)
    stack, passage.lines = _stack(rng, features, sections)
    stack = _anchored_otherwise(rng, features, passage, stack)
    said = ['title = "Made up"', f'stack = "{stack}"']
    for section, details in _details(rng, features, passage, sections).items():
        said += [f'[line."{section}"]', *details]
    if "withs" in features:
        passage.withs = _withs(rng, features, others)
        for one in passage.withs:
            first, *others = (line.section for line in one.lines)
            to = " + ".join((f"{first} {OCTAVE_WORDS[0]}", *others))
            said += ["[[with]]", f'from = "{one.source.said}"', f'to = "{to}"']
            said.append(f'chords = "{one.chords}"')
    passage.layout = "\n".join(said) + "\n"
    if "keys" in features and rng.random() < 0.6:
        name, semitones = rng.choice(list(INTERVALS.items()))
        way = rng.choice(("up", "down"))
        passage.semitones = semitones if way == "up" else -semitones
        passage.said.append(f'by = "{way} {name}"')


def _anchored_otherwise(
    rng: Random, features: frozenset[str], passage: Passage, stack: str
) -> str:
    """The stack without its octave word, where it is to be placed or the passage says it."""
    bare = " ".join(word for word in stack.split() if word not in OCTAVE_WORDS.values())
    if "unanchored" in features and rng.random() < 0.5:
        passage.anchored = False
        return bare
    if "octaves" in features and rng.random() < 0.5:
        octave = rng.choice((1, 0, -1))
        passage.said.append(f'octave = "{OCTAVE_WORDS[octave]}"')
        moved = octave - passage.lines[0].octave
        for line in passage.lines:
            line.octave += moved
        return bare
    return stack


def _details(
    rng: Random, features: frozenset[str], passage: Passage, sections: list[str]
) -> dict[str, list[str]]:
    """Lines of the layout file on single sections."""
    said: dict[str, list[str]] = {}
    if "dynamics" in features and rng.random() < 0.5:
        said[rng.choice(sections)] = [f'dynamic = "{rng.choice(("-1", "+2", "mf"))}"']
    if "markings" in features and rng.random() < 0.5:
        said.setdefault(rng.choice(sections), []).append('marking = "espr."')
    if "handovers" in features and rng.random() < 0.8:
        passage.handover = _handover(rng, sections)
        said.setdefault(passage.handover.giver, []).append(_said(passage.handover))
    return said


def _handover(rng: Random, sections: list[str]) -> Handover:
    giver = rng.choice(sections)
    receiver = rng.choice([one for one in SECTIONS if one != giver])
    limit = rng.randint(50, 84)
    above = rng.random() < 0.6
    return Handover(
        giver, receiver, limit if above else None, None if above else limit,
        rng.choice(("slur", "bar", "rest")), rng.random() < 0.5, rng.random() < 0.3,
    )  # fmt: skip


def _said(one: Handover) -> str:
    limit = one.above if one.above is not None else one.below or 0
    names = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
    pitch = f"{names[limit % 12]}{limit // 12 - 1}"
    word = "above" if one.above is not None else "below"
    return (
        f'handover = {{ {word} = "{pitch}", to = "{one.receiver}", at = "{one.at}", '
        f"leave = {str(one.leave).lower()}, dovetail = {str(one.dovetail).lower()} }}"
    )


def _withs(rng: Random, features: frozenset[str], others: list[Source]) -> list[With]:
    """At most one line of accompaniment, from a voice the sketch has."""
    if not others:
        return []
    source = rng.choice(others)
    players = rng.sample(SECTIONS, rng.randint(1, 3))
    chords = "divide" if "dealt" in features and rng.random() < 0.6 else "top"
    return [With(source, [Line(section, "", 0) for section in players], chords)]


def plans(
    sketch: st.SearchStrategy[Sketch] | None = None,
    *,
    without: frozenset[str] = frozenset(),
) -> st.SearchStrategy[Plan]:
    """Plans for made-up sketches.

    Args:
        sketch: what they are for; any made-up sketch when None.
        without: features of plans to leave out.
    """
    allowed = [name for name in IN_PLANS if name not in without]
    chosen = st.one_of(
        st.sets(st.sampled_from(allowed), max_size=5), st.just(set(allowed))
    ).map(frozenset)
    return st.builds(
        make_plan,
        sketches() if sketch is None else sketch,
        chosen,
        st.integers(min_value=0, max_value=2**32 - 1),
    )
