"""New music in a bar of a score; every expected bar is written by hand."""

from fractions import Fraction

import pytest

from rewriter.editing.bar_reading import written_bar
from rewriter.editing.bar_writing import voices_replaced, written_again
from rewriter.editing.edits import InBar, edited
from rewriter.editing.music import Note, Sign
from rewriter.musicxml.note_shapes import Notation
from rewriter.scores.score import read_score
from rewriter.theory.pitch import parse_pitch
from tests.outside.reference import heard_by_reference
from tests.outside.schema import assert_valid
from tests.shorthand import sketch

HEAD = (
    '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>A</part-name>'
    '</score-part></part-list><part id="P1">'
)
FIRST = (
    '<measure number="1"><attributes><divisions>2</divisions><key><fifths>0</fifths></key>'
    "<time><beats>4</beats><beat-type>4</beat-type></time>{}</attributes>"
    "<note><rest/><duration>8</duration></note></measure>"
)
LAST = '<measure number="3"><note><rest/><duration>8</duration></note></measure>'
BACK = "<backup><duration>8</duration></backup>"
CLARINET = "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"


def score(bar: str, attributes: str = "") -> bytes:
    text = f'{HEAD}{FIRST.format(attributes)}<measure number="2">{bar}</measure>{LAST}'
    return f"{text}</part></score-partwise>".encode()


def old(pitch: str, duration: int, voice: str, more: str = "") -> str:
    return (
        f"<note><pitch><step>{pitch[0]}</step>{_alter(pitch)}<octave>{pitch[-1]}</octave></pitch>"
        f"<duration>{duration}</duration>  <voice>{voice}</voice>{more}</note>"
    )


def new(pitch: str, duration: int, voice: str, more: str, *, before: str = "") -> str:
    return (
        f"<note>{before}<pitch><step>{pitch[0]}</step>{_alter(pitch)}"
        f"<octave>{pitch[-1]}</octave></pitch>"
        f"<duration>{duration}</duration>{more.format(voice=f'<voice>{voice}</voice>')}</note>"
    )


def _alter(pitch: str) -> str:
    return {"#": "<alter>1</alter>", "b": "<alter>-1</alter>"}.get(pitch[1], "")


def q(onset: str, length: str, pitch: str = "", **more: object) -> Note:
    heard = parse_pitch(pitch) if pitch else None
    return Note(Fraction(onset), Fraction(length), heard)._replace(**more)


def replaced(
    bar: str, *notes: Note, voice: str = "1", attributes: str = "", signs: tuple[Sign, ...] = ()
) -> str:
    """The bar after its voice was replaced; everything around it is as it was."""
    data = score(bar, attributes)
    read = read_score(data)
    made = edited(read, voices_replaced(read, InBar(0, 1), {voice: [*signs, *notes]}))
    around = data.decode().split(bar) if bar else data.decode().split('"2">')
    start, end = around[0] + ("" if bar else '"2">'), around[1]
    assert made.decode().startswith(start)
    assert made.decode().endswith(end)
    assert_valid(made)
    return made.decode()[len(start) : -len(end)]


def test_one_voice_is_replaced_and_the_others_stay() -> None:
    second = old("E4", 8, "2")
    half = new("C5", 4, "1", "{voice}<type>half</type>")
    other = new("D5", 4, "1", "{voice}<type>half</type>")
    bar = old("A4", 8, "1") + BACK + second
    assert replaced(bar, q("0", "2", "C5"), q("2", "2", "D5")) == half + other + BACK + second
    bar = second + BACK + old("A4", 8, "1")
    assert replaced(bar, q("0", "2", "C5"), q("2", "2", "D5")) == second + BACK + half + other


