"""Words for ways of playing, in four languages; whole words only (common practice)."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rewriter.theory import techniques
from rewriter.theory.techniques import ORDINARY, after, cancelling, techniques_in

KNOWN = {
    ("bow", "pizz"): "pizz. | pizz | pizzicato | sempre pizz. | gezupft | pincé | plucked",
    ("bow", "arco"): "arco | arco. | coll'arco | mit Bogen | Bogen | avec l'archet | bowed",
    ("bow", "legno"): "col legno | col legno battuto | c.l. | mit Holz | avec le bois",
    ("mute", "muted"): "con sord. | con sordini | Con Sord | mit Dämpfer | m. Dpf. | muted"
    " | avec sourdine | mettez les sourdines | with mutes | mutes on",
    ("mute", "open"): "senza sord. | senza sordini | via sord. | ohne Dämpfer | Dämpfer weg"
    " | sans sourdine | ôtez les sourdines | without mutes | mutes off | unmuted",
    ("place", "pont"): "sul pont. | sul ponticello | am Steg | au chevalet | near the bridge",
    ("place", "tasto"): "sul tasto | sulla tastiera | am Griffbrett | sur la touche",
    ("place", "ord"): "ord. | modo ordinario | naturale | nat. | pos. nat. | gewöhnlich",
    ("stroke", "trem"): "trem. | tremolo | tremolando | trémolo",
    ("stroke", "plain"): "non trem. | senza tremolo | ohne Tremolo | sans trémolo",
}
NONE = """
    Marco enters | The door opens | the muted sky | openly | Barcarole | col punto d'arco
    natale | Ordnung | the Lord | extraordinario | spizzicato | pizzeria | concord | sordid
    tremendous | natural | dolce | Solo | tutti | div. | unis. | a 2 | Arcole | a normal day
    an open door
"""


@pytest.mark.parametrize(
    ("text", "found"),
    [(text.strip(), found) for found, row in KNOWN.items() for text in row.split("|")],
)
def test_a_technique(text: str, found: tuple[str, str]) -> None:
    assert [one[:2] for one in techniques_in(text)] == [found]


@pytest.mark.parametrize("text", [text.strip() for text in NONE.replace("\n", "|").split("|")])
def test_no_technique(text: str) -> None:
    assert techniques_in(text) == ()


@pytest.mark.parametrize(("family", "value", "pattern"), techniques._WORDS)
@given(data=st.data())
@settings(deadline=None, derandomize=True)
def test_every_technique_has_the_part_that_is_looked_for_first(
    family: str, value: str, pattern: str, data: st.DataObject
) -> None:
    words = st.from_regex(re.compile(pattern, re.IGNORECASE), fullmatch=True)
    text = f"poco {data.draw(words)} e dolce"
    assert re.search(pattern, text, re.IGNORECASE), (family, value)
    assert techniques._PART_OF_ONE.search(text), (family, value)


def test_only_the_words_that_are_one_are_kept() -> None:
    assert [one.words for one in techniques_in("pizz. (con sord.), dolce")] == [
        "pizz.", "con sord.",
    ]  # fmt: skip


def test_ord_takes_the_bow_from_the_wood_and_arco_ends_words_of_tremolo() -> None:
    (wood, tremolo, ordinary, bow) = (
        techniques_in(text)[0] for text in ("col legno", "trem.", "ord.", "arco")
    )
    assert after(after({}, wood), ordinary).keys() == {"place"}
    assert after(after({}, tremolo), bow) == {"bow": bow}


@pytest.mark.parametrize("language", ["en", "it", "de", "fr"])
@pytest.mark.parametrize("family", list(ORDINARY))
def test_what_ends_a_technique_is_one_of_its_family(language: str, family: str) -> None:
    (found,) = techniques_in(cancelling(family, language))
    assert (found.family, found.value) == (family, ORDINARY[family])
