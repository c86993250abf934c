"""Whole cases: a sketch and a rule in; the music written down by hand, the recording, out.

``heard.txt`` makes a case a test. The recording only notices drift: it changes with
``--record-golden`` and nothing else, and whoever changes it reads the difference.
"""

import re
from difflib import unified_diff
from itertools import islice
from pathlib import Path

import pytest

from rewriter import Expansion, expand
from rewriter.reporting.text import as_text
from tests.golden.music import Music, differences, heard_by_music21, music_of
from tests.outside.schema import assert_valid
from tests.outside.spans import spanner_faults, voice_faults

DIGEST = "content-digest"
"""Differs wherever anything does."""

CASES = sorted(path.parent for path in Path(__file__).parent.glob("*/heard.txt"))
each_case = pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)


def expanded(case: Path) -> Expansion:
    """The case expanded as a command in its folder would do it."""
    if (case / "plan.toml").exists():
        return expand("sketch.musicxml", plan="plan.toml")
    return expand("sketch.musicxml", "layout.toml")


def wanted_in(case: Path) -> Music:
    return music_of((case / "heard.txt").read_text("utf-8"))


def test_there_are_cases() -> None:
    assert len(CASES) >= 7


@each_case
def test_music21_hears_what_was_written_down_by_hand(
    case: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Source: music21 reads the output; heard.txt was written before anything was run."""
    monkeypatch.chdir(case)
    heard = heard_by_music21(expanded(case).score)
    assert list(heard) == list(wanted_in(case))
    assert not differences(wanted_in(case), heard), differences(wanted_in(case), heard)


@each_case
def test_the_score_is_valid_and_closed(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Source: the MusicXML 4.0 XSD of the W3C."""
    monkeypatch.chdir(case)
    score = expanded(case).score
    assert_valid(score)
    assert spanner_faults(score) == []
    assert voice_faults(score) == []


@each_case
def test_bytes_and_report_are_as_recorded(
    case: Path, monkeypatch: pytest.MonkeyPatch, *, recording: bool
) -> None:
    monkeypatch.chdir(case)
    score, report = expanded(case)
    text = as_text(report, "score.musicxml")
    if recording:
        (case / "score.musicxml").write_bytes(score)
        (case / "report.txt").write_text(text, "utf-8")
    recorded = (case / "score.musicxml").read_bytes()
    if score != recorded:
        pytest.fail(drift(recorded, score), pytrace=False)
    assert text == (case / "report.txt").read_text("utf-8")


@each_case
def test_its_own_score_read_again_is_unchanged(
    case: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A section's part taken as a tune at its own pitch comes out as it went in."""
    monkeypatch.chdir(case)
    section = next(name for name, notes in wanted_in(case).items() if notes)
    place = list(wanted_in(case)).index(section)
    first = expanded(case).score
    again = expand(first, f"{section} loco", tune=f"P{place + 1}").score
    assert part_in(again, place) == part_in(first, place)


def drift(recorded: bytes, now: bytes) -> str:
    """What differs from a recording: bars as music, then the first lines of XML."""
    music = differences(heard_by_music21(recorded), heard_by_music21(now))
    lines = unified_diff(
        *(data.decode().splitlines() for data in (recorded, now)),
        "recorded", "now", lineterm="", n=0,
    )  # fmt: skip
    return "\n".join([music, *islice((line for line in lines if DIGEST not in line), 20)])


def part_in(score: bytes, place: int) -> bytes:
    return re.findall(rb"<part id=.*?</part>", score, re.DOTALL)[place]


def test_a_difference_is_told_as_music() -> None:
    wanted = music_of(
        "# by hand\nVc\nbar 1 | beat 1 G3 h. | beat 4 A3 q\nbar 2 | beat 1 B3 w\n"
    )
    heard = music_of("Vc\nbar 1 | beat 1 G3 h. | beat 4 A3 q\nbar 2 | beat 1 Bb3 w+q\n")
    assert differences(wanted, wanted) == ""
    assert differences(wanted, heard) == (
        "Vc, bar 2\n  wanted  beat 1 B3 w\n  heard   beat 1 Bb3 w+q"
    )
