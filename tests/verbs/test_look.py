"""Looking at a sketch: what is seen is what others see, and what it prints works."""

import pickle
from itertools import pairwise
from pathlib import Path
from xml.sax.saxutils import escape

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import converter, harmony

import rewriter
from rewriter.placing.passages import find_passages
from rewriter.rulefiles.loading import load_ensemble
from rewriter.rulefiles.plan_files import plan_from_text
from rewriter.scores.score import read_score
from rewriter.sketch.frame import Frame
from rewriter.sketch.frame_reading import UNISON
from rewriter.sketch.in_every_key import Readings, Request
from rewriter.sketch.overview import marks_in
from rewriter.sketch.requests import Keep
from rewriter.theory.time import Moment
from tests.shorthand import sketch

ROOT = Path(__file__).parents[2]
SCORES = sorted((ROOT / "scores").glob("*.musicxml"))
GOLDEN = sorted((ROOT / "tests" / "golden").glob("*/sketch.musicxml"))


def _called(path: Path) -> str:
    return path.stem if path in SCORES else path.parent.name


def frame_of(data: bytes) -> Frame:
    readings = Readings(read_score(data), Request("", Keep(), whole=True))
    return readings.tune(UNISON, "top").frame


def borders(plan: str, frame: Frame) -> list[Moment]:
    """Where the passages of a skeleton begin and end, once its layouts are filled in."""
    filled = plan.replace('layout = ""', 'layout = "Vn I"')
    read = plan_from_text(filled, "plan.toml", load_ensemble("symphonic"), folder=Path())
    found = find_passages(read, frame)
    for before, after in pairwise(found):
        assert before.stop == after.start
    return [*(placed.start for placed in found), found[-1].stop]


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_the_compass_is_what_music21_hears(path: Path) -> None:
    parts = list(converter.parse(path).toSoundingPitch().parts)
    seen = rewriter.look(path)
    for name in {str(part.partName) for part in parts}:
        pitches = [
            pitch.midi
            for part in parts
            if str(part.partName) == name
            for note in part.recurse().notes
            if not isinstance(note, harmony.Harmony)
            for pitch in note.pitches
        ]
        mine = [voice for voice in seen.voices if voice.part == name]
        assert min(voice.lowest.midi for voice in mine) == min(pitches)
        assert max(voice.highest.midi for voice in mine) == max(pitches)
        assert sum(voice.notes for voice in mine) == len(pitches)


@pytest.mark.parametrize("path", [*SCORES, *GOLDEN], ids=_called)
def test_every_voice_can_be_named_as_the_tune(path: Path) -> None:
    for voice in rewriter.look(path).voices:
        again = rewriter.look(path, tune=voice.choice)
        assert [one.choice for one in again.voices if one.is_tune] == [voice.choice]


@pytest.mark.parametrize("path", [*SCORES, *GOLDEN], ids=_called)
def test_a_skeleton_filled_in_covers_every_bar(path: Path) -> None:
    seen = rewriter.look(path)
    if not seen.tune_is_plain:
        pytest.skip("nothing says which part the frame is of")
    frame = frame_of(path.read_bytes())
    found = borders(seen.plan, frame)
    assert (found[0], found[-1]) == (Moment(0, 0), Moment(len(frame.bars), 0))
    marks = {seen.at for seen in marks_in(frame)}
    assert marks <= set(found)


NAMES = st.text('AaB12 .()-bt"\\é', min_size=1, max_size=6) | st.sampled_from(
    ["end", "start", "bar 2", "mark A", "A beat 2", "2(1)", "Verse 2", "3"]
)
BARS = st.lists(
    st.tuples(st.integers(1, 4), st.lists(st.tuples(st.integers(0, 3), NAMES), max_size=2)),
    min_size=1,
    max_size=6,
)


@given(BARS)
def test_whatever_marks_are_called_passages_begin_at_them(
    bars: list[tuple[int, list[tuple[int, str]]]],
) -> None:
    texts = []
    for number, marks in bars:
        beats = [
            f"{''.join(_mark(at) for at, _ in marks if at == beat)} C5q" for beat in range(4)
        ]
        texts.append(f"bar={number} {' '.join(beats)}")
    data = sketch("4/4 " + " | ".join(texts)).decode()
    for at, name in ((at, name) for _, marks in bars for at, name in sorted(marks, key=_beat)):
        data = data.replace(f">Z{at}<", f">{escape(name)}<", 1)
    frame = frame_of(data.encode())
    found = borders(rewriter.look(data.encode()).plan, frame)
    assert {seen.at for seen in marks_in(frame)} <= set(found)


def _mark(beat: int) -> str:
    return f" mark=Z{beat} "


def _beat(mark: tuple[int, str]) -> int:
    return mark[0]


def test_what_was_seen_can_be_sent_to_another_process() -> None:
    seen = rewriter.look(SCORES[0])
    assert pickle.loads(pickle.dumps(seen)) == seen  # noqa: S301 - its own
