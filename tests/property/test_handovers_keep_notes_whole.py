"""Notes tied over barlines are handed over in full, to one line, and nobody plays two at once.

The model here counts quarters from the beginning of the piece and knows nothing of bars but
that one has four; music21 reads what was written.
"""

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
            begin, end = found[-1][0].start, block[-1].start
            found[-1] = [tone for tone in tones if begin <= tone.start <= end]
        else:
            found.append(block)
    return found


def what_is_left(tone: Tone, taken: list[tuple[int, int]]) -> list[Tone]:
    """A note of the receiver's own without the written pieces that sound in what it takes."""
    kept = [
        (start, end)
        for start, end in pieces(tone)
        if not any(start < stop and begin < end for begin, stop in taken)
    ]
    joined: list[Tone] = []
    for start, end in kept:
        if joined and joined[-1].end == start:
            joined[-1] = joined[-1]._replace(end=end)
        else:
            joined.append(tone._replace(start=start, end=end))
    return joined


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
    starts = [tone.start for tone in tune]
    away, taken = [], []
    for block in handed(tune, rule.at):
        behind = [start for start in starts if start > block[-1].start]
        times = (block[0].start, behind[0] if behind else block[-1].end)
        if rule.leave or not any(times[0] < o.end and o.start < times[1] for o in own):
            away.append(block)
            taken.append(times)
    stays = (
        {tone for block in away for tone in (block[0], block[-1])} if rule.dovetail else set()
    )
    gone = {tone for block in away for tone in block} - stays

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
    theirs = [tone for block in away for tone in block]
    theirs += [rest for tone in own for rest in what_is_left(tone, taken)]
    assert sorted(second) == sounding(theirs)
    assert not any(others)
    for part in (first, second):
        in_order = sorted(part)
        assert all(one.onset + one.length <= other.onset for one, other in pairwise(in_order))
    told = {(one.section, bool(one.handed_over_by)): one.notes for one in made.report.lines}
    assert told.get(("Vn I", False), 0) == len(first)
    assert sum(notes for (key, _), notes in told.items() if key == "Vn II") == len(second)
