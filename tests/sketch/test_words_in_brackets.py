"""Words between square brackets: a layout for the tool, or an editor's words for players."""

import pytest

import rewriter
from tests.planned import said
from tests.shorthand import sketch


def violins(words: str, **options: str) -> str:
    """What first violins read over two bars with words at the first."""
    data = sketch(f'4/4 | "{words}" C5w | D5w |')
    return said(rewriter.expand(data, "Vn I loco", **options).score)["Vn I"]


@pytest.mark.parametrize(
    "words",
    ["[dolce]", "[con sord.]", "[arco]", "[a 2]", "[p / f]", "[senza cresc.]"],
)
def test_an_editors_words_are_carried(words: str) -> None:
    assert violins(words) == f'"{words}" C5w | D5w'


def test_an_editors_string_goes_with_its_brackets_where_it_is_not_true() -> None:
    assert violins("[sul G]") == "C5w | D5w"


def test_an_editors_tempo_is_everybodys_and_his_technique_is_one() -> None:
    data = sketch(
        '4/4 | "[con sord.]" C5w | "[rit.]" D5w |',
        tune="Melody",
        others={"Piano": "| C4w | D4w |"},
    )
    found = said(rewriter.expand(data, "Vn I loco / Vla").score)
    assert found["Vn I"] == '"[con sord.]" C5w | "[rit.]" D5w'
    assert found["Vla"] == '"[con sord.]" C4w | D4w'


@pytest.mark.parametrize(
    "words",
    ["[Vn I / Vla]", "[Vn II 8va]", "[half Vc]", "[Celli]", "[cellos-alone]", "[Vn I / Vlla]"],
)
def test_a_layout_is_not_printed_and_its_rival_is_told(words: str) -> None:
    data = sketch(f'4/4 | C5w | "{words}" D5w |')
    made = rewriter.expand(data, "Vn I loco")
    assert said(made.score)["Vn I"] == "C5w | D5w"
    assert made.report.remarks == [
        f"not used, since a layout or plan is named: {words} (bar 2)"
    ]


def test_layouts_of_the_sketch_are_used_where_nothing_else_is_named() -> None:
    data = sketch('4/4 | "[Vn I loco]" "[dolce]" C5w | "[Vn II loco]" D5w |')
    made = rewriter.expand(data)
    found = said(made.score)
    assert (found["Vn I"], found["Vn II"]) == ('"[dolce]" C5w | R', 'R | "dolce" D5w')
    assert made.report.remarks == []


def test_a_layout_with_a_mistake_is_refused_where_it_would_be_used() -> None:
    data = sketch('4/4 | "[Vn I / Vlla]" C5w |')
    with pytest.raises(rewriter.Refused, match=r"bar 1, words \[Vn I / Vlla\]"):
        rewriter.expand(data)


def test_a_layout_with_a_sign_that_is_none_is_meant_as_one() -> None:
    with pytest.raises(rewriter.Refused) as refused:
        rewriter.expand(sketch('4/4 | "[Vn I ! Vla]" C5w |').replace(b"!", b"|"))
    assert str(refused.value) == (
        'sketch: bar 1, words [Vn I | Vla]: stack, character 6: "|" says nothing in a stack; '
        'write "/" for an octave lower, "+" for the same octave'
    )
