"""8va lines that begin in the same bar of several parts, as programs read them."""

import base64
import re

import verovio
from music21 import converter

from tests.outside.heard import heard_by_music21, heard_by_partitura
from tests.outside.reference import heard_by_reference
from tests.outside.schema import assert_valid
from tests.planned import by_layout, layout
from tests.shorthand import sketch

HIGH = "4/4 | A6q B6 C7 D7 | E7q D7 C7 B6 | A6w | A5w |"


def score() -> bytes:
    made = by_layout(sketch(HIGH, tune="Flute"), layout("Vn I loco + Vn II loco")).score
    assert_valid(made)
    return made


def test_every_reader_hears_both_parts_at_their_octave() -> None:
    made = score()
    expected = heard_by_reference(made)
    assert expected[0] == expected[1] != []
    assert heard_by_partitura(made) == heard_by_music21(made) == expected
    assert played_by_verovio(made) == [
        [note.midi for note in part] for part in expected if part
    ]


def played_by_verovio(data: bytes) -> list[list[float]]:
    """MIDI numbers as it plays them, staff by staff; its MEI alone does not tell."""
    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    assert toolkit.loadData(data.decode())
    played = converter.parseData(base64.b64decode(toolkit.renderToMIDI()), format="midi")
    return [[note.pitch.ps for note in part.flatten().notes] for part in played.parts]


def test_each_part_has_a_number_of_its_own() -> None:
    first, second = re.findall(r'<part id="P[12]">.*?</part>', score().decode(), re.DOTALL)
    numbers = [
        set(re.findall(r'<octave-shift[^>]*number="(\d+)"', one)) for one in (first, second)
    ]
    assert [len(each) for each in numbers] == [1, 1]
    assert numbers[0] != numbers[1]
    assert "<octave-shift" not in re.sub(
        r"<octave-shift[^>]*/></direction-type><staff>1<", "", first
    )
