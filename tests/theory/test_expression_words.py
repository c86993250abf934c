"""What a player reads as expression, and which of the words that is (common practice)."""

import pytest

from rewriter.theory.expression_words import expression_in


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("espr.", "espr."),
        ("molto espressivo", "molto espressivo"),
        ("con anima", "con anima"),
        ("p dolce", "dolce"),
        ("dim. e dolce", "dolce"),
        ("arco, cantabile", "cantabile"),
        ("dolce ed espressivo", "dolce ed espressivo"),
        ("tranquillo", "tranquillo"),
        ("sehr zart", "sehr zart"),
        ("très expressif", "très expressif"),
        ("Broadly, with feeling", "Broadly, with feeling"),
        ("sempre legato", "sempre legato"),
        ("cresc.", ""),
        ("sempre pp", ""),
        ("pizz.", ""),
        ("rit.", ""),
        ("legato", ""),
        ("Solo", ""),
        ("The singer enters gently", ""),
        ("a simple song", ""),
        ("", ""),
    ],
)
def test_words_of_expression(text: str, said: str) -> None:
    assert expression_in(text) == said
