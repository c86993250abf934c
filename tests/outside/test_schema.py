"""The schema check takes what is right and refuses what is broken.

Source: W3C MusicXML 4.0 XSD, carried by the PyPI package ``musicxml``; the broken files below
each break one sentence of it.
"""

import pytest

from tests.outside.schema import assert_valid, faults, schema
from tests.shorthand import sketch

SOUND = sketch("3/4 key=1 | (G4q A4) B4 | C5h. |").decode()


def test_takes_a_plain_score_and_the_attributes_of_xml_and_xlink() -> None:
    linked = SOUND.replace(
        "<part-list>",
        '<credit page="1"><link xmlns:xlink="http://www.w3.org/1999/xlink" '
        'xlink:href="lantern.musicxml"/><credit-words xml:lang="en" xml:space="preserve">Lan'
        "tern</credit-words></credit><part-list>",
    )
    assert faults(SOUND.encode()) == []
    assert faults(linked.encode()) == []


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        ("<duration>1</duration>", "<duration>0</duration>", "facet 'minExclusive'"),
        ("<duration>1</duration>", "", "This element is not expected"),
        ("<voice>1</voice><type>quarter</type>", "<type>quarter</type><voice>1</voice>",
         "This element is not expected"),
        ("<step>G</step>", "<step>H</step>", "facet 'enumeration'"),
        ("<type>quarter</type>", "<type>crotchet</type>", "facet 'enumeration'"),
        ("<octave>4</octave>", "<octave>10</octave>", "facet 'maxInclusive'"),
        ('number="1"/>', 'number="17"/>', "facet 'maxInclusive'"),
        ('<part id="P1">', '<part id="P9">', "'part' refers to no id 'P9'"),
        ('<measure number="2">', '<measure number="2" id="P1">',
         "the id 'P1' of 'measure' is given twice"),
        ("</key>", "</key><tempo>60</tempo>", "This element is not expected"),
        ("<part-name>Flute</part-name>", "", "Missing child element"),
        ('<measure number="1">', "<measure>", "attribute 'number' is required"),
    ],
)  # fmt: skip
def test_refuses_what_is_broken(right: str, wrong: str, said: str) -> None:
    assert right in SOUND
    assert any(said in fault for fault in faults(SOUND.replace(right, wrong, 1).encode()))


def test_a_failure_names_the_line() -> None:
    with pytest.raises(AssertionError, match=r"2: Element 'step'"):
        assert_valid(SOUND.replace("<step>G</step>", "<step>H</step>", 1).encode())


def test_is_the_schema_of_version_four() -> None:
    assert schema() is schema()
    swing = "<direction><direction-type><words>swing</words></direction-type><sound><swing>"
    swing += "<straight/></swing></sound></direction>"  # new in 4.0
    assert faults(SOUND.replace("</measure>", swing + "</measure>", 1).encode()) == []