def test_a_voice_that_is_not_there_is_added_before_the_barline() -> None:
    bar = (
        old("A4", 8, "1") + '<barline location="right"><bar-style>dashed</bar-style></barline>'
    )
    made = replaced(bar, q("1", "1", "C4"), voice="2")
    assert made == (
        old("A4", 8, "1")
        + "<backup><duration>6</duration></backup>"
        + new("C4", 2, "2", "{voice}<type>quarter</type>")
        + "<forward><duration>4</duration></forward>"
        + '<barline location="right"><bar-style>dashed</bar-style></barline>'
    )


def test_an_empty_bar_is_filled() -> None:
    rest = b'<rest measure="yes"/>'
    made = replaced("", Note(Fraction(0), Fraction(4), more=(rest,)))
    assert made == '<note><rest measure="yes"/><duration>8</duration><voice>1</voice></note>'


def test_triplets_bring_finer_divisions_and_the_old_come_back() -> None:
    direction = (
        '<direction><direction-type><words>light</words></direction-type>'
        "<offset>-1</offset></direction>"
    )  # fmt: skip
    bar = old("A4", 8, "1") + BACK + direction + old("E4", 8, "2")
    third = Fraction(1, 3)
    notes = [Note(n * third, third, parse_pitch("C5")) for n in range(3)]
    made = replaced(bar, *notes, q("1", "3"))
    ratio = (
        "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes>"
        "</time-modification>"
    )

    def triplet(end: str) -> str:
        signs = f'<notations><tuplet type="{end}"/></notations>' if end else ""
        return new("C5", 2, "1", "{voice}<type>eighth</type>" + ratio + signs)

    declared = "<attributes><divisions>{}</divisions></attributes>"
    assert made == (
        declared.format(6)
        + triplet("start") + triplet("") + triplet("stop")
        + "<note><rest/><duration>18</duration><voice>1</voice><type>half</type><dot/></note>"
        + BACK.replace("8", "24") + direction.replace("-1", "-3") + old("E4", 24, "2")
        + declared.format(2)
    )  # fmt: skip


def test_divisions_that_a_bar_declares_itself_become_finer_there() -> None:
    data = score("").replace(LAST.encode(), b"")
    read = read_score(data)
    notes = [q("0", "1/4", "C4"), q("1/4", "15/4")]
    made = edited(read, voices_replaced(read, InBar(0, 0), {"1": notes})).decode()
    assert made.count("<divisions>") == 2
    assert made.index("<divisions>4</divisions>") < made.index("<note>")
    assert made.rindex("<divisions>2</divisions>") > made.rindex(
        "</note>", 0, made.index('"2"')
    )


def test_a_length_no_single_note_has_is_tied() -> None:
    tie, tied = '<tie type="{}"/>', '<notations><tied type="{}"/></notations>'
    made = replaced(old("A4", 8, "1"), q("0", "5/2", "C5"), q("5/2", "3/2"))
    assert made == (
        new(
            "C5",
            4,
            "1",
            tie.format("start") + "{voice}<type>half</type>" + tied.format("start"),
        )
        + new(
            "C5",
            1,
            "1",
            tie.format("stop") + "{voice}<type>eighth</type>" + tied.format("stop"),
        )
        + "<note><rest/><duration>3</duration><voice>1</voice><type>quarter</type><dot/></note>"
    )


def test_chords_slurs_and_words_stand_at_their_moments() -> None:
    slur = Notation("", "slur", "start", "1", b'<slur type="start" number="1"/>')
    words = b"<direction><direction-type><words>warm</words></direction-type></direction>"
    made = replaced(
        old("A4", 8, "1"),
        q("0", "2", "C4", notations=(slur,)),
        q("0", "2", "E4", chord=True),
        q("2", "2", "C4"),
        signs=(Sign(Fraction(2), words),),
    )
    half = "{voice}<type>half</type>"
    assert made == (
        new("C4", 4, "1", half + '<notations><slur type="start" number="1"/></notations>')
        + new("E4", 4, "1", half, before="<chord/>")
        + words.decode()
        + new("C4", 4, "1", half)
    )


