"""Reading bars: what programs write that says nothing must not stop it."""

import pytest

import rewriter
from tests.plain_xml import bar_of, first_violins, note, parts_of, score, spelled, text_of
from tests.shorthand import sketch


@pytest.mark.parametrize("move", ["backup", "forward"])
def test_a_move_by_nothing_is_no_fault(move: str) -> None:
    # music21's corpus has such moves, as in Schumann, op. 41 no. 1, last movement, bar 114.
    plain = sketch("4/4 | A4q B4q C5h |")
    marked = plain.replace(
        b"</note>", f"</note><{move}><duration>0</duration></{move}>".encode(), 1
    )
    assert marked != plain
    played, wanted = (rewriter.expand(data, "Vn I / Vc").score for data in (marked, plain))
    assert played.split(b"<part id=", 1)[1] == wanted.split(b"<part id=", 1)[1]


def test_a_move_by_no_number_is_refused_with_its_bar() -> None:
    plain = sketch("4/4 | A4q B4q C5h |")
    marked = plain.replace(b"</note>", b"</note><forward><duration>x</duration></forward>", 1)
    with pytest.raises(rewriter.Refused) as caught:
        rewriter.expand(marked, "Vn I / Vc")
    assert str(caught.value) == (
        'sketch: Flute, bar 1: a duration of "x" cannot be played; '
        "correct it in the sketch and export again"
    )


def refusal(bar: str, **options: bool) -> str:
    with pytest.raises(rewriter.Refused) as caught:
        rewriter.expand(score([bar]), "Vn I loco", **options)  # type: ignore[arg-type]  # names of options
    return str(caught.value)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("<step>H</step><octave>4</octave>", 'a note "H" in octave "4" cannot be'),
        ("<step>A</step><octave>10</octave>", 'a note "A" in octave "10" cannot be'),
        ("<step>A</step><octave>-1</octave>", 'a note "A" in octave "-1" cannot be'),
        ("<step>A</step><octave></octave>", 'a note "A" in octave "" cannot be'),
    ],
)
def test_pitches_that_cannot_be(written: str, said: str) -> None:
    bar = bar_of(note("A4", 8).replace("<step>A</step><octave>4</octave>", written))
    remedy = "correct the note and export the sketch again"
    assert refusal(bar) == f"sketch: Flute, bar 1: {said}; {remedy}"


@pytest.mark.parametrize("alter", ["5", "-5", "x", "nan", "inf"])
def test_alterations_that_cannot_be(alter: str) -> None:
    bar = bar_of(note("A#4", 8).replace("<alter>1<", f"<alter>{alter}<"))
    said = f'an alteration of "{alter}" semitones cannot be; correct the note'
    assert refusal(bar) == f"sketch: Flute, bar 1: {said}"


@pytest.mark.parametrize("alter", ["4", "-4", "0.25", "3"])
def test_alterations_that_can_be_are_kept(alter: str) -> None:
    bar = bar_of(note("A#4", 8).replace("<alter>1<", f"<alter>{alter}<"))
    made = rewriter.expand(score([bar]), "Vn I loco")
    assert first_violins(made).findtext(".//alter") == alter


def test_a_pitch_written_with_spaces_or_an_empty_alteration() -> None:
    plain = note("A4", 8).replace("<step>A</step>", "<step> A </step><alter>0</alter>")
    made = rewriter.expand(score([bar_of(plain)]), "Vn I loco")
    assert spelled(first_violins(made)) == ["A4"]


@pytest.mark.parametrize("back", [5, 6])
def test_a_backup_before_the_bar_is_refused(back: int) -> None:
    move = f"<backup><duration>{back}</duration></backup>"
    bar = bar_of(note("A4", 4), move, note("A3", 4))
    assert refusal(bar) == (
        "sketch: Flute, bar 1: a <backup> leads before the bar; export the sketch again"
    )


HARMONY = "<harmony><root><root-step>{}</root-step></root><kind>{}</kind>{}</harmony>"


def test_chord_symbols_are_left_behind_unless_asked_for() -> None:
    bar = bar_of(HARMONY.format("C", "major", ""), note("A4", 8))
    assert rewriter.expand(score([bar]), "Vn I loco").report.dropped == {"chord symbols": 1}
    made = rewriter.expand(score([bar]), "Vn I / Vc", keep_harmony=True)
    assert made.report.kept == {"chord symbols": 1}
    assert [text_of(part).count("<harmony>") for part in parts_of(made.score)] == [
        1, 0, 0, 0, 0,
    ]  # fmt: skip


