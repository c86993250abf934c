"""Clefs of a slice of music21's corpus; more of it is ``python -m tests.corpus.clefs``."""

import pytest

import rewriter
from tests.corpus.clefs import LAYOUTS, Part, broken, lines_needed, looked_at, parts_of
from tests.corpus.trying import lines_of, pieces
from tests.shorthand import sketch

SLICE = (
    "beethoven/opus59no1/movement1.mxl",
    "haydn/opus74no1/movement2.mxl",
    "mozart/k155/movement1.mxl",
    "bach/bwv66.6.mxl",
    "joplin/maple_leaf_rag.mxl",
)


@pytest.mark.parametrize("name", SLICE)
def test_clefs_stand_where_they_may_and_change_rarely(name: str) -> None:
    path = next(path for path in pieces() if path.as_posix().endswith(name))
    data = path.read_bytes()
    for place, line in enumerate(lines_of(data)):
        for layout in (LAYOUTS[place % len(LAYOUTS)], LAYOUTS[(place + 1) % len(LAYOUTS)]):
            counts, found = looked_at(data, line, layout)
            assert found == [], (line.tune, layout)
            for section, count in counts.items():
                assert 100 * count["changes"] <= 15 * count["bars"], (section, line.tune)


def _parts(music: str, stack: str) -> dict[str, Part]:
    return {part.name: part for part in parts_of(rewriter.expand(sketch(music), stack).score)}


def test_leger_lines_are_those_of_the_trade() -> None:
    """E4 in the bass clef has two, C4 in the treble one, C3 in the alto one: C clefs are there
    to save leger lines, and the line they sit on is middle C (Gehrkens, section 17)."""
    assert lines_needed(4 * 7 + 2, ("F", 4)) == 2
    assert lines_needed(4 * 7, ("G", 2)) == 1
    assert lines_needed(3 * 7, ("C", 3)) == 1


def test_what_breaks_a_law_would_be_seen() -> None:
    part = _parts("4/4 | C3q D3q (E3q F3q) | C3w |", "Vc loco")["Vc"]
    first, second, third, fourth, last = part.notes
    treble = ("G", 2)

    def said(*notes: object) -> list[str]:
        return list(broken(part._replace(notes=list(notes))))

    assert said(*part.notes) == []
    assert said(first, second, third, fourth._replace(clef=treble), last) == [
        "bar 1: clef within a slur",
        "bar 2: clef for a single note",
    ]
    beamed = second._replace(beamed=True, clef=treble)
    assert "bar 1: clef under a beam" in said(first, beamed, third)
    assert said(first._replace(lowered=1), second._replace(lowered=1), third) == [
        "bar 1: 8va for 2 notes"
    ]


def test_neither_clef_nor_8va_begins_under_a_beam_that_programs_draw() -> None:
    """Eighths without beams are joined within half a bar (common practice, no source)."""
    low = "4/4 | C3w | G2h. D3e G4e | A4w | G4w | A4w |"
    notes = _parts(low, "Vc loco")["Vc"].notes
    assert [note.clef for note in notes] == [("F", 4)] * 2 + [("C", 4)] * 5
    high = "4/4 | A5h. B5e D7e | E7q D7q E7q D7q | A5w |"
    notes = _parts(high, "Vn I loco")["Vn I"].notes
    assert [note.lowered for note in notes] == [0, 1, 1, 1, 1, 1, 1, 0]


def test_no_clef_stands_in_a_slur_that_begins_on_a_tied_note() -> None:
    within = "4/4 | C3w | E4w~ | E4h (A4q B4q) | A4w | C5h B4h |"
    notes = _parts(within, "Vc loco")["Vc"].notes
    assert [note.clef[0] for note in notes] == list("FFFGGGGG")
    tied = within.replace("E4h (A4q B4q)", "(E4h A4q B4q)")
    changed = _parts(tied, "Vc loco")["Vc"]
    assert list(broken(changed)) == []
    over = "4/4 | C3w | E4w~ | (E4w | A4w) | C5h B4h | A4w |"
    assert list(broken(_parts(over, "Vc loco")["Vc"])) == []
