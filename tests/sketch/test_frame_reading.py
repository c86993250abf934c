"""Bars, keys, metres and transpositions, as they sound and as every part has them.

Transposition: W3C MusicXML 4.0, ``<transpose>``: what is added to the written pitch to get the
sounding one. Keys of transposing instruments: common practice (a clarinet in B flat reads two
sharps more than sound, one in A three fewer, a horn in F one more).
"""

import pytest

import rewriter
from tests.outside.schema import assert_valid
from tests.plain_xml import accidentals, bar_of, first_violins, note, score, spelled, text_of

TIME = "<time><beats>4</beats><beat-type>4</beat-type></time>"


def attributes(fifths: int = 0, transpose: str = "", key: str = "") -> str:
    key = key or f"<fifths>{fifths}</fifths>"
    return f"<divisions>2</divisions><key>{key}</key>{TIME}{transpose}"


def moved(chromatic: int, diatonic: int | None = None, octaves: int | None = None) -> str:
    steps = "" if diatonic is None else f"<diatonic>{diatonic}</diatonic>"
    octave = "" if octaves is None else f"<octave-change>{octaves}</octave-change>"
    return f"<transpose>{steps}<chromatic>{chromatic}</chromatic>{octave}</transpose>"


def played(bars: list[str]) -> tuple[list[str], list[str]]:
    """Pitches and key signatures of the first violins."""
    made = rewriter.expand(score(bars), "Vn I loco")
    assert_valid(made.score)
    part = first_violins(made)
    return spelled(part), [key.findtext("fifths") or "" for key in part.iter("key")]


@pytest.mark.parametrize(
    ("instrument", "fifths", "transpose", "written", "sounds", "key"),
    [
        ("clarinet in B flat", 2, moved(-2, -1), "E5", "D5", "0"),
        ("clarinet in A", 0, moved(-3, -2), "E5", "C#5", "3"),
        ("horn in F", 1, moved(-7, -4), "G5", "C5", "0"),
        ("cor anglais", -1, moved(-7, -4), "Bb5", "Eb5", "-2"),
        ("trumpet in D", -2, moved(2, 1), "C5", "D5", "0"),
        ("bass clarinet", 0, moved(-2, -1, -1), "D6", "C5", "-2"),
        ("alto saxophone", 3, moved(-9, -5), "F#5", "A4", "0"),
        ("piccolo", 2, moved(0, 0, 1), "F#4", "F#5", "2"),
        ("glockenspiel", 0, moved(0, None, 2), "D4", "D6", "0"),
        ("no diatonic steps given", 0, moved(-2), "F#5", "E5", "-2"),
        ("an octave within the semitones", 0, moved(-14, -8), "D6", "C5", "-2"),
    ],
)
def test_transposing_instruments(
    instrument: str, fifths: int, transpose: str, written: str, sounds: str, key: str
) -> None:
    bars = [bar_of(note(written, 8), attributes=attributes(fifths, transpose))]
    assert played(bars) == ([sounds], [key]), instrument


def test_beyond_seven_the_key_is_respelled_and_the_notes_with_it() -> None:
    # C sharp major for a trumpet in D: nine sharps are three flats, E flat major
    bars = [bar_of(note("C#5", 4), note("E#5", 4), attributes=attributes(7, moved(2, 1)))]
    assert played(bars) == (["Eb5", "G5"], ["-3"])


def test_by_octaves_alone_no_key_is_respelled() -> None:
    bars = [bar_of(note("G#4", 8), attributes=attributes(8, moved(0, 0, 1)))]
    assert played(bars) == (["G#5"], ["8"])


def test_another_clarinet_in_the_same_written_key_is_another_sounding_key() -> None:
    # written D major: C on the B flat clarinet, B on the A clarinet
    bars = [
        bar_of(note("D5", 8), attributes=attributes(2, moved(-2, -1))),
        bar_of(note("D5", 8), attributes=moved(-3, -2)),
        note("F#5", 8),
    ]
    assert played(bars) == (["C5", "B4", "D#5"], ["0", "5"])
    assert accidentals(first_violins(rewriter.expand(score(bars), "Vn I loco"))) == [""] * 3


def test_another_clarinet_in_its_own_key_changes_nothing_that_sounds() -> None:
    bars = [
        bar_of(note("D5", 8), attributes=attributes(2, moved(-2, -1))),
        bar_of(note("Eb5", 8), attributes=f"<key><fifths>-3</fifths></key>{moved(-3, -2)}"),
    ]
    assert played(bars) == (["C5", "C5"], ["0", "0"])


def test_a_transposition_said_again_repeats_no_key() -> None:
    bars = [
        bar_of(note("D5", 8), attributes=attributes(2, moved(-2, -1))),
        bar_of(note("D5", 8), attributes=moved(-2, -1)),
    ]
    assert played(bars) == (["C5", "C5"], ["0"])


def test_a_key_of_single_letters_holds_until_another() -> None:
    # W3C MusicXML 4.0, non-traditional key signatures: key-step and key-alter
    key = (
        "<key-step>F</key-step><key-alter>1</key-alter>"
        "<key-step>E</key-step><key-alter>-1</key-alter>"
    )
    clef = "<clef><sign>F</sign><line>4</line></clef>"
    bars = [
        bar_of(note("F#5", 4), note("Eb5", 4), attributes=attributes(key=key)),
        bar_of(note("F#5", 4), note("E5", 4), attributes=clef),
    ]
    part = first_violins(rewriter.expand(score(bars), "Vn I loco"))
    assert accidentals(part) == ["", "", "", "natural"]


