"""music21, partitura and verovio agree with our reference reader, and where they do not.

The first tests hold the normalisers; the last ones pin each known misreading of a reader, so
that a release that mends one is noticed and the normaliser made simpler.
"""

import signal
import subprocess
import sys
from collections.abc import Callable
from fractions import Fraction

import pytest
from lxml import etree
from music21 import converter, corpus
from music21.musicxml.xmlObjects import MusicXMLWarning

from tests.outside.heard import (
    heard_by_music21,
    heard_by_partitura,
    heard_by_verovio,
    load_by_partitura,
    mei_of,
)
from tests.outside.reference import Heard, heard_by_reference
from tests.shorthand import sketch

READERS = [heard_by_music21, heard_by_partitura, heard_by_verovio]
Reader = Callable[[bytes], list[list[Heard]]]

SCORES = {
    "ties": sketch("2/4 key=-3 | Ebb4q F##4~ | F##4h~ | F##4q F##4"),
    "tied chords": sketch("2/4 | [C4 E4]q~ [C4 E4] | [C4 F4]h"),
    "tuplets": sketch("2/4 | 3{C4e D4 E4} 5:4{C4s D4 E4 F4 G4} | 3{C4q D4 3{E4e F4 G4}}"),
    "grace notes": sketch("2/4 | `/A4e `B4 C5q (`D5s E5q) | `F5s F5h"),
    "cue and unpitched": sketch("3/4 | A4q cue:B4q C5q | D5h."),
    "tremolo": sketch("3/4 | A4q^3 B4h^2"),
    "voices": sketch("3/4 | A4h. & C4q D4 E4 | rq B4h & F4h. | A4h. & rh F4q"),
    "staves": sketch(("2/4 | C5h | D5q E5", "clef=bass C3q D3 | [C3 G3]h"), tune="Piano"),
    "transposed": sketch("2/4 key=2 transpose=-1,-2 | F#5q Gn5 | G#5h"),
    "an octave lower": sketch("2/4 clef=bass transpose=0,0,-1 | E2q F2~ | F2h"),
    "8va": sketch("2/4 | 8va C6q D6 | E6q F6 loco | 8vb C3q D3 loco"),
    "repeats": sketch("pickup 3/4 C4q |: D4h. :|: ending=1 E4h. :| ending=2 F4h. | G4h."),
    "parts": sketch("pickup 2/4 C4q | D4h", others={"": "pickup 2/4 rq | [C3 G3]h~"}),
    "a short bar": sketch("4/4 | C4h | D4w | E4q | F4w"),
}


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("score", SCORES.values(), ids=SCORES)
def test_a_reader_hears_what_the_reference_hears(reader: Reader, score: bytes) -> None:
    assert reader(score) == heard_by_reference(score)


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("piece", ["bwv66.6", "schoenberg/opus19/movement2", "k155/movement2"])
def test_a_reader_hears_real_music_as_the_reference_does(reader: Reader, piece: str) -> None:
    # music21's corpus: a chorale, a piano piece with ties and chords, a quartet movement.
    score = corpus.getWork(piece).read_bytes()
    heard = heard_by_reference(score)
    assert sum(map(len, heard)) > 90
    assert reader(score) == heard


@pytest.mark.parametrize("reader", READERS)
def test_quarter_tones_are_heard_but_by_partitura_which_cuts_them_off(reader: Reader) -> None:
    flat = b"<step>E</step><alter>-0.5</alter>"
    score = sketch("1/4 | E4q").replace(b"<step>E</step>", flat)
    midi = 64 if reader is heard_by_partitura else 63.5
    assert reader(score) == [[Heard(Fraction(0), Fraction(1), midi)]]


@pytest.mark.parametrize("reader", READERS)
def test_a_reader_takes_a_printed_sign_for_a_missing_alter(reader: Reader) -> None:
    score = sketch("1/4 | F#4q").replace(b"<alter>1</alter>", b"")
    assert heard_by_reference(score)[0][0].midi == 65
    assert reader(score)[0][0].midi == 66


def test_partitura_takes_cue_notes_for_notes_and_drops_the_octave_change() -> None:
    part = load_by_partitura(sketch("2/4 transpose=0,0,-1 | C4q cue:D4q |")).parts[0]
    assert [note.midi_pitch for note in part.notes_tied] == [60, 62]
    moves = [one for one in part.iter_all() if type(one).__name__ == "Transposition"]
    assert [(one.diatonic, one.chromatic) for one in moves] == [(0, 0)]


def test_music21_takes_cue_notes_for_notes() -> None:
    score = converter.parseData(sketch("2/4 | C4q cue:D4q |"), format="musicxml")
    assert [note.pitch.midi for note in score.flatten().notes] == [60, 62]


def test_partitura_stops_at_an_unpitched_note_without_a_line() -> None:
    with pytest.raises(AttributeError):
        load_by_partitura(sketch("1/4 | Xq |"))


def test_verovio_drops_a_transposition_that_changes() -> None:
    score = sketch("1/4 transpose=-1,-2 | C5q | transpose=-2,-3 C5q |")
    assert [one.midi for one in heard_by_reference(score)[0]] == [70, 69]
    assert [one.midi for one in heard_by_verovio(score)[0]] == [70, 70]


def test_verovio_holds_a_printed_quarter_tone_sharp_for_three() -> None:
    sharp = b"<step>E</step><alter>0.5</alter>"
    sign = b"</type><accidental>quarter-sharp</accidental>"
    score = sketch("1/4 | E4q").replace(b"<step>E</step>", sharp).replace(b"</type>", sign)
    assert 'accid="1qs" accid.ges="su"' in etree.tostring(mei_of(score)).decode()
    assert heard_by_verovio(score)[0][0].midi == 64.5
    with pytest.raises(KeyError, match="quarter-sharp"):
        heard_by_partitura(score)


def test_music21_wants_diatonic_steps_beside_an_octave() -> None:
    score = sketch("1/4 transpose=0,0,-1 | C4q").replace(b"<diatonic>0</diatonic>", b"")
    assert [one.midi for one in heard_by_reference(score)[0]] == [48]
    with pytest.raises(MusicXMLWarning, match=r"exception took place in m\. 1"):
        heard_by_music21(score)


def test_music_without_metre_among_several_parts_ends_verovio() -> None:
    metre = b"<beats>3</beats><beat-type>4</beat-type>"
    score = sketch("2/4 | R | 3/4 C4q", others={"Oboe": "2/4 | R | 3/4 D4q"})
    score = score.replace(metre, b"<senza-misura/>")
    assert heard_by_verovio(score) == heard_by_reference(score)
    code = "import sys, verovio; verovio.toolkit().loadData(sys.argv[1])"
    ended = subprocess.run([sys.executable, "-c", code, score.decode()], check=False)  # noqa: S603
    assert ended.returncode == -signal.SIGFPE
