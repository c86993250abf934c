"""Which bar is which: found where it can be, and never guessed."""

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rewriter.merging.bars import Alignment, align
from tests.merging.lettered import profiled

LETTERS = "ABCDEFGHIJKLMNOPQSTUVWXYZ"


def aligned(a: str, b: str, up: int = 0) -> Alignment:
    return align(profiled(a), profiled(b, up))


def told(found: Alignment, count: int) -> str:
    """For each bar of A: its bar in B, ``-`` for none, ``?`` after another bar, or several."""
    said = []
    for bar in range(count):
        if bar in found.candidates:
            several = ("-" if one is None else str(one) for one in found.candidates[bar])
            said.append("/".join(several))
        else:
            said.append(str(found.bars.get(bar, "-")) + "?" * (bar in found.unlike))
    return " ".join(said)


@pytest.mark.parametrize(
    ("a", "b", "wanted"),
    [
        ("A B C D", "A B C D", "0 1 2 3"),
        ("A A A A", "A A A A", "0 1 2 3"),
        ("A B C D", "A B X C D", "0 1 3 4"),  # put in
        ("A B C D", "A C D", "0 - 1 2"),  # taken out
        ("A B C D", "A B' C D", "0 1 2 3"),  # altered
        ("A B C D", "A H C D", "0 1? 2 3"),  # another in its place
        ("A B C D", "A H T C D", "0 - 3 4"),  # others in its place
        ("A A B", "A A A B", "0/1 1/2 3"),  # which of them is new?
        ("A A B", "A B", "0/- 0/- 1"),  # which of them is gone?
        ("A B C D", "A B A B C D", "0/2 1/3 4 5"),  # said twice
        ("A B A B C A B", "A B A B X C A B", "0 1 2 3 5 6 7"),  # twins do not matter there
        ("A B C D E F", "A E F B C D", "0 3 4 5 1 2"),  # moved
        ("A B R R C", "A B R R R C", "0 1 2/3 3/4 5"),
        ("[M]A A [N]B", "[M]A A A [N]B", "0 1/2 3"),  # placed by its mark, the rest open
        ("[M]A [N]A B", "[M]A A [N]A B", "0 2 3"),  # marks hold what sounds alike
        ("[M]A B [N]A B C", "[M]A B [N]A B [O]A B C", "0/2 1/3 2/4 3/5 6"),  # named anew?
    ],
)
def test_by_hand(a: str, b: str, wanted: str) -> None:
    assert told(aligned(a, b), len(a.split())) == wanted


def test_under_a_transposition() -> None:
    """B sounds a third higher and counts as so much lower."""
    low, high = profiled("A B C A"), profiled("A B C A", up=3)
    assert not any(one.heard == two.heard for one, two in zip(low, high, strict=True))
    back = profiled("A B C A", up=0)
    assert align(low, back).bars == {0: 0, 1: 1, 2: 2, 3: 3}


WITH_TWINS = st.lists(st.sampled_from("ABCDE"), min_size=3, max_size=30)


@given(tune=WITH_TWINS, seed=st.integers(0, 2**16))
def test_one_change_leads_no_bar_astray(tune: list[str], seed: int) -> None:
    """Bars put in, taken out, said twice, altered: a bar is where it went, or in doubt."""
    rng = Random(seed)  # noqa: S311 - music, not secrets
    now: list[tuple[int | None, str]] = list(enumerate(tune))
    at, size = rng.randrange(len(now)), rng.choice((1, 2, 4))
    match rng.randrange(4):
        case 0:
            now[at:at] = [(None, rng.choice("XYZ")) for _ in range(size)]
        case 1 if len(now) > size:
            del now[at : at + size]
        case 2:
            now[at:at] = [(None, letter) for _, letter in now[at : at + size]]
        case _:
            now[at] = now[at][0], now[at][1] + "'"
    went = {was: place for place, (was, _) in enumerate(now) if was is not None}
    found = aligned(" ".join(tune), " ".join(letter for _, letter in now))
    for bar in range(len(tune)):
        if bar in found.candidates:
            assert went.get(bar) in found.candidates[bar]
        else:
            assert found.bars.get(bar) == went.get(bar)


def test_a_long_statement_said_twice_is_in_doubt() -> None:
    """However long it is, nobody can tell which of both is the old one."""
    statement = "A B C D E F G H I J K L M N O P Q S T U"
    found = aligned(f"{statement} V W", f"{statement} {statement} V W")
    assert found.candidates == {bar: [bar, bar + 20] for bar in range(20)}
    assert found.certain == {20: 40, 21: 41}
