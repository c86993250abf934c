"""Words of tempo: once on the top part, on whatever staff of the sketch they stand."""

import pytest

import rewriter
from tests.outside.schema import assert_valid
from tests.outside.spans import spanner_faults
from tests.plain_xml import bar_of, direction, note, parts_of, score, text_of

METRONOME = "<metronome><beat-unit>quarter</beat-unit><per-minute>60</per-minute></metronome>"
DASHES = '<dashes type="{}" number="{}"/>'
KEY = "<attributes><key><fifths>1</fifths></key></attributes>"
DOUBLE = '<barline location="left"><bar-style>light-light</bar-style></barline>'


def words(text: str, *, bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return direction(f"<words{weight}>{text}</words>")


def made_of(*melody: str, piano: tuple[str, ...] = ()) -> rewriter.Expansion:
    """Vn I and Vla play the melody; each text stands before a whole note, a bar each."""
    lower = piano or ("",) * len(melody)
    bars = {"Melody": melody, "Piano": lower}
    parts = {name: [bar_of(at, note("A4", 8)) for at in own] for name, own in bars.items()}
    made = rewriter.expand(score(parts), "Vn I loco / Vla")
    assert_valid(made.score)
    assert spanner_faults(made.score) == []
    return made


def counts(made: rewriter.Expansion, what: str) -> list[int]:
    """How often something stands in each part, from the top."""
    return [text_of(part).count(what) for part in parts_of(made.score)]


TOP, LINES, NOBODY = [1, 0, 0, 0, 0], [1, 0, 1, 0, 0], [0, 0, 0, 0, 0]


@pytest.mark.parametrize("text", ["allarg.", "poco rit.", "meno mosso", "a tempo", "calando"])
def test_words_of_tempo_are_everybodys_on_whatever_staff(text: str) -> None:
    assert counts(made_of(words(text)), text) == TOP
    assert counts(made_of("", piano=(words(text),)), text) == TOP


def test_what_both_staves_say_stands_once() -> None:
    made = made_of(words("poco rit."), piano=(words("poco ritard."),))
    assert counts(made, "poco rit") == TOP


def test_the_accompaniments_own_words_stay_behind() -> None:
    assert counts(made_of("", piano=(words("legato"),)), "legato") == NOBODY


def test_a_mark_in_figures_gets_the_words_another_part_has_beside_its_own() -> None:
    """The words are not lost with the figures that are said already."""
    both = direction("<words>Andante</words>", METRONOME)
    made = made_of(direction(METRONOME), piano=(both,))
    assert counts(made, "Andante") == counts(made, "<metronome>") == TOP


def test_a_word_beside_a_metronome_mark_is_tempo_with_it() -> None:
    made = made_of(words("Andante") + direction(METRONOME))
    assert counts(made, "Andante") == counts(made, "<metronome>") == TOP


@pytest.mark.parametrize(
    ("sign", "wanted"),
    [
        (words("tranquillo"), LINES),
        (words("tranquillo", bold=True), LINES),
        (direction(METRONOME) + words("tranquillo"), TOP),
        (words("tranquillo") + '<sound tempo="60"/>', TOP),
        (KEY + words("tranquillo"), LINES),
        (KEY + words("tranquillo", bold=True), TOP),
        (DOUBLE + words("tranquillo", bold=True), TOP),
    ],
)
def test_words_that_may_be_either(sign: str, wanted: list[int]) -> None:
    made = made_of("", sign)
    assert counts(made, "tranquillo") == wanted
    taken = "tempo" if wanted == TOP else "expression"
    assert made.report.remarks == [f'taken for {taken}: "tranquillo" (bar 2)']


def test_a_double_bar_before_it_makes_a_bold_word_a_heading() -> None:
    right = DOUBLE.replace("left", "right")
    bars = [bar_of(note("A4", 8), right), bar_of(words("Sostenuto", bold=True), note("A4", 8))]
    made = rewriter.expand(score(bars), "Vn I loco / Vla")
    assert counts(made, "Sostenuto") == TOP


def test_a_metronome_mark_of_another_part_settles_it() -> None:
    made = made_of("", words("con moto"), piano=("", direction(METRONOME)))
    assert counts(made, "con moto") == counts(made, "<metronome>") == TOP


def test_the_report_names_the_part_where_it_is_not_the_tunes() -> None:
    made = made_of("", piano=(words("animato"),))
    assert made.report.remarks == ['taken for expression: "animato" (Piano, bar 1)']


@pytest.mark.parametrize("together", [True, False])
def test_dashes_go_with_their_words(*, together: bool) -> None:
    start = DASHES.format("start", 1)
    sign = direction("<words>accel.</words>", start)
    if not together:
        sign = words("accel.") + direction(start)
    stop = direction(DASHES.format("stop", 1))
    made = made_of(sign, stop)
    assert counts(made, "accel.") == counts(made, '<dashes type="start"') == TOP
    assert counts(made, '<dashes type="stop"') == TOP
    made = made_of("", "", piano=(sign, stop))
    assert counts(made, '<dashes type="start"') == counts(made, '<dashes type="stop"') == TOP


def test_dashes_of_a_crescendo_stay_the_lines() -> None:
    sign = words("accel.") + direction("<words>cresc.</words>", DASHES.format("start", 1))
    made = made_of(sign, direction(DASHES.format("stop", 1)))
    assert counts(made, "accel.") == TOP
    assert counts(made, '<dashes type="start"') == LINES


def test_dashes_whose_words_are_said_already_are_not_drawn_twice() -> None:
    sign = direction("<words>accel.</words>", DASHES.format("start", 1))
    stop = direction(DASHES.format("stop", 1))
    made = made_of(sign, stop, piano=(sign, stop))
    assert counts(made, '<dashes type="start"') == counts(made, '<dashes type="stop"') == TOP


def test_dashes_that_never_end_are_left_out_and_said() -> None:
    made = made_of(direction("<words>accel.</words>", DASHES.format("start", 1)))
    assert counts(made, "accel.") == TOP
    assert counts(made, "<dashes") == NOBODY
    assert [finding.rule for finding in made.report.findings] == ["open-in-sketch"]


def test_expression_beside_tempo_stays_the_lines() -> None:
    made = made_of(direction("<words>rit.</words>", "<words>dolce</words>"))
    assert counts(made, "rit.") == TOP
    assert counts(made, "dolce") == LINES
