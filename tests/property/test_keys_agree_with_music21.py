"""Music in another key is the music music21's own transposition gives, by pitch and spelling.

Wherever the key stays within seven accidentals and the note within double ones; beyond, the
tool respells and music21 does not.
"""

from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest

import rewriter
from tests.corpus.trying import lines_of, pieces
from tests.outside.reference import score_root

PIECES = {
    "bach/bwv66.6.mxl": "a chorale in sharps",
    "mozart/k155/movement2.mxl": "a quartet movement: key signature, chromatic notes",
    "leadSheet/berlinAlexandersRagtime.mxl": "a lead sheet: chord symbols",
    "beethoven/opus18no1/movement1.mxl": "a long movement: many accidentals",
    "monteverdi/madrigal.3.1.mxl": "a madrigal in flats",
}
NAMES = ("A1", "m2", "M2", "m3", "M3", "P4", "A4", "d5", "P5", "m6", "M6", "m7", "M7", "P8")
INTERVALS = [f"{way} {name}" for name in NAMES for way in ("up", "down")]
SIGNS = {0: "", 1: "#", -1: "-", 2: "##", -2: "--"}


@lru_cache(maxsize=8)
def _read(path: Path) -> Any:
    from music21 import converter

    return converter.parse(path, forceSource=True).parts[0].toSoundingPitch()


def _find(name: str) -> Path:
    return next(path for path in pieces() if path.as_posix().endswith(name))


def _by_music21(path: Path, interval: str) -> tuple[list[str], list[int]]:
    """Names of the top notes, and the key signatures, moved by music21; ties not joined."""
    from music21 import harmony, key
    from music21 import interval as intervals

    way, name = interval.split()
    move = intervals.Interval(name if way == "up" else f"-{name}")
    flat = _read(path).flatten()
    notes = [one for one in flat.notes if not isinstance(one, harmony.Harmony)]
    tops = [max(one.pitches, key=lambda pitch: pitch.ps) for one in notes]
    keys = [one.transpose(move).sharps for one in flat.getElementsByClass(key.KeySignature)]
    return [move.transposePitch(top).nameWithOctave for top in tops], keys


def _by_us(path: Path, interval: str) -> tuple[list[str], list[int]]:
    data = path.read_bytes()
    tune = next(lines_of(data)).tune
    score = rewriter.expand(data, "Vn I loco", tune=tune, by=interval).score
    part = score_root(score).find("part")
    names = []
    for pitch in part.iterfind("measure/note/pitch"):
        alter = int(pitch.findtext("alter", "0"))
        names.append(f"{pitch.findtext('step')}{SIGNS[alter]}{pitch.findtext('octave')}")
    return names, [int(str(one.text)) for one in part.iterfind(".//key/fifths")]


@pytest.mark.parametrize("name", PIECES)
def test_every_pitch_and_key_signature(name: str) -> None:
    path = _find(name)
    compared = 0
    for interval in INTERVALS:
        pitches, keys = _by_music21(path, interval)
        if any(abs(sharps) > 7 for sharps in keys):
            continue
        ours, our_keys = _by_us(path, interval)
        assert our_keys == (keys or [0]), interval
        assert len(ours) == len(pitches)
        for our, their in zip(ours, pitches, strict=True):
            if not {"###", "---"} & {their[1:4]}:
                assert our == their, interval
        compared += 1
    assert compared >= len(INTERVALS) // 3


def test_chord_symbols_follow() -> None:
    from music21 import harmony
    from music21 import interval as intervals

    path = _find("leadSheet/berlinAlexandersRagtime.mxl")
    data = path.read_bytes()
    tune = next(lines_of(data)).tune
    symbols = list(_read(path).flatten().getElementsByClass(harmony.ChordSymbol))
    for interval in INTERVALS:
        way, name = interval.split()
        move = intervals.Interval(name if way == "up" else f"-{name}")
        roots = [move.transposePitch(one.root()).name for one in symbols]
        if any(len(root) > 3 for root in roots):
            continue
        made = rewriter.expand(data, "Vn I loco", tune=tune, by=interval, keep_harmony=True)
        ours = [
            f"{root.findtext('root-step')}{SIGNS[int(root.findtext('root-alter', '0'))]}"
            for root in score_root(made.score).iter("root")
        ]
        assert ours == roots, interval
