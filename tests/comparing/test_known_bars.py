"""A bar read once for all that say the same is what it is when read by itself."""

from hypothesis import given
from hypothesis import strategies as st

from rewriter.comparing.contents import Contents, contents
from rewriter.comparing.known_bars import KnownBars
from rewriter.scores.score import read_score
from rewriter.theory.fifths import Interval, parse_interval
from tests.comparing.resaving import resaved
from tests.shorthand import sketch

BARS = (
    "C5q^accent D5 (E5 F5)", "R", "G5h~ G5h", "key=3 mf C#5q D5 E5 F#5", "key=-1 < Bb4h A4 ! p",
    "C5w & `D4s E4h E4", "harmony=E:minor C5h 3{C4e D4e E4e} C5q", '"dolce" (A4w | B4w)',
)  # fmt: skip
MOVES = (Interval(0, 0), parse_interval("up M2"), parse_interval("down m3"))


def alone(found: Contents) -> list[tuple[object, ...]]:
    """Notes and things bar by bar, whoever read them."""
    return [(found.heading, found.beamed), *(bar._replace(twins=None) for bar in found.bars)]


@given(
    letters=st.lists(st.lists(st.sampled_from(BARS), min_size=1, max_size=9), max_size=4),
    moves=st.lists(st.sampled_from(MOVES), min_size=1, max_size=3),
    again=st.booleans(),
)
def test_known_or_not(letters: list[list[str]], moves: list[Interval], *, again: bool) -> None:
    known = KnownBars()
    for said in letters:
        data = sketch(f"4/4 {' | '.join(said)} |")
        part = read_score(resaved(data, len(said)) if again else data).parts[0]
        for by in moves:
            found = contents(part, 48, by, known=known)
            assert alone(found) == alone(contents(part, 48, by))


def test_a_bar_that_comes_again_has_its_own_place() -> None:
    part = read_score(sketch("4/4 C5q D5h. | E5w | (E5h F5h) | E5w |")).parts[0]
    bars = contents(part, 4).bars
    assert bars[1].twins is bars[3].twins is not None
    assert [note.thing.at.bar for bar in bars for note in bar.notes] == [0, 0, 1, 2, 2, 3]
