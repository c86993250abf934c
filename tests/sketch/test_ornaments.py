"""Accidentals over trills and turns, in another key.

Expected by hand from the scale of the new key: the mark names the neighbour's alteration.
"""

import re

import pytest

import rewriter
from tests.shorthand import sketch

TRILL = "<notations><ornaments><trill-mark/><accidental-mark{}>{}</accidental-mark></ornaments>"


def trilled(key: int, note: str, mark: str, place: str = "") -> bytes:
    """A whole note with a trill and an accidental on it."""
    data = sketch(f"4/4 key={key} | {note}w |").decode()
    sign = TRILL.format(place, mark) + "</notations></note>"
    return data.replace("</note>", sign, 1).encode()


@pytest.mark.parametrize(
    ("key", "note", "mark", "by", "wanted"),
    [
        (0, "E4", "sharp", "M2", "sharp"),  # F sharp over E is G sharp over F sharp
        (0, "A4", "flat", "M2", "natural"),  # B flat over A is C natural over B, D major
        (0, "A4", "natural", "m3", "natural"),  # B natural over A is D natural over C
        (0, "E4", "sharp", "m3", "natural"),  # F sharp over E is A natural over G, E flat major
        (
            -3,
            "G4",
            "natural",
            "down m3",
            "sharp",
        ),  # A natural over G is F sharp over E, C major
        (2, "B4", "natural", "m2", "flat"),  # C natural over B is D flat over C, E flat major
    ],
)
def test_the_mark_over_a_note_follows(
    key: int, note: str, mark: str, by: str, wanted: str
) -> None:
    score = rewriter.expand(trilled(key, note, mark), "Vn I loco", by=by).score.decode()
    assert re.findall(r"<accidental-mark[^>]*>([^<]*)<", score) == [wanted]


def test_the_mark_below_names_the_lower_neighbour() -> None:
    data = trilled(0, "G4", "sharp", ' placement="below"')  # F sharp under G
    score = rewriter.expand(data, "Vn I loco", by="m3").score.decode()
    assert re.findall(r"<accidental-mark[^>]*>([^<]*)<", score) == ["natural"]  # A under B flat


def test_without_a_change_of_key_it_stays() -> None:
    score = rewriter.expand(trilled(0, "E4", "sharp"), "Vn I loco").score.decode()
    assert re.findall(r"<accidental-mark[^>]*>([^<]*)<", score) == ["sharp"]
