"""A line that passes to and fro stays one line, whatever its slurs, ties, tuplets and leaps.

Nothing here says which note goes where; music21 reads what was written, and what it hears in
giver and receiver is held against the tune.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from random import Random
from typing import NamedTuple

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.outside.heard import heard_by_music21
from tests.outside.reference import Heard
from tests.planned import by_layout, layout
from tests.shorthand import sketch

BAR = 4
NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
PLACES = {"Vn I": 0, "Vn II": 1, "Vla": 2, "Vc": 3, "Db": 4}
RANGES = {"Vn I": (55, 100), "Vn II": (55, 100), "Vla": (48, 88), "Vc": (36, 81)}
BEATS = ("q", "q", "q", "e e", "e. s", "3{e e e}", "h", "h", "rq", "e re", "`e q")


class Rule(NamedTuple):
    giver: str
    receiver: str
    limit: int
    above: bool
    at: str
    dovetail: bool

    @property
    def text(self) -> str:
        word = "above" if self.above else "below"
        pitch = f"{NAMES[self.limit % 12]}{self.limit // 12 - 1}"
        return (
            f'handover = {{ {word} = "{pitch}", to = "{self.receiver}", at = "{self.at}", '
            f"dovetail = {str(self.dovetail).lower()} }}"
        )

    def is_past(self, midi: float) -> bool:
        return midi > self.limit if self.above else midi < self.limit


@st.composite
def rules(draw: st.DrawFn) -> Rule:
    giver = draw(st.sampled_from(("Vc", "Vla", "Vn I")))
    receiver = draw(st.sampled_from([one for one in RANGES if one != giver]))
    return Rule(
        giver, receiver, draw(st.integers(56, 76)), draw(st.booleans()),
        draw(st.sampled_from(("slur", "bar", "rest"))), draw(st.booleans()),
    )  # fmt: skip


@dataclass
class Word:
    """A note or rest of the shorthand and what stands around it."""

    name: str
    length: str
    tied: bool = False
    opens: str = ""
    closes: str = ""

    @property
    def is_note(self) -> bool:
        return self.name[0] not in "r`"

    @property
    def text(self) -> str:
        return self.opens + self.name + self.length + "~" * self.tied + self.closes


@st.composite
def tunes(draw: st.DrawFn) -> str:
    """A tune in shorthand, 4/4, of three to nine bars, within two octaves and a half."""
    rng = draw(st.randoms(use_true_random=False))
    bars = [_bar(rng) for _ in range(draw(st.integers(3, 9)))]
    words = [word for bar in bars for word in bar]
    _pitched(rng, words)
    _slurred(rng, words)
    said = (" ".join(word.text for word in bar) for bar in bars)
    return f"4/4 | {' | '.join(said)} |"


def _bar(rng: Random) -> list[Word]:
    words: list[Word] = []
    room = BAR
    while room:
        beat = rng.choice(BEATS if room > 1 else [one for one in BEATS if one != "h"])
        room -= 2 if beat == "h" else 1
        group = [
            Word(word[0] if word[0] in "r`" else "", word.lstrip("r`"))
            for word in beat.strip("3{}").split(" ")
        ]
        if beat.startswith("3{"):
            group[0].opens, group[-1].closes = "3{", "}"
        words += group
    return words


def _pitched(rng: Random, words: Sequence[Word]) -> None:
    midi, held = 64, False
    for at, word in enumerate(words):
        if word.name == "r":
            continue
        if not held:
            leap = rng.choice((-12, -5, -3, -2, -1, 1, 2, 3, 5, 9))
            midi = min(max(midi + leap, 50), 80)
        after = words[at + 1].name if at + 1 < len(words) else "r"
        held = word.name + after == "" and rng.random() < 0.1
        word.tied = held
        word.name += f"{NAMES[midi % 12]}{midi // 12 - 1}"


def _slurred(rng: Random, words: Sequence[Word]) -> None:
    at = 0
    while at < len(words):
        length = rng.choice((1, 1, 2, 3, 4, 6))
        run = words[at : at + length]
        if len(run) > 1 and all(word.is_note for word in run):
            run[0].opens += "("
            run[-1].closes = ")" + run[-1].closes
        at += length


def parts_of(tune: str, rule: Rule) -> tuple[list[Heard], list[Heard], set[str]]:
    """What giver and receiver sound, and which rules have something to say."""
    text = layout(f"{rule.giver} loco", f'[line."{rule.giver}"]', rule.text)
    made = by_layout(sketch(tune), text)
    heard = heard_by_music21(made.score)
    others = [heard[place] for name, place in PLACES.items() if name not in rule[:2]]
    assert not any(others)
    found = {one.rule for one in made.report.findings}
    return heard[PLACES[rule.giver]], heard[PLACES[rule.receiver]], found


def graces(tune: str) -> list[int]:
    """Pitches of the grace notes, which nobody hears but who plays them must reach."""
    return [
        NAMES.index(name) + 12 * (int(octave) + 1)
        for name, octave in re.findall(r"`([A-G][#b]?)(\d)", tune)
    ]


def breathes(before: Heard, after: Heard) -> bool:
    """Whether a rest of a beat lies between, or an eighth behind a longer note."""
    rest = after.onset - before.onset - before.length
    return rest >= 1 or before.length > rest >= Fraction(1, 2)


def stretches(tune: Sequence[Heard], away: set[Heard]) -> list[list[int]]:
    """The giver's stretches behind what the receiver has alone, each to a rest or the end."""
    found: list[list[int]] = []
    for at, note in enumerate(tune):
        if note in away:
            continue
        if at and tune[at - 1] in away:
            found.append([at])
        elif found and found[-1][-1] == at - 1 and not breathes(tune[at - 1], note):
            found[-1].append(at)
    return found


@given(tunes(), rules())
@settings(deadline=None)
def test_every_note_has_a_player_and_lines_come_back_for_long(tune: str, rule: Rule) -> None:
    line = sorted(heard_by_music21(sketch(tune))[0])
    giver, receiver, found = parts_of(tune, rule)
    assert set(giver) | set(receiver) == set(line), "a note is lost, split or made up"
    assert len(set(giver)) == len(giver)
    assert len(set(receiver)) == len(receiver)
    joints, away = set(giver) & set(receiver), set(receiver) - set(giver)
    low, high = RANGES[rule.receiver]

    past = {note for note in giver if rule.is_past(note.midi)}
    assert not past or "receiver-out-of-range" in found
    least, most = RANGES[rule.giver]
    for note in receiver:
        beyond_both = rule.is_past(note.midi) and not least <= note.midi <= most
        assert low <= note.midi <= high or beyond_both

    assert rule.dovetail or not joints
    assert not any(rule.is_past(note.midi) for note in joints)
    for at, note in enumerate(line):
        if note in joints:
            beside = [*line[max(at - 4, 0) : at], *line[at + 1 : at + 5]]  # a tuplet is whole
            assert any(other in away for other in beside)

    for stretch in stretches(line, away):
        first, last = line[stretch[0]], line[stretch[-1]]
        new_phrase = breathes(line[stretch[0] - 1], first)
        long_enough = last.onset + last.length - first.onset >= 2 * BAR
        cannot = any(not low <= line[at].midi <= high for at in stretch) or any(
            not low <= midi <= high for midi in graces(tune)
        )
        assert new_phrase or long_enough or cannot or "receiver-out-of-range" in found
