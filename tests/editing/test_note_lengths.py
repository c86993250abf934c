"""How lengths are written; every expected value by hand."""

from fractions import Fraction

import pytest

from rewriter.editing.music import Note, tag_of
from rewriter.editing.note_lengths import spelled
from rewriter.theory.pitch import Pitch

C4 = Pitch("C", 0, 4)


def said(*lengths: str, start: str = "0") -> list[str]:
    """Each note as length, type with dots, ratio, and ends of tuplets and ties."""
    notes, onset = [], Fraction(start)
    for length in lengths:
        notes.append(Note(onset, Fraction(length), C4))
        onset += Fraction(length)
    return [_said(note) for note in spelled(notes)]


def _said(note: Note) -> str:
    text = b"".join(note.more).decode()
    kind = text.partition("<type>")[2].partition("<")[0] + "." * text.count("<dot/>")
    ratio = text.partition("<actual-notes>")[2].partition("<")[0]
    ends = [
        f"{tag} {end}"
        for tag in ("tie", "tuplet")
        for end in ("stop", "start")
        if f'<{tag} type="{end}"' in text
    ]
    return " ".join([str(note.length), kind, *([f"{ratio}:"] if ratio else []), *ends])


@pytest.mark.parametrize(
    ("lengths", "written"),
    [
        (("1", "3/2", "7/4", "8"), ["1 quarter", "3/2 quarter.", "7/4 quarter..", "8 breve"]),
        (("5",), ["4 whole tie start", "1 quarter tie stop"]),
        (
            ("9/8",),
            ["1 quarter tie start", "1/8 32nd tie stop"],
        ),
        (
            ("1/3", "2/3"),
            ["1/3 eighth 3: tuplet start", "2/3 quarter 3: tuplet stop"],
        ),
        (
            ("1/6", "1/6", "1/6", "1/2"),
            [
                "1/6 16th 3: tuplet start",
                "1/6 16th 3:",
                "1/6 16th 3: tuplet stop",
                "1/2 eighth",
            ],
        ),
        (
            ("1/3", "1", "2/3"),
            ["1/3 eighth 3: tuplet start", "1 quarter. 3:", "2/3 quarter 3: tuplet stop"],
        ),
        (
            ("4/5", "1/5"),
            ["4/5 quarter 5: tuplet start", "1/5 16th 5: tuplet stop"],
        ),
        (("4/7",), ["4/7 quarter 7: tuplet stop tuplet start"]),
        (
            ("1/3", "1/5"),
            [
                "1/3 eighth 3: tuplet stop tuplet start",
                "1/5 16th 5: tuplet stop tuplet start",
            ],
        ),
        (
            ("5/3", "1/3"),
            [
                "4/3 half 3: tie start tuplet start",
                "1/3 eighth 3: tie stop",
                "1/3 eighth 3: tuplet stop",
            ],
        ),
    ],
)
def test_lengths_are_written_as_players_read_them(
    lengths: tuple[str, ...], written: list[str]
) -> None:
    assert said(*lengths) == written


def test_a_note_that_is_spelled_stays() -> None:
    note = Note(Fraction(0), Fraction(5), C4, more=(b"<type>long</type>",), spelled=True)
    assert spelled([note]) == [note]


def test_signs_that_end_at_a_note_stand_at_the_last_of_several() -> None:
    from rewriter.musicxml.note_shapes import Notation

    slur = Notation("", "slur", "stop", "1", b'<slur type="stop"/>')
    accent = Notation("articulations", "accent", "", "1", b"<accent/>")
    lyric = b"<lyric><text>la</text></lyric>"
    note = Note(Fraction(0), Fraction(5), C4, notations=(slur, accent), more=(lyric,))
    first, last = spelled([note])
    assert lyric in first.more
    assert [tag_of(child) for child in last.more].count("lyric") == 0
    assert b"accent" in b"".join(first.more)
    assert b"slur" not in b"".join(first.more)
    assert b"slur" in b"".join(last.more)
    assert b"accent" not in b"".join(last.more)
