"""Chord symbols that cannot be, in scores and parts: written as they stand, or refused."""

import pytest
from lxml import etree

import rewriter
from rewriter.problems import Refused
from tests.shorthand import sketch

ROOTS = ("H", "", "x" * 3000, "c", "&lt;", "7")
SYMBOLS = (
    "<root><root-step>{}</root-step></root>",
    "<root><root-step>C</root-step><root-alter>{}</root-alter></root>",
    "<root><root-step>C</root-step></root><kind>major</kind><bass><bass-step>{}</bass-step></bass>",
    "<function>{}</function>",
    "<numeral><numeral-root>{}</numeral-root></numeral>",
)


@pytest.mark.parametrize("root", ROOTS, ids=lambda root: root[:3])
@pytest.mark.parametrize("symbol", SYMBOLS, ids=range(len(SYMBOLS)))
@pytest.mark.parametrize("key", ["", "D"])
def test_an_impossible_step_above_the_tune_and_in_cues(
    symbol: str, root: str, key: str
) -> None:
    harmony = f"<harmony>{symbol.format(root)}</harmony><note>"
    text = sketch("4/4 | C5w | D5w | E5w |", others={"Oboe": "4/4 | R | R | D5w |"})
    spoiled = text.decode().replace("<note>", harmony).encode()
    said = ""
    try:
        made = rewriter.expand(spoiled, "Vn I / Vla", tune="P1", keep_harmony=True, key=key)
        written = [made.score]
        for score in (made.score, spoiled):
            written += [part.data for part in rewriter.parts(score, cue_notes=1)]
    except Refused as refused:
        said = str(refused)
    else:
        for score in written:
            etree.fromstring(score)
    assert "\n" not in said
    assert len(said) < 400
