"""The music that a voice of a bar is given sounds there; the other voices are as they were."""

import random
import re
from fractions import Fraction
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from rewriter.editing.bar_writing import voices_replaced, written_again
from rewriter.editing.edits import InBar, edited
from rewriter.editing.music import Note
from rewriter.scores.score import read_score
from rewriter.theory.fifths import Interval, transpose
from rewriter.theory.pitch import Pitch
from tests.outside.heard import heard_by_music21, heard_by_partitura
from tests.outside.reference import Heard, heard_by_reference
from tests.outside.schema import assert_valid

QUARTERS = 4
SHARPS, FLATS = "FCGDAEB", "BEADGCF"
SIGNS = {-1: "flat", 0: "natural", 1: "sharp"}
ALTERS = {name: alter for alter, name in SIGNS.items()}
GROUPS = (
    (1,), (2,), (Fraction(1, 2), Fraction(1, 2)), (Fraction(3, 2), Fraction(1, 2)),
    (Fraction(1, 3),) * 3, (Fraction(2, 3), Fraction(1, 3)), (Fraction(1, 5),) * 5,
    (Fraction(5, 4), Fraction(3, 4)), (Fraction(2, 3),) * 3, (Fraction(1, 8),) * 8,
)  # fmt: skip


class Written(NamedTuple):
    """A note or rest as its staff shows it; without pitches a rest."""

    onset: Fraction
    length: Fraction
    pitches: list[Pitch]


class Voice(NamedTuple):
    name: str
    staff: str
    notes: list[Written]


class Made(NamedTuple):
    """A score of three bars with voices in the second, and what is to replace one of them."""

    data: bytes
    voices: list[Voice]
    new: Voice
    semitones: int
    fifths: int


def rhythm(rng: random.Random, divisions: int | None) -> list[Fraction]:
    """Lengths that fill four quarters, in so many divisions if these are told."""
    lengths: list[Fraction] = []
    left = Fraction(QUARTERS)
    while left:
        if divisions:
            some = (Fraction(rng.randint(1, 2 * divisions), divisions),)
        else:
            some = tuple(map(Fraction, rng.choice(GROUPS)))
        if sum(some) <= left:
            lengths += some
            left -= sum(some)
    return lengths


def voice(rng: random.Random, name: str, staff: str, divisions: int | None) -> Voice:
    notes = []
    onset = Fraction(0)
    for length in rhythm(rng, divisions):
        steps = rng.sample("CDEFGAB", rng.choice((0, 1, 1, 1, 2)))
        pitches = [Pitch(step, rng.choice((-1, 0, 0, 1)), rng.choice((4, 5))) for step in steps]
        notes.append(Written(onset, length, pitches))
        onset += length
    return Voice(name, staff, notes)


def key(fifths: int) -> dict[str, int]:
    letters = SHARPS[:fifths] if fifths > 0 else FLATS[:-fifths]
    return {step: (1 if fifths > 0 else -1) * (step in letters) for step in SHARPS}


def score(rng: random.Random) -> Made:
    divisions, fifths = rng.choice((1, 2, 3, 4, 12)), rng.randint(-4, 4)
    steps, semitones = rng.choice(((0, 0), (-1, -2), (2, 3), (-4, -7)))
    names = rng.sample(("1", "2", "5", "flute"), rng.randint(1, 3))
    voices = [voice(rng, name, rng.choice("12"), divisions) for name in names]
    attributes = (
        f"<attributes><divisions>{divisions}</divisions><key><fifths>{fifths}</fifths></key>"
        f"<time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves>"
        f"<transpose><diatonic>{steps}</diatonic><chromatic>{semitones}</chromatic>"
        "</transpose></attributes>"
    )
    rest = f"<note><rest/><duration>{4 * divisions}</duration></note>"
    bar = _bar(voices, divisions, fifths)
    data = (
        "<score-partwise version='4.0'><part-list><score-part id='P1'><part-name>ü</part-name>"
        f"</score-part></part-list><part id='P1'><measure number='1'>{attributes}{rest}"
        f"</measure><measure number='2'>\n{bar}</measure><measure number='3'>{rest}</measure>"
        "</part></score-partwise>"
    )
    target = rng.choice((*voices, Voice("9", "1", [])))
    new = voice(rng, target.name, target.staff, None)
    return Made(data.encode(), voices, new, semitones, fifths)


def _bar(voices: list[Voice], divisions: int, fifths: int) -> str:
    """Voices one after the other, each note with the sign it needs where all sound."""
    placed = sorted(
        (note.onset, place, index, voice.staff)
        for place, voice in enumerate(voices)
        for index, note in enumerate(voice.notes)
    )
    state: dict[tuple[str, str, int], float] = {}
    signs: dict[tuple[int, int, int], str] = {}
    for _, place, index, staff in placed:
        for head, (step, alter, octave) in enumerate(voices[place].notes[index].pitches):
            if state.get((staff, step, octave), key(fifths)[step]) != alter:
                state[staff, step, octave] = alter
                signs[place, index, head] = f"<accidental>{SIGNS[alter]}</accidental>"
    back = f"<backup><duration>{4 * divisions}</duration></backup>\n"
    return back.join(
        "".join(
            _note(
                voice,
                note,
                divisions,
                {h: s for (*at, h), s in signs.items() if at == [place, index]},
            )
            for index, note in enumerate(voice.notes)
        )
        for place, voice in enumerate(voices)
    )


