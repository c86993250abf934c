"""Notes tied over barlines are handed over in full, to one line, and nobody plays two at once.

The model here counts quarters from the beginning of the piece and knows nothing of bars but
that one has four; music21 reads what was written.
"""

from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.outside.heard import heard_by_music21
from tests.outside.reference import Heard
from tests.planned import by_layout, layout
from tests.shorthand import sketch

BAR = 4
NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
LIMIT = 81  # A5
LENGTHS = {1: "q", 2: "h", 3: "h.", 4: "w"}


class Tone(NamedTuple):
    """A note of a voice: from when to when, in quarters; number of its slur, -1 for none."""

    start: int
    end: int
    midi: int
    slur: int


class Rule(NamedTuple):
    at: str
    leave: bool
    dovetail: bool


@st.composite
def voices(draw: st.DrawFn, bars: int, low: int, high: int) -> list[Tone]:
    """Notes of one to nine quarters, rests among them, some of those that touch in slurs."""
    tones: list[Tone] = []
    now, slur = 0, -1
    while now < BAR * bars:
        end = min(now + draw(st.integers(1, 9)), BAR * bars)
        if draw(st.integers(0, 3)):
            touches = bool(tones) and tones[-1].end == now
            joined = touches and draw(st.integers(0, 2)) == 0
            if joined and tones[-1].slur < 0:
                slur += 1
                tones[-1] = tones[-1]._replace(slur=slur)
            owner = slur if joined else -1
            tones.append(Tone(now, end, draw(st.integers(low, high)), owner))
        now = end
    return tones


@st.composite
def cues(draw: st.DrawFn) -> tuple[int, list[Tone], list[Tone]]:
    bars = draw(st.integers(2, 7))
    return bars, draw(voices(bars, 74, 88)), draw(voices(bars, 57, 72))


RULES = st.builds(Rule, st.sampled_from(["slur", "bar", "rest"]), st.booleans(), st.booleans())


def pieces(tone: Tone) -> list[tuple[int, int]]:
    """The note as it is written: split at barlines."""
    cuts = [at for at in range(0, tone.end, BAR) if tone.start < at]
    return list(pairwise([tone.start, *cuts, tone.end]))


def text(tones: list[Tone], bars: int) -> str:
    """The voice in shorthand."""
    words: dict[int, str] = {}
    free = set(range(BAR * bars))
    for at, tone in enumerate(tones):
        name = f"{NAMES[tone.midi % 12]}{tone.midi // 12 - 1}"
        opens = tone.slur >= 0 and not (at and tones[at - 1].slur == tone.slur)
        closes = tone.slur >= 0 and not (
            at + 1 < len(tones) and tones[at + 1].slur == tone.slur
        )
        split = pieces(tone)
        for place, (start, end) in enumerate(split):
            word = name + LENGTHS[end - start] + ("~" if place + 1 < len(split) else "")
            word = "(" * (opens and place == 0) + word
            words[start] = word + ")" * (closes and place + 1 == len(split))
        free -= set(range(tone.start, tone.end))
    words |= dict.fromkeys(free, "rq")
    said = [
        " ".join(words[now] for now in range(BAR * bar, BAR * (bar + 1)) if now in words)
        for bar in range(bars)
    ]
    return "4/4 | " + " | ".join(said) + " |"


def apart(before: Tone, after: Tone, at: str) -> bool:
    """Whether a handover may begin or end between two notes."""
    if at != "bar" and before.slur == after.slur >= 0:
        return False
    if at == "slur":
        return True
    if at == "rest":
        return before.end < after.start
    return any(before.end <= line <= after.start for line in range(0, after.start + 1, BAR))


def handed(tones: list[Tone], at: str) -> list[list[Tone]]:
    """The stretches past the limit, widened and joined."""
    blocks: list[list[Tone]] = []
    for tone in tones:
        if blocks and not apart(blocks[-1][-1], tone, at):
            blocks[-1].append(tone)
        else:
            blocks.append([tone])
    found: list[list[Tone]] = []
    for block in blocks:
        if all(tone.midi <= LIMIT for tone in block):
            continue
        if found and block[0].start - found[-1][-1].end < BAR:
            found[-1] = tones[tones.index(found[-1][0]) : tones.index(block[-1]) + 1]
        else:
            found.append(block)
    return found


def breathes(tones: list[Tone], at: int) -> bool:
    """Whether the line ends or rests behind a note, and no slur goes on."""
    if at + 1 == len(tones):
        return True
    before, after = tones[at : at + 2]
    return before.end < after.start and not before.slur == after.slur >= 0


def joinable(tones: list[Tone], at: int) -> bool:
    """Whether a slur ends behind a note, or a bar under none."""
    before, after = tones[at : at + 2]
    lines = range(0, after.start + 1, BAR)
    return before.slur != after.slur or (
        before.slur < 0 and any(before.end <= line <= after.start for line in lines)
    )


