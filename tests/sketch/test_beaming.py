"""Beam groups after notes have gone.

Values of beams: W3C MusicXML 4.0, beam-value. A beam may go over a short rest: common practice.
"""

import pytest

from rewriter.musicxml.note_shapes import NoteShape
from rewriter.sketch.beaming import rebeamed
from rewriter.sketch.model import Note

VALUES = {"b": "begin", "c": "continue", "e": "end", "f": "forward hook", "h": "backward hook"}
RESTS = {"r": b"eighth", "R": b"quarter"}
LETTERS = {value: letter for letter, value in VALUES.items()}


def beamed(text: str, *, grace: bool = False) -> list[Note]:
    """Notes by their beams: ``b c e``, a second level behind (``bb``), ``-`` for none.

    ``r`` is an eighth rest, ``R`` a quarter rest.
    """
    notes = []
    for place, said in enumerate(text.split()):
        shape = NoteShape()
        shape.grace = grace
        shape.beams = [
            (str(level), VALUES[letter])
            for level, letter in enumerate(said, start=1)
            if letter in VALUES
        ]
        if said in RESTS:
            shape.kind = "rest"
            shape.children = [("type", b"<type>%b</type>" % RESTS[said])]
        notes.append(Note(place, 1, shape.finish(), None))
    return notes


def beams(notes: list[Note]) -> str:
    return " ".join(
        "".join(LETTERS[value] for _, value in note.shape.beams) or "-" for note in notes
    )


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("b c e", "b c e"),
        ("c e", "b e"),  # the first has gone
        ("b c", "b e"),  # the last has gone
        ("b r c e", "b - c e"),  # a short rest under a beam stays under it
        ("b r e", "b - e"),
        ("b R c e", "- - b e"),  # a longer one parts the group
        ("b r", "- -"),
        ("b - c e", "- - b e"),
        ("b", "-"),
        ("e", "-"),
        ("c", "-"),
        ("b c b e", "b e b e"),
        ("b e c e", "b e b e"),
        ("bb ee", "bb ee"),
        ("cc ee", "bb ee"),
        ("bb c", "b e"),  # the second level has lost its end
        ("bf e", "bf e"),  # a hook goes with its note
        ("bf", "-"),
    ],
)
def test_groups_are_closed(text: str, wanted: str) -> None:
    notes = beamed(text)
    rebeamed(notes)
    assert beams(notes) == wanted


def test_grace_notes_are_beamed_apart() -> None:
    main, graces = beamed("b e"), beamed("b e", grace=True)
    items = [main[0], *graces, main[1]]
    rebeamed(items)
    assert beams(main) == beams(graces) == "b e"
    items = [main[0], graces[0], main[1]]
    rebeamed(items)
    assert (beams(main), beams(graces[:1])) == ("b e", "-")


def test_a_whole_group_keeps_its_bytes() -> None:
    notes = beamed("b c e")
    before = [note.shape for note in notes]
    rebeamed(notes)
    assert all(note.shape is shape for note, shape in zip(notes, before, strict=True))