def test_what_a_key_cancels_moves_with_it() -> None:
    bars = [
        bar_of(note("F5", 8), attributes=attributes(3, moved(-2, -1))),
        bar_of(
            note("F5", 8),
            attributes="<key><cancel>3</cancel><fifths>-1</fifths></key>",
        ),
    ]
    made = first_violins(rewriter.expand(score(bars), "Vn I loco"))
    keys = [text_of(key) for key in made.iter("key")]
    assert keys == [
        "<key><fifths>1</fifths></key>",
        "<key><cancel>1</cancel><fifths>-3</fifths></key>",
    ]


def test_attributes_in_two_elements_are_one_at_the_start_of_a_bar() -> None:
    bars = [
        f"<attributes><divisions>2</divisions>{TIME}</attributes>"
        "<attributes><key><fifths>3</fifths></key></attributes>" + note("C#5", 8)
    ]
    assert played(bars) == (["C#5"], ["3"])


def test_the_key_of_the_other_staff_is_not_the_tunes() -> None:
    keys = (
        '<divisions>2</divisions><key number="1"><fifths>1</fifths></key>'
        f'<key number="2"><fifths>-1</fifths></key>{TIME}<staves>2</staves>'
    )
    bars = [bar_of(note("F#5", 8, "<staff>1</staff>", voice="1"), attributes=keys)]
    assert played(bars) == (["F#5"], ["1"])


def test_an_old_tempo_word_in_the_attributes_stands_once_on_top() -> None:
    said = attributes() + "<directive>Largo &amp; piano</directive>"
    made = rewriter.expand(score([bar_of(note("A4", 8), attributes=said)]), "Vn I / Vn II")
    assert made.score.count(b"Largo &amp; piano") == 1
    assert_valid(made.score)


def test_what_stands_for_notes_in_the_sketch_is_left_behind_and_counted() -> None:
    styles = (
        "<multiple-rest>2</multiple-rest>",
        '<measure-repeat type="start">1</measure-repeat>',
        '<measure-repeat type="stop"/>',
        '<slash type="start"/>',
        '<beat-repeat type="start"><slash-type>eighth</slash-type></beat-repeat>',
    )
    bars = [bar_of(note("A4", 8))]
    bars += [
        bar_of(note("A4", 8), attributes=f"<measure-style>{style}</measure-style>")
        for style in styles
    ]
    made = rewriter.expand(score(bars), "Vn I loco")
    assert b"measure-style" not in made.score
    assert made.report.dropped == {
        "bar repeat signs": 1, "beat repeat signs": 1, "multi-bar rests": 1,
        "slashes for beats": 1,
    }  # fmt: skip


def test_a_doubling_at_the_octave_is_left_to_the_layout() -> None:
    doubling = "<transpose><chromatic>0</chromatic><double/></transpose>"
    bars = [bar_of(note("A4", 8), attributes=attributes(transpose=doubling))]
    made = rewriter.expand(score(bars), "Vn I loco")
    assert made.report.dropped == {"doublings at the octave": 1}


@pytest.mark.parametrize(
    ("time", "length"),
    [
        ("<beats>3+2</beats><beat-type>8</beat-type>", 5),
        ("<beats>2</beats><beat-type>4</beat-type><beats>3</beats><beat-type>8</beat-type>", 7),
        ("<senza-misura/>", 11),
    ],
)
def test_metres_of_several_beats_and_none(time: str, length: int) -> None:
    said = f"<divisions>2</divisions><time>{time}</time>"
    made = rewriter.expand(score([bar_of(note("A4", length), attributes=said)]), "Vn I loco")
    assert_valid(made.score)
    durations = [e.text for e in first_violins(made).iter("duration")]
    assert durations == [str(length)]
    assert time.encode() in made.score


@pytest.mark.parametrize(
    ("said", "message"),
    [
        ("<divisions>0</divisions>",
         '"0" divisions in a quarter note cannot be; export the sketch again'),
        ("<divisions>2</divisions><key><fifths>x</fifths></key>",
         '"x" sharps or flats in a key cannot be; correct the key'),
        ("<divisions>2</divisions><key><fifths>12</fifths></key>",
         "a key of 12 sharps or flats cannot be; correct the key"),
        ("<divisions>2</divisions><key><key-step>C</key-step><key-alter>x</key-alter></key>",
         'an alteration of "x" semitones cannot be; correct it'),
        ("<divisions>2</divisions><key><key-step>H</key-step><key-alter>1</key-alter></key>",
         'a key with "H" cannot be; correct the key'),
        ("<divisions>2</divisions><transpose><chromatic>x</chromatic></transpose>",
         'a transposition by "x" cannot be; correct it'),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_its_bar(said: str, message: str) -> None:
    with pytest.raises(rewriter.Refused) as caught:
        rewriter.expand(score([bar_of(note("A4", 8), attributes=said)]), "Vn I loco")
    assert str(caught.value) == f"sketch: Flute, bar 1: {message}"


def test_numbers_of_bars_are_tokens_and_stay() -> None:
    bars = [
        f'<measure number="0" implicit="yes">{bar_of(note("A4", 2))}</measure>',
        f'<measure number="7a" text="7&amp;a">{note("A4", 8)}</measure>',
        f'<measure number="7a" non-controlling="yes">{note("A4", 8)}</measure>',
    ]
    part = first_violins(rewriter.expand(score(bars), "Vn I loco"))
    assert [dict(measure.attrib) for measure in part] == [
        {"number": "0", "implicit": "yes"},
        {"number": "7a", "text": "7&a"},
        {"number": "7a", "non-controlling": "yes"},
    ]
