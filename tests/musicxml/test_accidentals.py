"""Which notes print an accidental.

Rules: Gehrkens, Music Notation and Terminology (1914), sections 21, 24 and 25: a sign holds to
the barline; a tie carries it over one to the tied note alone; a natural cancels in the bar.
That it holds in its own octave only is common practice, no source.
"""

from pathlib import Path

import pytest

import rewriter
from rewriter.musicxml.accidentals import AccidentalState, key_alterations
from tests.plain_xml import accidentals, bar_of, first_violins, note, score, text_of, tied
from tests.planned import by_plan, said
from tests.shorthand import sketch


def signs(music: str, **options: str) -> list[str]:
    return accidentals(first_violins(rewriter.expand(sketch(music), "Vn I loco", **options)))  # type: ignore[arg-type]  # names of options


def printed(data: bytes) -> str:
    """The first ``<accidental>`` of the output, whole."""
    found = first_violins(rewriter.expand(data, "Vn I loco")).find(".//accidental")
    return "" if found is None else text_of(found)


@pytest.mark.parametrize(
    ("music", "wanted"),
    [
        # to the barline
        ("4/4 | F#4q G4q F#4q G4q | F#4w |", ["sharp", "", "", "", "sharp"]),
        # a natural cancels in the bar, and the next bar needs none
        ("4/4 | F#4q F4q F4q F#4q | F4w |", ["sharp", "natural", "", "sharp", ""]),
        # in its own octave
        ("4/4 | F#4h F#5h |", ["sharp", "sharp"]),
        # what the key says needs no sign, what is against it does
        ("4/4 key=1 | F#4h F4h | F4h F#4h |", ["", "natural", "natural", "sharp"]),
        # the tied note needs none, the next on that line does
        ("4/4 | F#4w~ | F#4h F#4h |", ["sharp", "", "sharp"]),
        # and one that is not altered says so, as a courtesy
        ("4/4 | F#4w~ | F#4h F4h |", ["sharp", "", "natural"]),
        ("4/4 key=1 | F4w~ | F4q F#4q F#4q F#5q |", ["natural", "", "sharp", "", ""]),
        ("4/4 | F#4w~ | F#4w~ | F#4q F5q F4q F4q |", ["sharp", "", "", "", "natural", ""]),
        ("4/4 | F#4w~ | F#4h G4h | F4w |", ["sharp", "", "", ""]),
        # double ones, and back
        ("4/4 key=5 | F##5q F#5q B4q Bb4q |", ["double-sharp", "sharp", "", "flat"]),
        ("4/4 | Bbb4h Bb4h |", ["flat-flat", "flat"]),
        # grace notes count as notes in their order
        ("4/4 | `F#4e F#4h G4h |", ["sharp", "", ""]),
        # chord notes each on their own line
        ("4/4 | [F#4 C#5]h [F#4 C#5]h |", ["sharp", "sharp", "", ""]),
    ],
)  # fmt: skip
def test_signs(music: str, wanted: list[str]) -> None:
    assert signs(music, chords="divide") == wanted


def test_a_key_within_the_bar_counts_from_there() -> None:
    assert signs("4/4 | F#4h key=1 F#4q F4q |") == ["sharp", "", "natural"]


@pytest.mark.parametrize("layout", ["half Vn I 8va / half Vn I", "Vn I 8va / Vn I"])
def test_a_key_within_the_bar_counts_for_divided_lines_too(layout: str) -> None:
    made = rewriter.expand(sketch("4/4 | F#4h key=1 F#4q F4q |"), layout)
    assert accidentals(first_violins(made)) == [
        "sharp", "sharp", "", "", "natural", "natural",
    ]  # fmt: skip


def test_lines_of_their_own_print_their_own_signs(tmp_path: Path) -> None:
    # the lower voice has F sharp before the upper one has: it must not rely on a later sign
    data = two_lines("4/4 | r h. F#5q |", "4/4 | F#5q G4q A4h |")
    assert _signs_by_voice(tmp_path, data) == {"1": ["sharp"], "2": ["sharp", "", ""]}