def _note(voice: Voice, note: Written, divisions: int, signs: dict[int, str]) -> str:
    rest = f"<duration>{note.length * divisions}</duration><voice>{voice.name}</voice>"
    if not note.pitches:
        return f"<note><rest/>{rest}<staff>{voice.staff}</staff></note>\n"
    return "".join(
        f"<note>{'<chord/>' if head else ''}<pitch><step>{step}</step><alter>{alter}</alter>"
        f"<octave>{octave}</octave></pitch>{rest}{signs.get(head, '')}"
        f"<staff>{voice.staff}</staff></note>\n"
        for head, (step, alter, octave) in enumerate(note.pitches)
    )


def given_music(made: Made) -> list[Note]:
    """The new voice as it sounds."""
    steps = {0: 0, -2: -1, 3: 2, -7: -4}[made.semitones]
    notes = []
    for onset, length, pitches in made.new.notes:
        heard = [transpose(one, Interval(steps, made.semitones)) for one in pitches]
        notes += [
            Note(onset, length, one, chord=head > 0, staff=made.new.staff)
            for head, one in enumerate(heard or [None])
        ]
    return notes


def heard(made: Made, voices: list[Voice]) -> list[Heard]:
    return sorted(
        Heard(QUARTERS + note.onset, note.length, pitch.midi + made.semitones)
        for voice in voices
        for note in voice.notes
        for pitch in note.pitches
    )


def read_by_signs(data: bytes, fifths: int) -> list[str]:
    """Notes whose alteration is not what key and printed signs of their staff say."""
    bar = etree.fromstring(data).findall("part/measure")[1]
    at, divisions, wrong = Fraction(0), Fraction(1), []
    found = []
    for child in bar:
        divisions = Fraction(child.findtext("divisions") or divisions)
        length = Fraction(child.findtext("duration") or 0)
        if child.tag == "note" and child.find("chord") is None:
            onset, at = at, at + length
        elif child.tag != "note":
            at += length * {"forward": 1, "backup": -1}.get(child.tag, 0)
        if child.find("pitch") is not None:
            found.append((onset, len(found), child))
    state: dict[tuple[str | None, str | None, str | None], int] = {}
    for _, _, note in sorted(found, key=lambda one: one[:2]):
        step, octave = note.findtext("pitch/step"), note.findtext("pitch/octave")
        line = (note.findtext("staff"), step, octave)
        if note.find("accidental") is not None:
            state[line] = ALTERS[note.findtext("accidental")]
        is_tied = any(tie.get("type") == "stop" for tie in note.findall("tie"))
        meant = state.get(line, key(fifths)[step])
        if not is_tied and meant != int(note.findtext("pitch/alter") or 0):
            wrong.append(etree.tostring(note, encoding="unicode"))
    return wrong


def others(data: bytes, name: str) -> list[str]:
    """Notes of other voices, durations and signs aside."""
    notes = re.findall(r"<note>.*?</note>\n?", data.decode().split("number='2'")[1], re.DOTALL)
    plain = [re.sub(r"<duration>\d+|<accidental>\w+</accidental>", "", one) for one in notes]
    return [one for one in plain if "<voice>" in one and f"<voice>{name}</voice>" not in one]


@given(st.integers(0, 10**9))
def test_it_sounds_as_given_and_the_rest_as_before(seed: int) -> None:
    made = score(random.Random(seed))  # noqa: S311 - music, not secrets
    assert read_by_signs(made.data, made.fifths) == []
    read = read_score(made.data)
    edits = voices_replaced(read, InBar(0, 1), {made.new.name: given_music(made)})
    data = edited(read, edits)
    kept = [voice for voice in made.voices if voice.name != made.new.name]
    assert heard_by_reference(data) == [heard(made, [*kept, made.new])]
    assert others(data, made.new.name) == others(made.data, made.new.name)
    assert read_by_signs(data, made.fifths) == []
    assert_valid(data)
    before, after = made.data.split(b"<measure number='2'>")
    assert data.startswith(before + b"<measure number='2'>")
    assert data.endswith(after[after.index(b"</measure>") :])


@pytest.mark.parametrize("seed", range(6))
def test_programs_hear_it_too(seed: int) -> None:
    made = score(random.Random(seed))  # noqa: S311 - music, not secrets
    read = read_score(made.data)
    data = edited(read, voices_replaced(read, InBar(0, 1), {made.new.name: given_music(made)}))
    kept = [voice for voice in made.voices if voice.name != made.new.name]
    wanted = [heard(made, [*kept, made.new])]
    assert heard_by_music21(data) == wanted
    assert heard_by_partitura(data) == wanted


@given(st.integers(0, 10**9))
def test_a_bar_written_again_sounds_and_looks_as_before(seed: int) -> None:
    made = score(random.Random(seed))  # noqa: S311 - music, not secrets
    read = read_score(made.data)
    data = edited(read, written_again(read, InBar(0, 1)))
    assert read_score(data).parts[0].bars == [
        bar.replace(b"<alter>0</alter>", b"") for bar in read.parts[0].bars
    ]
