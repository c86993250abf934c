"""Sketches in other formats sound as music21 says itself; for MEI, as the score they are of."""

import re
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from music21 import converter, corpus

from rewriter.foreign.mei import plain_mei
from rewriter.foreign.opening import open_sketch
from rewriter.musicxml.opening import read_source
from rewriter.verbs.expand import expand
from tests.outside.reference import Heard, heard_by_reference
from tests.shorthand import sketch

CORPUS = Path(corpus.__file__).parent
SCORES = Path(__file__).parents[2] / "scores"
TUNE = sketch(
    "3/4 | G4q (A4q B4q) | C5h D5q | 3{ G4e A4e B4e } C5h | D5h.~ | D5h. |", tune="Flute"
)


def _tunes(file: str, numbers: tuple[int, ...]) -> Iterator[tuple[str, str, bytes]]:
    """Tunes of a collection in ABC, each as a file of its own."""
    text = (CORPUS / file).read_text(encoding="utf-8")
    tunes = re.split(r"\n(?=X:)", text[text.index("X:") :])
    for number in numbers:
        yield f"{Path(file).stem}-{number}.abc", "abc", tunes[number].strip().encode()


def _as_midi(name: str) -> bytes:
    """A piece as music21 writes it in MIDI."""
    from music21.midi.translate import streamToMidiFile

    written: bytes = streamToMidiFile(corpus.parse(name)).writestr()
    return written


def as_mei(data: bytes) -> bytes:
    """A score as verovio writes it in MEI."""
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    assert toolkit.loadData(data.decode())
    return str(toolkit.getMEI()).encode()


PIECES = [
    *_tunes("essenFolksong/altdeu10.abc", (0, 3, 17)),
    *_tunes("essenFolksong/ballad10.abc", (2,)),
    *_tunes("airdsAirs/book1.abc", (1, 8)),
    *(
        (Path(file).name, "humdrum", (CORPUS / file).read_bytes())
        for file in ("bach/bwv277.krn", "palestrina/Agnus.krn", "chopin/mazurka06-2.krn")
    ),
    *((f"{name[5:]}.mid", "midi", _as_midi(name)) for name in ("bach/bwv66.6", "bach/bwv10.7")),
]
SCORES_AS_MEI = {
    "tune": TUNE,
    "last-ferry": (SCORES / "last-ferry.musicxml").read_bytes(),
    "bwv335": read_source(CORPUS / "bach/bwv335.mxl").data,
    "bwv66.6": read_source(CORPUS / "bach/bwv66.6.mxl").data,
}


@pytest.mark.parametrize(("name", "kind", "data"), PIECES, ids=[piece[0] for piece in PIECES])
def test_notes_are_those_music21_reads_itself(
    tmp_path: Path, name: str, kind: str, data: bytes
) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    opened = open_sketch(path)
    assert heard_by_reference(opened.source.data) == heard_directly(data, kind)


@pytest.mark.parametrize("name", SCORES_AS_MEI)
def test_notes_of_mei_are_those_of_the_score_it_was_made_of(name: str) -> None:
    """Source: verovio writes the MEI; the notes are those our reference reader finds."""
    data = SCORES_AS_MEI[name]
    mei = as_mei(data)
    made = open_sketch(mei).source.data
    assert heard_by_reference(made) == heard_by_reference(data)
    assert heard_by_reference(made) == heard_directly(plain_mei(mei).data, "mei")


@pytest.mark.parametrize(("name", "kind", "data"), PIECES[::3], ids=[p[0] for p in PIECES[::3]])
def test_strings_play_them(name: str, kind: str, data: bytes) -> None:
    tune = expand(data, "Vn I loco", tune="P1", out_of_range="keep")
    assert heard_by_reference(tune.score)[0] == heard_directly(data, kind)[0], name


def heard_directly(data: bytes, kind: str) -> list[list[Heard]]:
    """Notes as music21 reads them from the file, without MusicXML between."""
    text = data if kind == "midi" else _decoded(data)
    return [_of(part) for part in converter.parseData(text, format=kind).parts]


def _decoded(data: bytes) -> str:
    try:
        return data.decode()
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _of(part: Any) -> list[Heard]:
    heard = [
        Heard(Fraction(one.offset), Fraction(one.quarterLength), pitch.ps)
        for one in part.stripTies().flatten().notes
        if not one.duration.isGrace and "Harmony" not in one.classes
        for pitch in one.pitches
    ]
    return sorted(heard)