def test_voices_that_alter_one_line_differently_say_so_both(tmp_path: Path) -> None:
    data = two_lines("4/4 | F#5h A5h |", "4/4 | D5q D5q F5h |")
    assert _signs_by_voice(tmp_path, data) == {"1": ["sharp", ""], "2": ["", "", "natural"]}


def two_lines(upper: str, lower: str) -> bytes:
    """A sketch with two accompanying lines, which may share a staff."""
    bars = upper.count("|") - 1
    return sketch(
        "4/4 |" + " C5w |" * bars, tune="Melody", others={"Pad": upper, "Bass": lower}
    )


def _signs_by_voice(folder: Path, data: bytes) -> dict[str, list[str]]:
    """Signs of first violins who play pad and bass of a sketch, by voice."""
    file = folder / "both.toml"
    file.write_text(
        'title = "Both"\nsummary = "Two lines in one section."\nsource = "ours"\n'
        'stack = "Vn II loco"\n[[with]]\nfrom = "Pad"\nto = "half Vn I loco"\n'
        '[[with]]\nfrom = "Bass"\nto = "half Vn I loco"\n',
        encoding="utf-8",
    )
    part = first_violins(rewriter.expand(data, str(file)))
    found: dict[str, list[str]] = {}
    for one in part.iter("note"):
        if one.find("pitch") is not None:
            found.setdefault(one.findtext("voice") or "", []).append(
                one.findtext("accidental") or ""
            )
    return found


def test_a_sign_the_sketch_has_without_need_is_a_courtesy() -> None:
    assert printed(sketch("4/4 | Fn4?h G4h |")) == (
        '<accidental cautionary="yes">natural</accidental>'
    )


@pytest.mark.parametrize(
    "attributes",
    [' parentheses="yes"', ' cautionary="yes"', ' editorial="yes"', ' bracket="yes"'],
)
def test_how_a_needed_sign_is_printed_stays(attributes: str) -> None:
    sign = f"<accidental{attributes}>sharp</accidental>"
    assert printed(score([bar_of(note("F#4", 8, sign))])) == sign


def test_a_sign_that_is_missing_or_wrong_in_the_sketch_is_put_right() -> None:
    # <alter> is what sounds, <accidental> only what is printed (W3C MusicXML tutorial)
    assert printed(score([bar_of(note("F#4", 8))])) == "<accidental>sharp</accidental>"
    wrong = note("F#4", 8, '<accidental smufl="accidentalFlat">flat</accidental>')
    assert printed(score([bar_of(wrong)])) == "<accidental>sharp</accidental>"


def test_a_double_sharp_may_be_written_as_two_sharps() -> None:
    sign = "<accidental>sharp-sharp</accidental>"
    assert printed(score([bar_of(note("F##4", 8, sign))])) == sign


@pytest.mark.parametrize(
    ("alter", "name"),
    [("0.5", "quarter-sharp"), ("-0.5", "quarter-flat"), ("1.5", "three-quarters-sharp"),
     ("-1.5", "three-quarters-flat")],
)  # fmt: skip
def test_quarter_tones_have_their_own_signs(alter: str, name: str) -> None:
    # names and values: W3C MusicXML 4.0, accidental-value
    data = score([bar_of(note("A#4", 8).replace(">1<", f">{alter}<"))])
    assert printed(data) == f"<accidental>{name}</accidental>"


def test_signs_finer_than_alterations_stay_the_sketchs() -> None:
    koma = "<accidental>slash-flat</accidental>"
    assert printed(score([bar_of(note("Bb4", 8, koma))])) == koma
    other = '<accidental smufl="accidentalSori" cautionary="no">other</accidental>'
    assert printed(score([bar_of(note("F4", 8, other))])) == other


def test_an_arrow_follows_the_note_when_the_part_is_made_sounding() -> None:
    # written C sharp of a clarinet in B flat sounds B natural
    up = note("C#5", 8, "<accidental>sharp-up</accidental>")
    attributes = (
        "<divisions>2</divisions><key><fifths>0</fifths></key>"
        "<time><beats>4</beats><beat-type>4</beat-type></time>"
        "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"
    )
    assert printed(score([bar_of(up, attributes=attributes)])) == (
        "<accidental>natural-up</accidental>"
    )


