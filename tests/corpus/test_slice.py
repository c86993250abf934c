"""A fixed slice of music21's corpus as sketches; all of it is ``python -m tests.corpus``."""

import re
from types import SimpleNamespace

import pytest

import rewriter
from tests.corpus.planned import plan_troubles
from tests.corpus.trying import LAYOUTS, Piece, lines_of, pieces, troubles

# By the end of the path; what each is here for.
SLICE = {
    "bach/bwv66.6.mxl": "a chorale: upbeat, fermatas",
    "mozart/k155/movement2.mxl": "a quartet movement: slurs, grace notes, dynamics",
    "schoenberg/opus19/movement2.mxl": "piano: two staves, voices, chords",
    "leadSheet/berlinAlexandersRagtime.mxl": "a lead sheet: chord symbols, lyrics",
    "monteverdi/madrigal.3.1.mxl": "a madrigal: transposing clefs, long notes",
    "joplin/maple_leaf_rag.mxl": "a rag: repeats, endings, ties",
}


@pytest.mark.parametrize("name", SLICE)
def test_a_piece_comes_through_whole(name: str) -> None:
    path = next(path for path in pieces() if path.as_posix().endswith(name))
    piece = Piece.read(path)
    lines = list(lines_of(piece.data))
    assert lines
    found = [
        trouble
        for place, line in enumerate(lines)
        for trouble in troubles(piece, line, LAYOUTS[place % len(LAYOUTS)])
    ]
    assert [one for one in found if not one.kind.startswith("input too")] == []


@pytest.mark.parametrize("name", SLICE)
def test_a_piece_comes_through_made_up_plans(name: str) -> None:
    path = next(path for path in pieces() if path.as_posix().endswith(name))
    piece = Piece.read(path)
    found = [
        trouble
        for seed, line in enumerate(lines_of(piece.data))
        for trouble in plan_troubles(piece, line, seed)
    ]
    kinds = {one.kind for one in found if not one.kind.startswith("input too")}
    assert kinds <= {"refused"}, found


@pytest.mark.parametrize(
    ("pattern", "instead", "kind"),
    [
        (rb"<octave>5</octave>", rb"<octave>6</octave>", "note added"),
        (rb"<octave>5</octave>", rb"<octave>6</octave>", "note lost"),
        (rb'<slur ([^>]*)type="stop"([^>]*)/>', rb"", "open end"),
        (rb"<duration>\d+</duration>", rb"<duration>1</duration>", "bar of wrong length"),
        (rb"<duration>\d+</duration>", rb"", "invalid"),
    ],
)
def test_trouble_would_be_seen(
    monkeypatch: pytest.MonkeyPatch, pattern: bytes, instead: bytes, kind: str
) -> None:
    name = "mozart/k155/movement2.mxl"
    piece = Piece.read(next(path for path in pieces() if path.as_posix().endswith(name)))
    line = next(lines_of(piece.data))
    whole = rewriter.expand(piece.data, LAYOUTS[0], tune=line.tune)
    assert list(troubles(piece, line, LAYOUTS[0])) == []
    spoilt = re.sub(pattern, instead, whole.score, count=1)
    assert spoilt != whole.score
    monkeypatch.setattr(
        rewriter,
        "expand",
        lambda *_args, **_named: SimpleNamespace(score=spoilt, report=whole.report),
    )
    assert kind in {one.kind for one in troubles(piece, line, LAYOUTS[0])}


def test_a_crash_is_a_trouble_and_a_refusal_another(monkeypatch: pytest.MonkeyPatch) -> None:
    piece = Piece.read(next(path for path in pieces() if path.name == "bwv66.6.mxl"))
    line = next(lines_of(piece.data))
    assert [one.kind for one in troubles(piece, line, "Vn I /")] == ["refused"]

    def crash(*_args: object, **_named: object) -> None:
        raise KeyError("P1")

    monkeypatch.setattr(rewriter, "expand", crash)
    assert [(one.kind, one.said) for one in troubles(piece, line, "Vn I")] == [
        ("crash", "KeyError('P1')")
    ]
