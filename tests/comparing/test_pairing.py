"""Which part is which, worked out by hand."""

import pytest

from rewriter.comparing.pairing import paired_parts
from rewriter.scores.score import read_score
from tests.shorthand import sketch


def parts(names: str) -> bytes:
    first, *others = names.split(", ")
    made = sketch("C5w", tune="P1", others={f"P{n}": "C5w" for n in range(2, len(others) + 2)})
    for number, name in enumerate([first, *others], start=1):
        made = made.replace(
            b"<part-name>P%d</part-name>" % number, f"<part-name>{name}</part-name>".encode()
        )
    return made


@pytest.mark.parametrize(
    ("a", "b", "pairs"),
    [
        ("Vn I, Vn II, Vla", "Vn I, Vn II, Vla", "0-0 1-1 2-2"),
        ("Vn I, Vn II, Vla", "Vla, vn i, Vn II", "0-1 1-2 2-0"),
        ("Vn I, Vn II, Vla", "Vn I, Violin Two, Vla", "0-0 1-1 2-2"),
        ("Vn I, Vn II, Vla", "Vn I, Vla", "0-0 1-. 2-1"),
        ("Vn I, Vla", "Vn I, Horn, Vla", "0-0 1-2 .-1"),
        ("Horn, Horn, Vla", "Horn, Horn, Vla", "0-0 1-1 2-2"),
        ("Vn I, Vn II, Vla", "Bratschen, Violini secondi, 1. Violinen", "0-2 1-1 2-0"),
        ("Violas, Horn, Cellos a, Cellos b", "Vc. b, Viole, Vc. a", "0-1 1-. 2-2 3-0"),
        ("Horn, Vla", "Oboe, Flute, Vla", "0-. 1-2 .-0 .-1"),
    ],
)
def test_pairs(a: str, b: str, pairs: str) -> None:
    found = paired_parts(read_score(parts(a)), read_score(parts(b)))
    said = " ".join(
        "-".join("." if place is None else str(place) for place in pair) for pair in found
    )
    assert said == pairs
