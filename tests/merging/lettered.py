"""Scores in letters: a bar for each, the same letter the same music; ``A'`` is A altered."""

from random import Random

from rewriter.comparing.contents import contents
from rewriter.merging.profiles import Profile, profiles
from rewriter.scores.score import read_score
from tests.shorthand import sketch

_RHYTHMS = ("q q q q", "h q q", "q. e h", "e e q q q")
_NAMES = ("C5", "D5", "E5", "F5", "G5", "A5", "B5", "C6")
_OTHER = "C#4"


def music(letter: str) -> str:
    """The bar of a letter, `R` for one of rest."""
    if letter.startswith("R"):
        return "R"
    name = letter.rstrip("'")
    rng = Random(name)  # noqa: S311 - music, not secrets
    notes = [rng.choice(_NAMES) + length for length in rng.choice(_RHYTHMS).split()]
    if letter.endswith("'"):
        last = notes[-1]
        notes[-1] = _OTHER + last[2:]
    return " ".join(notes)


def score(letters: str, metre: str = "4/4") -> bytes:
    """A score of one part; ``[X]A`` has the rehearsal mark X above it."""
    bars = []
    for word in letters.split():
        mark, _, letter = word.rpartition("]")
        said = f"mark={mark[1:]} " if mark else ""
        bars.append(said + music(letter))
    return sketch(f"{metre} " + " | ".join(bars) + " |")


def profiled(letters: str, up: int = 0) -> list[Profile]:
    """The bars of such a score, as they are known again."""
    part = read_score(score(letters)).parts[0]
    found = contents(part, 24)
    return profiles([found], [up] * len(found.bars))
