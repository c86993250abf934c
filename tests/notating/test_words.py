"""Words and dynamics the tool itself puts in a part."""

import pytest
from lxml import etree

from rewriter.notating.words import (
    DYNAMICS,
    dynamic_direction,
    escaped,
    line_end,
    said,
    share_words,
    stepped,
    words_direction,
)
from rewriter.rulefiles.stack_lines import Share


def test_dynamics_go_from_the_softest_to_the_loudest() -> None:
    # MusicXML 4.0, <dynamics>: the percentages of its example pages rise in this order
    percent = {
        "pppppp": 1, "ppppp": 6, "pppp": 11, "ppp": 27, "pp": 40, "p": 54, "mp": 70, "mf": 84,
        "f": 98, "ff": 112, "fff": 122, "ffff": 133, "fffff": 138, "ffffff": 141,
    }  # fmt: skip
    assert list(DYNAMICS) == sorted(percent, key=lambda mark: percent[mark])


@pytest.mark.parametrize(
    ("mark", "change", "wanted"),
    [
        ("mf", "-1", "mp"),
        ("mf", "\N{MINUS SIGN}1", "mp"),
        ("mf", "+1", "f"),
        ("p", "-3", "pppp"),
        ("pppppp", "-1", "pppppp"),
        ("ffffff", "+2", "ffffff"),
        ("sfz", "-1", "sfz"),
        ("fp", "-1", "fp"),
    ],
)
def test_steps_softer_or_louder(mark: str, change: str, wanted: str) -> None:
    data = b"<dynamics><%b/></dynamics>"
    assert stepped(data % mark.encode(), change) == data % wanted.encode()


@pytest.mark.parametrize(
    ("language", "half", "desks"),
    # the trade's words in four languages: common practice, no source
    [
        ("en", "half", "desks 1\N{EN DASH}2"),
        ("it", "metà", "leggii 1\N{EN DASH}2"),
        ("de", "die Hälfte", "1.\N{EN DASH}2. Pult"),
        ("fr", "la moitié", "pupitres 1\N{EN DASH}2"),
    ],
)
def test_who_of_a_section_plays(language: str, half: str, desks: str) -> None:
    assert share_words(Share(kind="half"), language) == half
    assert share_words(Share(kind="desks", first=1, last=2), language) == desks
    assert share_words(Share(kind="whole"), language) == ""


def test_an_unknown_language_is_english() -> None:
    assert said("unis", "nl") == "unis."


def test_what_is_written_is_xml() -> None:
    for piece in (
        words_direction("p < f & „div.“", italic=True),
        dynamic_direction(b"<dynamics><p/></dynamics>"),
        line_end("wedge", "1"),
        line_end("bracket", "2"),
    ):
        assert etree.fromstring(piece).tag == "direction"
    assert etree.fromstring(words_direction("a < b")).findtext(".//words") == "a < b"
    assert escaped("<&>") == b"&lt;&amp;&gt;"
