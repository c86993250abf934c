"""Words of tempo that the score prints once are on every stand, and stop the counting there."""

import re

from rewriter.verbs.parts import parts
from tests.outside.schema import assert_valid
from tests.shorthand import sketch


def stands(top: str, below: str) -> str:
    """Bar by bar what the lower of two parts has: words, ``R2`` for two bars' rest."""
    data = sketch(f"4/4 | {top} |", tune="Violins", others={"Violas": f"| {below} |"})
    made = parts(data)[1].data
    assert_valid(made)
    said = []
    for bar in made.decode().split("<measure ")[1:]:
        found = re.findall(r"<words>([^<]*)</words>|<multiple-rest>(\d+)<", bar)
        said.append(" ".join(words or f"R{count}" for words, count in found))
    return " | ".join(said)


def test_a_rest_is_counted_to_the_word_and_from_it() -> None:
    top = 'C5w | C5w | "poco rit." C5w | C5w | "a tempo" C5w | C5w | C5w'
    assert stands(top, "R | R | R | R | R | R | C4w") == (
        "R2 |  | poco rit. R2 |  | a tempo R2 |  | "
    )


def test_a_word_within_the_bar_stands_alone_behind_the_counting() -> None:
    top = 'C5w | C5w | C5h "rit." C5h | C5w | C5w | C5w'
    assert stands(top, "R | R | R | R | R | C4w") == "R2 |  | rit. | R2 |  | "


def test_the_same_word_twice_in_a_bar_is_told_twice() -> None:
    top = '"a tempo" C5q "rit." C5 "a tempo" C5 "rit." C5'
    assert stands(top, "C4w") == "a tempo rit. a tempo rit."


def test_what_a_part_says_itself_is_not_put_in_again() -> None:
    assert stands('"poco rit." C5w | C5w', '"Poco rit" C4w | C4w') == "Poco rit | "


def test_a_lines_own_words_stay_where_they_are() -> None:
    assert stands('"dolce" C5w | C5w', "C4w | C4w") == " | "
