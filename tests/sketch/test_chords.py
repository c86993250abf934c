"""Chords of a tune: its top note alone, or all of it to be divided."""

import pytest

import rewriter
from tests.outside.schema import assert_valid
from tests.outside.spans import spanner_faults
from tests.plain_xml import bar_of, first_violins, note, score, spelled, text_of, tied
from tests.shorthand import sketch

CHORD = "<chord/>"


def top(bars: list[str]) -> rewriter.Expansion:
    made = rewriter.expand(score(bars), "Vn I loco")
    assert_valid(made.score)
    assert not spanner_faults(made.score)
    return made


@pytest.mark.parametrize("chord", ["[C5 E5 G5]", "[G5 E5 C5]", "[E5 G5 C5]"])
def test_the_top_note_is_the_highest_wherever_it_is_written(chord: str) -> None:
    made = rewriter.expand(sketch(f"4/4 | {chord}w |"), "Vn I loco")
    assert spelled(first_violins(made)) == ["G5"]
    assert made.report.remarks == ["1 chord in the tune: their top notes are played"]


def test_all_notes_are_divided_on_request() -> None:
    made = rewriter.expand(sketch("4/4 | [C5 E5 G5]w |"), "Vn I loco", chords="divide")
    assert spelled(first_violins(made)) == ["C5", "E5", "G5"]
    assert made.report.remarks == ["1 chord in the tune: each is divided in the section"]


def test_slurs_and_articulations_of_any_note_go_to_the_top_note() -> None:
    slur = '<notations><slur type="{}" number="1"/></notations>'
    accent = "<notations><articulations><accent/></articulations></notations>"
    made = top(
        [
            bar_of(
                note("G5", 4, slur.format("start")),
                note("C5", 4, accent, before=CHORD),
                note("C5", 4),
                note("A5", 4, slur.format("stop"), before=CHORD),
            )
        ]
    )
    assert spelled(first_violins(made)) == ["G5", "A5"]
    assert made.report.kept == {"articulations": 1, "slurs": 1}


def tied_note(pitch: str, end: str, before: str = "") -> str:
    heard, drawn = tied(end)
    whole = note(pitch, 8, drawn, before=before)
    return whole.replace("</duration>", f"</duration>{heard}")


def test_ties_stay_with_their_notes() -> None:
    below = [
        bar_of(note("G5", 8), tied_note("C5", "start", CHORD)),
        note("A5", 8) + tied_note("C5", "stop", CHORD),
    ]
    made = top(below)
    assert "tie" not in text_of(first_violins(made))
    assert made.report.dropped == {"lower notes of chords": 2, "ties": 1}
    above = [
        bar_of(tied_note("G5", "start"), note("C5", 8, before=CHORD)),
        tied_note("G5", "stop") + note("D5", 8, before=CHORD),
    ]
    assert text_of(first_violins(top(above))).count("<tied") == 2


def test_an_arpeggio_needs_its_chord() -> None:
    arpeggio = "<notations><arpeggiate/></notations>"
    bars = [bar_of(note("C5", 8, arpeggio), note("E5", 8, arpeggio, before=CHORD))]
    assert "arpeggiate" not in text_of(first_violins(top(bars)))
    made = rewriter.expand(score(bars), "Vn I loco", chords="divide")
    assert text_of(first_violins(made)).count("<arpeggiate/>") == 2


def test_beams_and_lengths_are_those_of_the_chord() -> None:
    beam = '<beam number="1">{}</beam>'
    bars = [
        bar_of(
            note("C5", 1, beam.format("begin")),
            note("E5", 1, before=CHORD),
            note("D5", 1, beam.format("end")),
            note("r", 2),
            note("r", 4),
        )
    ]
    part = first_violins(top(bars))
    assert spelled(part) == ["E5", "D5"]
    assert [e.text for e in part.iter("beam")] == ["begin", "end"]


def test_grace_chords_too() -> None:
    made = rewriter.expand(sketch("4/4 | `[C5 E5]e G5w |"), "Vn I loco")
    assert spelled(first_violins(made)) == ["E5", "G5"]


def test_the_accidental_of_an_ornament_stays_with_it() -> None:
    # an accidental-mark follows its ornament (W3C MusicXML 4.0, <ornaments>)
    turn = (
        "<turn/><accidental-mark>sharp</accidental-mark><accidental-mark>flat</accidental-mark>"
    )
    trill = "<trill-mark/><accidental-mark>flat</accidental-mark>"
    bars = [
        bar_of(
            note("C5", 4, f"<notations><ornaments>{turn}</ornaments></notations>"),
            note("E5", 4, before=CHORD),
            note("C5", 4, f"<notations><ornaments>{trill}</ornaments></notations>"),
            note(
                "E5", 4, f"<notations><ornaments>{trill}</ornaments></notations>", before=CHORD
            ),
        )
    ]
    part = text_of(first_violins(top(bars)))
    assert turn in part
    assert trill in part
    for layout in ("Vn I loco / Vn I", "half Vn I 8va / half Vn I"):
        for chords in ("top", "divide"):
            assert_valid(rewriter.expand(score(bars), layout, chords=chords).score)
