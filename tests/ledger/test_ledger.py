"""The ledger over a slice of music21's corpus, by layouts and made-up plans; and it bites.

All of the corpus is ``python -m tests.ledger``.
"""

import re
from fractions import Fraction
from pathlib import Path

import msgspec
import pytest

import rewriter
from tests.corpus.trying import LAYOUTS, Line, Piece, lines_of, pieces
from tests.ledger.added import added
from tests.ledger.entries import Moment, Said, said_by
from tests.ledger.section import Section, Sides, Stretch
from tests.ledger.trying import all_said, layout_troubles, plan_troubles
from tests.ledger.voice import Voice
from tests.outside.reference import chosen_part
from tests.shorthand import sketch

# By the end of the path; what each is here for.
SLICE = {
    "bach/bwv66.6.mxl": "fermatas, an upbeat",
    "mozart/k155/movement2.mxl": "slurs, grace notes, trills, dynamics, hairpins",
    "beethoven/opus59no2/movement2.mxl": "words, offsets, ties over barlines",
    "joplin/maple_leaf_rag.mxl": "repeats, endings, chords",
}


def piece_named(name: str) -> Piece:
    return Piece.read(next(path for path in pieces() if path.as_posix().endswith(name)))


@pytest.mark.parametrize("name", SLICE)
def test_everything_is_carried_dropped_or_reported(name: str) -> None:
    piece = piece_named(name)
    for place, line in enumerate(lines_of(piece.data)):
        assert list(layout_troubles(piece, line, LAYOUTS[place % len(LAYOUTS)])) == []
        assert list(plan_troubles(piece, line, place)) == []


WHOLE = (
    '4/4 |: p "dolce" (C5q^accent D5^trill E5^up-bow) `G5e F5q^fermata | < A5h~ A5q ! f G5 '
    '| 3{ G5e F5 E5 } D5q_la "cresc." C5h | ending=1 C5w :| ending=2 mark=B tempo=96 D5w |'
)
LINE = Line("P1", None, None, "P1")


def troubles(made: rewriter.Expansion, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What the ledger says of a score of `WHOLE` that somebody has changed."""
    with monkeypatch.context() as patched:
        patched.setattr(rewriter, "expand", lambda *_args, **_named: made)
        piece = Piece(Path("whole"), sketch(WHOLE), is_valid=True)
        return [
            f"{one.kind}: {one.place.rpartition(': ')[2]} {one.said}".strip()
            for one in layout_troubles(piece, LINE, "Vn I")
        ]


def direction(sign: str) -> str:
    """A direction that begins with a sign, as a pattern."""
    return f"<direction[^>]*><direction-type>{sign}.*?</direction>"


@pytest.mark.parametrize(
    "element",
    [
        "<accent/>",
        "<trill-mark/>",
        "<up-bow/>",
        "<fermata/>",
        "<grace/>",
        '<slur [^>]*type="start"[^>]*/>',
        '<slur [^>]*type="stop"[^>]*/>',
        '<tuplet [^>]*type="start"[^>]*/>',
        direction("<dynamics><p/>"),
        direction('<wedge type="crescendo"'),
        direction("<words>dolce</words>"),
        direction("<words>cresc.</words>"),
        direction("<rehearsal>B</rehearsal>"),
        direction("<metronome>"),
        '<repeat direction="backward"/>',
        '<ending number="1" type="start"/>',
    ],
)
def test_a_sign_that_goes_without_a_word_is_missed(
    monkeypatch: pytest.MonkeyPatch, element: str
) -> None:
    made = rewriter.expand(sketch(WHOLE), "Vn I")
    assert troubles(made, monkeypatch) == []
    score = made.score.decode()
    spoilt = re.sub(element, "", score, count=1, flags=re.DOTALL)
    assert spoilt != score
    said = troubles(made._replace(score=spoilt.encode()), monkeypatch)
    assert any(one.startswith(("sign lost", "miscounted")) for one in said), said


@pytest.mark.parametrize(
    ("where", "more"),
    [
        ("<accent/>", "<tenuto/>"),
        ("<fermata/>", '<slur type="start" number="4"/>'),
        (
            "<direction-type><words>dolce",
            "<direction-type><words>grave</words></direction-type>",
        ),
        (
            "<direction-type><words>dolce",
            "<direction-type><dynamics><ff/></dynamics></direction-type>",
        ),
        (
            "<direction-type><words>cresc.",
            "<direction-type><words>arco</words></direction-type>",
        ),
    ],
)
def test_a_sign_that_nobody_has_said_is_seen(
    monkeypatch: pytest.MonkeyPatch, where: str, more: str
) -> None:
    made = rewriter.expand(sketch(WHOLE), "Vn I")
    score = made.score.decode()
    assert where in score
    spoilt = made._replace(score=score.replace(where, more + where, 1).encode())
    said = troubles(spoilt, monkeypatch)
    kinds = {one.partition(":")[0] for one in said}
    assert "sign added" in kinds, said
    assert "sign lost" not in kinds, said


@pytest.mark.parametrize("kind", ["dropped", "kept"])
def test_a_number_that_is_not_right_is_seen(monkeypatch: pytest.MonkeyPatch, kind: str) -> None:
    made = rewriter.expand(sketch(WHOLE), "Vn I")
    name = {"dropped": "lyrics", "kept": "slurs"}[kind]
    wrong = {name: 0} if kind == "dropped" else {name: 17}
    report = msgspec.structs.replace(made.report, **{kind: getattr(made.report, kind) | wrong})
    said = troubles(made._replace(report=report), monkeypatch)
    assert [one for one in said if one.startswith(f"miscounted: {name}")]


BEFORE = "p C5q sfz D5 E5 F5^f | sfz G5w"
"""In force behind it: *f*."""


@pytest.mark.parametrize(
    ("told", "is_seen"), [("f", False), ("sfz", True), ("p", True), ("pp", True)]
)
def test_what_is_not_in_force_where_a_section_enters_is_seen(
    told: str, *, is_seen: bool
) -> None:
    data, played = (sketch(f"4/4 | {bars} | A5q B5 C6 D6 |") for bars in (BEFORE, "R | R"))
    played = played.replace(
        b"<note><pitch><step>A", direction_of(told) + b"<note><pitch><step>A"
    )
    voice = Voice(said_by(chosen_part(data, "P1")))
    line = Stretch(Moment(2, Fraction(0)), Moment(3, Fraction(0)), voice)
    section = Section("Vla", said_by(chosen_part(played, "P1")), [line])
    seen = [one.kind for one in added(section, Sides(all_said(data), Said([], []), {}))]
    assert seen == [f"dynamics {told}"] * is_seen


def direction_of(dynamic: str) -> bytes:
    said = f"<direction-type><dynamics><{dynamic}/></dynamics></direction-type>"
    return f"<direction>{said}</direction>".encode()