def test_chord_symbols_sound_as_the_notes_do() -> None:
    # written D major over a tune for the clarinet in B flat is C major
    bass = "<bass><bass-step>F</bass-step><bass-alter>1</bass-alter></bass>"
    symbol = HARMONY.format("D", "major", bass)
    attributes = (
        "<divisions>2</divisions><key><fifths>2</fifths></key>"
        "<time><beats>4</beats><beat-type>4</beat-type></time>"
        "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"
    )
    made = rewriter.expand(
        score([bar_of(symbol, note("D5", 8), attributes=attributes)]),
        "Vn I loco",
        keep_harmony=True,
    )
    harmony = first_violins(made).find(".//harmony")
    assert harmony is not None
    assert (harmony.findtext(".//root-step"), harmony.findtext(".//bass-step")) == ("C", "E")
    assert harmony.find(".//bass-alter") is None


@pytest.mark.parametrize(
    ("symbol", "said"),
    [
        (HARMONY.format("C", "major", "<offset>x</offset>"),
         'an offset of "x" is no number; correct it in the sketch'),
        (HARMONY.format("X", "major", ""),
         'a chord on "X" cannot be; correct the chord symbol'),
    ],
)  # fmt: skip
def test_chord_symbols_that_cannot_be(symbol: str, said: str) -> None:
    bar = bar_of(
        symbol, note("D5", 8),
        attributes="<divisions>2</divisions>"
        "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>",
    )  # fmt: skip
    assert refusal(bar, keep_harmony=True) == f"sketch: Flute, bar 1: {said}"


def test_page_breaks_and_settings_are_counted() -> None:
    bars = [
        bar_of('<print new-page="yes"/>', note("A4", 8)),
        "<print><measure-numbering>none</measure-numbering></print>" + note("A4", 8),
        "<figured-bass><figure/></figured-bass>" + note("A4", 8),
    ]
    made = rewriter.expand(score(bars), "Vn I loco")
    assert made.report.dropped == {
        "figured bass": 1, "page and system breaks": 1, "page settings": 1,
    }  # fmt: skip
    assert b"<print" not in made.score


def test_notes_that_overlap_in_a_voice_are_said() -> None:
    back = "<backup><duration>4</duration></backup>"
    made = rewriter.expand(score([bar_of(note("A4", 8), back, note("C5", 4))]), "Vn I loco")
    assert [(f.rule, f.place.bar, f.place.beat) for f in made.report.findings] == [
        ("overlap-in-sketch", "1", "3")
    ]
    assert spelled(first_violins(made)) == ["A4"]


@pytest.mark.parametrize("length", [2, 4, 8])
@pytest.mark.parametrize("onset", [0, 2])
def test_rests_of_another_voice_are_no_overlap(onset: int, length: int) -> None:
    """A second voice of rests only: the part has one voice that sounds."""
    rest = note("r", length if onset == 0 or length < 8 else 6, voice="2")
    there = f"<forward><duration>{onset}</duration></forward>" if onset else ""
    back = "<backup><duration>8</duration></backup>"
    notes = note("A4", 4, voice="1") + note("B4", 4, voice="1")
    for one, other in (
        (notes, there + rest),
        (there + rest + _to_the_end(onset, length), notes),
    ):
        made = rewriter.expand(score([bar_of(one, back, other)]), "Vn I loco")
        assert made.report.findings == []
        assert spelled(first_violins(made)) == ["A4", "B4"]
        assert not list(first_violins(made).iter("rest"))


def _to_the_end(onset: int, length: int) -> str:
    left = max(0, 8 - onset - length)
    return f"<forward><duration>{left}</duration></forward>" if left else ""


def test_a_rest_gives_way_to_the_note_that_begins_in_it() -> None:
    back = "<backup><duration>4</duration></backup>"
    bar = bar_of(note("r", 8, voice="2"), back, note("A4", 4, voice="1"))
    made = rewriter.expand(score([bar]), "Vn I loco")
    assert made.report.findings == []
    first = first_violins(made)
    assert [one.findtext("type") for one in first.iter("note")] == ["half", "half"]
    assert spelled(first) == ["A4"]


def test_signs_that_name_a_string_are_noticed() -> None:
    words = "<direction><direction-type><words>sul G</words></direction-type></direction>"
    made = rewriter.expand(score([bar_of(words, note("A5", 8))]), "Vn I loco")
    assert [f.rule for f in made.report.findings] == ["not-true-here"]


def test_the_same_note_behind_another_transposition_sounds_otherwise() -> None:
    """D written twice: as it is, then for a clarinet in B flat, and as it is again."""
    music = "4/4 | D5w | transpose=-1,-2 D5w | transpose=0,0 D5w |"
    made = rewriter.expand(sketch(music), "Vn I loco")
    assert [one.text for one in first_violins(made).iter("step")] == ["D", "C", "D"]
