"""The tiny notation means what its page says: read by music21, held against the schema."""

import pytest
from music21 import articulations, converter, expressions, key, note, spanner, stream

from tests.outside.schema import faults
from tests.shorthand import sketch

EVERYTHING = (
    "pickup 4/4 key=1 transpose=-1,-2 D4q | mf < 3{(D5e^accent E5)( F#5} [A4 C5]h^trill) ! rq "
    '& E4w |: R | 8va `/A4e `A4 F5q_la Fn5 loco A5q. "dolce" B5e tempo=96 mark=A harmony=G '
    "| cue:A4w :| ending=1 5:4{A4s A4 A4 A4 A4} rh. |"
)


def read(music: str) -> stream.Part:
    return converter.parseData(sketch(music), format="musicxml").parts[0]


def written(music: str) -> list[tuple[str, float, float]]:
    found = read(music).flatten().notesAndRests
    return [
        (
            one.nameWithOctave if isinstance(one, note.Note) else one.fullName,
            one.offset,
            one.quarterLength,
        )
        for one in found
    ]


def test_pitches_lengths_and_the_length_carried_over() -> None:
    assert written("3/4 key=-2 | G4 q A4e Bb4 C#5q | rq Ebb5. F##5e |") == [
        ("G4", 0, 1), ("A4", 1, 0.5), ("B-4", 1.5, 0.5), ("C#5", 2, 1),
        ("Quarter Rest", 3, 1), ("E--5", 4, 1.5), ("F##5", 5.5, 0.5),
    ]  # fmt: skip


def test_ties_and_slurs() -> None:
    part = read("3/4 | (G4q A4)( B4~ | B4h.) |")
    assert [one.tie and one.tie.type for one in part.flatten().notes] == [
        None, None, "start", "stop"
    ]  # fmt: skip
    slurs = [
        [one.nameWithOctave for one in slur.getSpannedElements()]
        for slur in part.recurse().getElementsByClass(spanner.Slur)
    ]
    assert slurs == [["G4", "A4"], ["A4", "B4"]]


def test_tuplets_nest() -> None:
    lengths = [
        one.quarterLength for one in read("2/4 | 3{C4q D4 3{E4e F4 G4}} |").flatten().notes
    ]
    assert [round(float(length), 4) for length in lengths] == [
        0.6667,
        0.6667,
        0.2222,
        0.2222,
        0.2222,
    ]


def test_marks_and_attributes() -> None:
    part = read("2/4 key=-3,minor | C4q^accent^staccato D4^fermata | `/E4s D4h^trill |")
    first, second, grace, last = part.flatten().notes
    assert [type(one) for one in first.articulations] == [
        articulations.Accent, articulations.Staccato
    ]  # fmt: skip
    assert isinstance(second.expressions[0], expressions.Fermata)
    assert grace.duration.isGrace
    assert isinstance(last.expressions[0], expressions.Trill)
    assert part.flatten().getElementsByClass(key.Key)[0].mode == "minor"


def test_accidentals_are_printed_only_where_needed() -> None:
    text = sketch("4/4 key=1 | F#4q Fn4 F4 F#4? | Bb4q B4 Bb4 Bb4 |").decode()
    bars = text.split("<measure")[1:]
    assert [bar.count("<accidental") for bar in bars] == [2, 3]
    assert '<accidental cautionary="yes">sharp</accidental>' in bars[0]


def test_bars_repeats_voices_and_staves() -> None:
    score = converter.parseData(
        sketch(
            "pickup 2/4 C4q |: D4h & G4q A4 :| bar=7a E4 |",
            others={"Piano": ("pickup 2/4 rq | C4h | D4h", "clef=bass rq | R | [C3 E3]h")},
        ),
        format="musicxml",
    )
    tune, *staves = list(score.parts)
    bars = list(tune.getElementsByClass(stream.Measure))
    assert [bar.measureNumberWithSuffix() for bar in bars] == ["0", "1", "7a"]
    assert [len(bar.voices) for bar in bars] == [0, 2, 0]
    assert bars[1].leftBarline.type == "heavy-light"
    assert bars[1].rightBarline.direction == "end"
    assert [len(part.flatten().notes) for part in staves] == [2, 1]


def test_everything_at_once_is_valid() -> None:
    assert faults(sketch(EVERYTHING, others={"Piano": ("R", "R")}, title="A & B")) == []


@pytest.mark.parametrize("music", ["4/4 | H4q |", "4/4 | C4q ?? |", "4/4 | shape=3 C4w |"])
def test_what_it_cannot_read_it_says(music: str) -> None:
    with pytest.raises(ValueError, match=r"cannot read|no setting"):
        sketch(music)