def test_a_tie_to_another_spelling_prints_its_sign() -> None:
    begin, end = tied("start"), tied("stop")
    first = note("F#4", 8).replace("</duration>", f"</duration>{begin[0]}")
    second = note("Gb4", 8).replace("</duration>", f"</duration>{end[0]}")
    data = score(
        [
            bar_of(first.replace("</note>", f"{begin[1]}</note>")),
            second.replace("</note>", f"{end[1]}</note>"),
        ]
    )
    made = rewriter.expand(data, "Vn I loco")
    assert accidentals(first_violins(made)) == ["sharp", "flat"]
    assert not made.report.findings


@pytest.mark.parametrize(
    ("fifths", "altered"),
    # sharps are added F C G D A E B, flats B E A D G C F (common practice)
    [(0, {}), (1, {"F": 1}), (3, {"F": 1, "C": 1, "G": 1}), (-2, {"B": -1, "E": -1}),
     (7, dict.fromkeys("ABCDEFG", 1)), (-7, dict.fromkeys("ABCDEFG", -1)),
     (8, {**dict.fromkeys("ABCDEG", 1), "F": 2}),
     (-8, {**dict.fromkeys("ACDEFG", -1), "B": -2})],
)  # fmt: skip
def test_what_a_key_does_to_each_letter(fifths: int, altered: dict[str, int]) -> None:
    wanted = dict.fromkeys("ABCDEFG", 0) | altered
    assert {letter: key_alterations(fifths)[letter] for letter in sorted(wanted)} == wanted


def test_a_doubtful_line_prints_its_next_sign_once() -> None:
    state = AccidentalState()
    state.doubt([("F", 4)])
    said = [state.sign("F", 0, 4, None, tied=False) for _ in range(2)]
    assert said == [b"<accidental>natural</accidental>", b""]


def test_without_a_key_a_transposing_sketch_keeps_its_signs() -> None:
    """A clarinet in B flat: F sharp sounds E, F E flat. The first is a courtesy, as it was."""
    found = signs("4/4 transpose=-1,-2 | F#4q G4 A4 B4 | F4q F#4 F4 F4 |")
    assert found == ["natural", "", "", "", "flat", "natural", "flat", ""]


def test_a_sketch_without_a_key_is_in_none_that_needs_signs_when_moved() -> None:
    """C D E F | B flat, a tone up: D E F sharp G | C natural, in two sharps."""
    found = signs("4/4 | C5q D5 E5 F5 | Bb4w |", by="up M2")
    assert found == ["", "", "", "", "natural"]


def test_a_key_at_the_very_note_counts_for_it_where_the_bar_is_put_together() -> None:
    made = by_plan(
        sketch("4/4 key=0 | C5q D5 key=2 F#5h | G5w |"),
        'from = "1"\nto = "1 beat 2"\nstack = "Vn I loco"',
        'from = "1 beat 2"\nto = "end"\nstack = "Vla loco"',
    )
    assert said(made.score)["Vla"] == "rq D5q F#5h | G5w"
    assert b"<accidental" not in made.score


@pytest.mark.parametrize(
    ("attributes", "wanted"),
    [
        ("", b'<accidental cautionary="yes">sharp</accidental>'),
        (' cautionary="no"', b'<accidental cautionary="no">sharp</accidental>'),
        (' editorial="yes"', b'<accidental editorial="yes">sharp</accidental>'),
    ],
)
def test_a_printed_sign_that_is_not_needed_is_a_courtesy(
    attributes: str, wanted: bytes
) -> None:
    state = AccidentalState()
    state.change_key(key_alterations(1))
    assert state.sign("F", 1.0, 5, ("sharp", attributes.encode()), tied=False) == wanted


def test_a_printed_sign_that_is_needed_is_none() -> None:
    state = AccidentalState()
    state.change_key(key_alterations(0))
    found = state.sign("F", 1.0, 5, ("sharp", b""), tied=False)
    assert found == b"<accidental>sharp</accidental>"