def test_a_sign_between_notes_that_go_stays_at_its_moment() -> None:
    words = "<direction><direction-type><words>warm</words></direction-type></direction>"
    bar = old("A4", 4, "1") + words + old("A4", 4, "1")
    quarter = "{voice}<type>quarter</type>"
    long = "{voice}<type>half</type><dot/>"
    notes = (q("0", "1", "C4"), q("1", "3", "D4"))
    assert replaced(bar, *notes) == (
        new("C4", 2, "1", quarter) + new("D4", 6, "1", long)
        + "<backup><duration>4</duration></backup>" + words
        + "<forward><duration>4</duration></forward>"
    )  # fmt: skip


def test_a_sign_stands_before_the_note_it_is_for() -> None:
    words = "<direction><direction-type><words>warm</words></direction-type></direction>"
    half = "{voice}<type>half</type>"
    made = replaced(
        old("A4", 4, "1") + words + old("A4", 4, "1"), q("0", "2", "C4"), q("2", "2", "D4")
    )
    assert made == new("C4", 4, "1", half) + words + new("D4", 4, "1", half)


def test_moves_that_lead_where_they_led_stay_however_they_go() -> None:
    half = BACK.replace("8", "4")
    moves = BACK + half.replace("backup", "forward") + "<!-- x -->" + half
    bar = old("A4", 8, "1") + moves + old("E4", 8, "2")
    made = replaced(bar, q("0", "4", "C4"))
    assert made == new("C4", 8, "1", "{voice}<type>whole</type>") + moves + old("E4", 8, "2")


def test_a_voice_that_comes_back_behind_another_stands_where_it_began() -> None:
    half = BACK.replace("8", "4")
    second = old("E4", 4, "2")
    bar = old("A4", 4, "1") + half + second + old("A4", 4, "1")
    made = replaced(bar, q("0", "1", "C4"), q("1", "3", "D4"))
    assert made == (
        new("C4", 2, "1", "{voice}<type>quarter</type>")
        + new("D4", 6, "1", "{voice}<type>half</type><dot/>")
        + BACK + second + "<forward><duration>4</duration></forward>"
    )  # fmt: skip


def test_two_voices_are_replaced_at_once() -> None:
    bar = old("A4", 8, "1") + BACK + old("E4", 8, "2")
    read = read_score(score(bar))
    third = Fraction(4, 3)
    voices = {
        "2": [Note(n * third, third, parse_pitch("F#5")) for n in range(3)],
        "1": [q("0", "2", "C5"), q("2", "2", "F5")],
    }
    made = edited(read, voices_replaced(read, InBar(0, 1), voices))
    assert_valid(made)
    assert [(one.onset, one.length, one.midi) for one in heard_by_reference(made)[0]] == sorted(
        [(4, 2, 72), (6, 2, 77), *((4 + n * third, third, 78) for n in range(3))]
    )
    # Sharp, none, natural in the other voice, sharp again.
    assert made.count(b"<accidental>") == 3


def test_music_sounds_as_given_on_a_transposing_instrument() -> None:
    made = replaced(old("A4", 8, "1"), q("0", "4", "Bb4"), attributes=CLARINET)
    assert made == new("C5", 8, "1", "{voice}<type>whole</type>")


def test_accidentals_follow_the_staff_and_its_other_voices() -> None:
    bar = old("F#5", 8, "1", "<type>whole</type><accidental>sharp</accidental>")
    second = old("F#5", 2, "2") + old("F5", 2, "2") + old("F5", 4, "2", "<type>half</type>")
    bar += BACK + second
    made = replaced(bar, q("0", "2", "F5"), q("2", "1", "F#5"), q("3", "1", "G5"))
    # The sharp came from the other voice. The first natural was never printed and is not now;
    # the second relied on it, and stands behind a sharp now.
    assert made == (
        new("F5", 4, "1", "{voice}<type>half</type>")
        + new("F#5", 2, "1", "{voice}<type>quarter</type><accidental>sharp</accidental>")
        + new("G5", 2, "1", "{voice}<type>quarter</type>")
        + BACK
        + old("F#5", 2, "2", "<accidental>sharp</accidental>")
        + old("F5", 2, "2")
        + old("F5", 4, "2", "<type>half</type><accidental>natural</accidental>")
    )


