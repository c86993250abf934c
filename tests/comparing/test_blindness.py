"""Saving a score again changes no music, whatever else it changes."""

from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import rewriter
from tests.comparing.comparing import compared, told, troubles
from tests.comparing.resaving import resaved
from tests.corpus.trying import pieces
from tests.property.strategies import Sketch, sketches

ROOT = Path(__file__).parents[2]
DEMOS = sorted(
    path for path in (ROOT / "scores").glob("*.musicxml") if path.stem != "ferrymans-lamp"
)
MADE = sorted((ROOT / "tests/golden").glob("*/score.musicxml"))

# By the end of the path; what each is here for.
SLICE = {
    "bach/bwv66.6.mxl": "an upbeat, fermatas",
    "mozart/k155/movement2.mxl": "slurs, grace notes, dynamics, slurs without an end",
    "schoenberg/opus19/movement2.mxl": "two staves, voices, chords",
    "leadSheet/berlinAlexandersRagtime.mxl": "chord symbols, lyrics",
    "monteverdi/madrigal.3.1.mxl": "clefs an octave down, long notes",
    "joplin/maple_leaf_rag.mxl": "repeats, endings, ties",
    "PMFC_13_17-Gloria Spiritus et Alme.xml": "a note written twice, once with a courtesy sign",
}


def corpus(name: str) -> Path:
    return next(path for path in pieces() if path.as_posix().endswith(name))


@given(sketch=sketches(), seed=st.integers(0, 2**16), timewise=st.booleans())
def test_saved_again_is_no_edit(sketch: Sketch, seed: int, *, timewise: bool) -> None:
    again = resaved(sketch.data, seed, timewise=timewise)
    assert told(compared(sketch.data, again)) == []


@pytest.mark.parametrize("path", [*DEMOS, *MADE], ids=lambda path: path.parent.name + path.stem)
def test_our_own_scores_saved_again(path: Path) -> None:
    assert troubles(path.read_bytes(), seed=1) == []


def test_an_expansion_saved_again() -> None:
    made = rewriter.expand(DEMOS[0], "three-levels-middle-doubled").score
    assert made.count(b"<part ") > 4
    assert troubles(made, seed=2) == []


@pytest.mark.parametrize("name", SLICE)
def test_a_piece_saved_again(name: str) -> None:
    assert troubles(corpus(name).read_bytes(), seed=3) == []


MUSIC21_LOSES = {
    "title": "it names every file after itself",
    "creator": "and itself as the composer",
    "short name": "it gives instruments short names of its own",
    "instrument sound": "it does not write them",
    "ensemble": "nor these",
    "grace": "it slashes every grace note",
    "hairpin": "it lets a hairpin end with the last note it was told of",
    "slur": "it drops slurs without an end, and mixes some of several voices",
    "direction": "it drops directions that it does not know",
    "accidental": "it drops what makes an accidental a courtesy",
}


@pytest.mark.parametrize("name", [*SLICE, *(path.as_posix() for path in [*DEMOS, *MADE])])
def test_what_music21_writes_again(name: str) -> None:
    from music21 import converter
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    path = Path(name) if name.startswith("/") else corpus(name)
    again = GeneralObjectExporter(converter.parse(path, forceSource=True)).parse()
    kinds = Counter(one.kind for one in compared(path.read_bytes(), again).all)
    assert {kind: kinds[kind] for kind in kinds if kind not in MUSIC21_LOSES} == {}


PARTITURA_LOSES = {
    "instrument sound": "it does not write them",
    "ensemble": "nor these",
    "transposition": "nor these",
    "tempo": "nor metronome marks",
    "words": "nor those it takes for no directions",
}


@pytest.mark.filterwarnings("ignore")  # it says much about what it reads
@pytest.mark.parametrize("path", MADE, ids=lambda path: path.parent.name)
def test_what_partitura_writes_again(path: Path) -> None:
    import partitura

    again = partitura.save_musicxml(partitura.load_musicxml(path))
    kinds = Counter(one.kind for one in compared(path.read_bytes(), again).all)
    assert {kind: kinds[kind] for kind in kinds if kind not in PARTITURA_LOSES} == {}