def kept(
    tones: list[Tone], away: list[tuple[int, int]], idle: Callable[[int, int], bool]
) -> list[tuple[int, int]]:
    """First and last index of what is away, until nobody comes back too briefly."""

    def free(first: int, last: int) -> bool:
        return idle(tones[first].start, tones[last].end)

    now = [*away]
    for at in reversed(range(len(now))):
        first, last = now[at]
        until = now[at + 1][0] if at + 1 < len(now) else len(tones)
        back = last + 1
        ends = [n for n in range(back, until) if n + 1 == until or breathes(tones, n)]
        if ends and not breathes(tones, last):
            end = ends[0]
            if tones[end].end - tones[back].start < 2 * BAR:
                stops = [end]
                busy = [n for n in range(back, end + 1) if not free(n, n)]
                if busy:
                    stops = [
                        n
                        for n in range(back, busy[0])
                        if joinable(tones, n) and tones[end].end - tones[n + 1].start >= BAR
                    ]
                for stop in reversed(stops):
                    if free(first, stop):
                        last = stop
                        break
        now[at] = first, last
        if at + 1 < len(now):
            following = now[at + 1]
            gap = tones[following[0]].start - tones[last].end
            if gap < BAR and free(first, following[1]):
                now[at : at + 2] = [(first, following[1])]
    return now


def joined(
    tones: list[Tone], one: tuple[int, int], idle: Callable[[int, int], bool]
) -> tuple[int, int]:
    """With the notes in which both meet."""

    def meet(at: int) -> bool:
        return tones[at].midi <= LIMIT and idle(tones[at].start, tones[at].end)

    first, last = one
    if first and not breathes(tones, first - 1) and meet(first - 1):
        first -= 1
    if not breathes(tones, last) and meet(last + 1):
        last += 1
    return first, last


def what_is_left(tone: Tone, taken: list[tuple[int, int]]) -> list[Tone]:
    """A note of the receiver's own without the written pieces that sound in what it takes."""
    sounds = [
        (start, end)
        for start, end in pieces(tone)
        if not any(start < stop and begin < end for begin, stop in taken)
    ]
    left: list[Tone] = []
    for start, end in sounds:
        if left and left[-1].end == start:
            left[-1] = left[-1]._replace(end=end)
        else:
            left.append(tone._replace(start=start, end=end))
    return left


def sounding(tones: list[Tone]) -> list[Heard]:
    return sorted(
        Heard(Fraction(tone.start), Fraction(tone.end - tone.start), tone.midi)
        for tone in tones
    )


@given(cues(), RULES)
@settings(deadline=None)
def test_each_note_sounds_in_full_where_the_handover_says(
    cue: tuple[int, list[Tone], list[Tone]], rule: Rule
) -> None:
    bars, tune, own = cue
    if not tune or not own:
        return
    spans = [(tune.index(block[0]), tune.index(block[-1])) for block in handed(tune, rule.at)]

    def idle(begin: int, end: int) -> bool:
        return rule.leave or not any(begin < o.end and o.start < end for o in own)

    away = [one for one in spans if idle(tune[one[0]].start, tune[one[1]].end)]
    stuck = [one for one in spans if one not in away]
    fixed = {tune[at].start for first, last in stuck for at in range(first, last + 1)}

    def plays_on(begin: int, end: int) -> bool:
        return idle(begin, end) and not any(begin <= start < end for start in fixed)

    away = kept(tune, away, plays_on)
    gone = {tune[at] for first, last in away for at in range(first, last + 1)}
    taken = [joined(tune, one, plays_on) for one in away] if rule.dovetail else away
    theirs = {tune[at] for first, last in taken for at in range(first, last + 1)}
    times = [(tune[first].start, tune[last].end) for first, last in taken]

    made = by_layout(
        sketch(text(tune, bars), others={"Pad": text(own, bars)}),
        layout(
            "Vn I loco",
            '[line."Vn I"]',
            f'handover = {{ above = "A5", to = "Vn II", at = "{rule.at}", '
            f"leave = {str(rule.leave).lower()}, dovetail = {str(rule.dovetail).lower()} }}",
            "[[with]]",
            'from = "Pad"',
            'to = "Vn II loco"',
        ),
        tune="Flute",
    )
    first, second, *others = heard_by_music21(made.score)
    assert sorted(first) == sounding([tone for tone in tune if tone not in gone])
    left = [rest for tone in own for rest in what_is_left(tone, times)]
    assert sorted(second) == sounding([*theirs, *left])
    assert not any(others)
    for part in (first, second):
        in_order = sorted(part)
        assert all(one.onset + one.length <= other.onset for one, other in pairwise(in_order))
    told = {(one.section, bool(one.handed_over_by)): one.notes for one in made.report.lines}
    assert told.get(("Vn I", False), 0) == len(first)
    assert sum(notes for (key, _), notes in told.items() if key == "Vn II") == len(second)