def test_keys_of_one_staff_hold_for_it_alone() -> None:
    attributes = "<staves>2</staves>"
    key = '<attributes><key number="2"><fifths>1</fifths></key></attributes>'
    bar = (
        key
        + old("A4", 8, "1", "<staff>1</staff>")
        + BACK
        + old("A3", 8, "5", "<staff>2</staff>")
    )
    made = replaced(
        bar, q("0", "4", "F#3", staff="2"), voice="5", attributes=attributes
    )  # fmt: skip
    assert made.endswith(new("F#3", 8, "5", "{voice}<type>whole</type><staff>2</staff>"))
    made = replaced(bar, q("0", "4", "F#4", staff="1"), attributes=attributes)
    assert "<accidental>sharp</accidental><staff>1</staff>" in made


def test_grace_notes_take_no_time() -> None:
    grace = q("0", "0", "D5", more=(b"<type>eighth</type>", b'<grace slash="yes"/>'))
    made = replaced(old("A4", 8, "1"), grace, q("0", "4", "C5"))
    assert made == (
        '<note><grace slash="yes"/><pitch><step>D</step><octave>5</octave></pitch>'
        "<voice>1</voice><type>eighth</type></note>"
        + new("C5", 8, "1", "{voice}<type>whole</type>")
    )


def test_a_pitch_that_has_no_octave_in_musicxml_is_a_mistake_of_the_caller() -> None:
    read = read_score(score(""))
    with pytest.raises(ValueError, match="octave"):
        voices_replaced(read, InBar(0, 1), {"1": [q("0", "4", "C-1")]})


def test_a_bar_written_again_keeps_what_hangs_on_its_notes() -> None:
    bar = (
        "\n<!-- ü --><note default-x='3'>\n<pitch><step>F</step><alter>1</alter>"
        "<octave>4</octave></pitch><duration>1.5</duration><voice>1</voice><notehead>x</notehead>"
        "<lyric><text>la</text></lyric></note>"
        "<backup><duration>1.5</duration></backup><forward><duration>0.5</duration></forward>"
        + old("E4", 1, "2")
    )
    data = score(bar)
    read = read_score(data)
    made = edited(read, written_again(read, InBar(0, 1)))
    # One and a half divisions are no whole number: there are twice as many in this bar.
    assert made == data.replace(
        bar.encode(),
        b"\n<!-- \xc3\xbc --><attributes><divisions>4</divisions></attributes>"
        b'<note default-x="3"><pitch><step>F</step><alter>1</alter>'
        b"<octave>4</octave></pitch><duration>3</duration><voice>1</voice>"
        b"<accidental>sharp</accidental><notehead>x</notehead><lyric><text>la</text></lyric>"
        b"</note><backup><duration>2</duration></backup>"
        b"<note><pitch><step>E</step><octave>4</octave></pitch><duration>2</duration>"
        b"<voice>2</voice></note><attributes><divisions>2</divisions></attributes>",
    )
    assert heard_by_reference(made) == heard_by_reference(data)


@pytest.mark.parametrize("alter", ["inf", "nan", "1e9", "9" * 400, "sharp"])
def test_an_alteration_that_is_no_number_alters_nothing(alter: str) -> None:
    data = sketch("4/4 | F#4w |").replace(
        b"<alter>1</alter>", b"<alter>%b</alter>" % alter.encode()
    )
    read = read_score(data)
    (note,) = (one.written for one in written_bar(read, InBar(0, 0)).children if one.written)
    assert (note.step, note.alter) == ("F", 0)
