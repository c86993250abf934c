"""Cue notes: whose line, in which octave, as the standard has them; and that none is heard."""

from lxml import etree

from rewriter.stands.extraction import Part
from rewriter.verbs.parts import parts
from tests.outside.reference import bar_lengths, heard_by_reference
from tests.outside.schema import assert_valid
from tests.outside.spans import spanner_faults
from tests.shorthand import sketch


def cues(part: Part) -> list[tuple[str, str]]:
    """Bar and pitches of the cue notes."""
    found = []
    for measure in etree.fromstring(part.data).iter("measure"):
        notes = [note for note in measure.iter("note") if note.find("cue") is not None]
        if notes:
            pitches = [
                "".join(
                    note.xpath("pitch/step/text() | pitch/alter/text() | pitch/octave/text()")
                )
                or "r"
                for note in notes
            ]
            found.append((measure.get("number", ""), " ".join(pitches)))
    return found


def labels(part: Part) -> list[str]:
    return [str(text) for text in etree.fromstring(part.data).xpath("//words/text()")]


def cued(target: str, others: dict[str, str], after: int = 2) -> Part:
    """The last part of a score, with cues."""
    (name, music), *rest = others.items()
    whole = sketch(music, tune=name, others={**dict(rest), "Target": target})
    made = parts(whole, cue_notes=after)
    for part, heard, lengths in zip(
        made, heard_by_reference(whole), bar_lengths(whole), strict=True
    ):
        assert_valid(part.data)
        assert spanner_faults(part.data) == []
        assert heard_by_reference(part.data) == [heard]
        assert bar_lengths(part.data) == [lengths]
    return made[-1]


def test_the_last_bar_of_a_rest_shows_who_plays() -> None:
    part = cued("4/4 | R | R | C5w |", {"Flute": "4/4 | C5w | (D5q E5q F5q) rq | C5w |"})
    assert cues(part) == [("2", "D5 E5 F5 r")]
    assert (labels(part), part.cue_notes) == (["Flute"], 1)


def test_a_long_rest_gets_two_bars_and_a_short_one_none() -> None:
    flute = {"Flute": "4/4 | C5w | D5w | E5w | F5w | C5w |"}
    assert cues(cued("4/4 | R | R | R | R | C5w |", flute)) == [("3", "E5"), ("4", "F5")]
    assert cues(cued("4/4 | R | R | R | R | C5w |", flute, after=5)) == []
    assert cues(cued("4/4 | C5w | R | R | R | C5w |", flute)) == [("4", "F5")]


def test_most_notes_win_and_then_the_nearest() -> None:
    still, busy = "4/4 | C5w | C5w | C5w |", "4/4 | C5w | D5h E5h | C5w |"
    target = "4/4 | R | R | C5w |"
    assert labels(cued(target, {"Busy": busy, "Still": still})) == ["Busy"]
    assert labels(cued(target, {"Far": busy, "Near": busy})) == ["Near"]


def test_nobody_playing_gives_no_cue() -> None:
    silent = {"Flute": "4/4 | C5w | R | C5w |"}
    part = cued("4/4 | R | R | C5w |", silent)
    assert (cues(part), part.multi_bar_rests) == ([], 1)


def test_cue_notes_are_small_silent_and_stems_up_beside_the_rest() -> None:
    part = cued("4/4 | R | R | C5w |", {"Flute": "4/4 | C5w | C#5w~ | C#5w |"})
    measure = etree.fromstring(part.data).findall("part/measure")[1]
    cue, rest = measure.findall("note")
    assert [child.tag for child in cue] == [
        *("cue", "pitch", "duration", "voice", "type", "accidental", "stem"),
    ]
    assert (cue.find("type").get("size"), cue.findtext("stem")) == ("cue", "up")  # type: ignore[union-attr]  # read above
    assert (cue.findtext("voice"), rest.findtext("voice")) == ("1", "2")
    assert rest.find("rest").get("measure") == "yes"  # type: ignore[union-attr]  # a rest


def test_a_cue_is_moved_by_octaves_onto_the_staff_and_says_so() -> None:
    part = cued("4/4 clef=bass | R | R | C3w |", {"Flute": "4/4 | C6w | C6h D6h | C6w |"})
    assert cues(part) == [("2", "C4 D4")]
    assert labels(part) == ["Flute (sounds two octaves higher)"]
    part = cued("4/4 | R | R | C5w |", {"Tuba": "4/4 | C3w | C3h D3h | C3w |"})
    assert (cues(part), labels(part)) == (
        [("2", "C4 D4")],
        ["Tuba (sounds octave lower)"],
    )


def test_what_no_two_octaves_make_readable_is_not_cued() -> None:
    target = "4/4 clef=bass | R | R | C3w |"
    high = {"Piccolo": "4/4 | C7w | C7h D7h | C7w |"}
    assert cues(cued(target, high)) == []
    wide = {"Harp": "4/4 | C5w | C3q C4q C5q C6q | C5w |"}
    assert cues(cued(target, wide)) == []
    instead = {**high, "Horn": "4/4 | C4w | C4w | C4w |", **wide}
    part = cued(target, instead)
    assert (cues(part), labels(part)) == ([("2", "C4")], ["Horn"])


def test_a_cue_that_reads_well_is_not_moved_to_read_better() -> None:
    part = cued("4/4 clef=alto | R | R | C4w |", {"Flute": "4/4 | C5w | B4h C5h | C5w |"})
    assert (cues(part), labels(part)) == ([("2", "B4 C5")], ["Flute"])


def test_of_two_bars_that_do_not_read_together_the_last_is_shown() -> None:
    flute = "4/4 | R | R | E7w | C5w | C5w |"
    part = cued("4/4 | R | R | R | R | C5w |", {"Flute": flute})
    assert cues(part) == [("4", "C5")]


def test_the_clef_is_that_the_player_reads_then() -> None:
    flute = {"Flute": "4/4 | C3w | C3w | A4w | A4h G4h | G4w |"}
    part = cued("4/4 clef=bass | G2w | R | R | clef=tenor rh A4h | A4w |", flute)
    # in the tenor clef of the entry's bar A4 has two leger lines, in the bass clef before four
    assert cues(part) == [("3", "A3"), ("4", "A3")]
    assert labels(part) == ["Flute (sounds octave higher)"]


def voices(part: Part, number: int) -> list[tuple[str, str]]:
    """Voice and what it has, note by note, in the order of the file."""
    measure = etree.fromstring(part.data).findall("part/measure")[number - 1]
    return [
        (
            note.findtext("voice", ""),
            ("cue " if note.find("cue") is not None else "")
            + "".join(note.xpath("pitch/step/text() | pitch/octave/text()") or ["r"])
            + " "
            + note.findtext("type", ""),
        )
        for note in measure.findall("note")
    ]


def test_a_cue_runs_up_to_the_entry_within_its_bar() -> None:
    part = cued("4/4 | R | R | rh C5q D5q |", {"Flute": "4/4 | C5w | D5w | E5q F5q G5h |"})
    assert cues(part) == [("2", "D5"), ("3", "E5 F5")]
    assert voices(part, 3) == [
        ("1", "cue E5 quarter"),
        ("1", "cue F5 quarter"),
        ("2", "r half"),
        ("1", "C5 quarter"),
        ("1", "D5 quarter"),
    ]


def test_a_note_that_goes_on_is_shortened_to_the_entry() -> None:
    part = cued("4/4 | R | R | rh. C5q |", {"Flute": "4/4 | C5w | D5w | E5w |"})
    assert voices(part, 3)[:2] == [("1", "cue E5 half"), ("2", "r half")]
    measure = etree.fromstring(part.data).findall("part/measure")[2]
    assert (len(measure[0].findall("dot")), measure[0].findtext("duration")) == (1, "3")


def test_beams_end_and_tuplets_are_not_cut_at_the_entry() -> None:
    flute = "4/4 | C5w | D5w | E5e F5e G5e A5e 3{B5e A5e G5e} F5q |"
    part = cued("4/4 | R | R | re C5e C5h. |", {"Flute": flute})
    assert cues(part)[-1] == ("3", "E5")
    assert etree.fromstring(part.data).xpath("//note[cue]/beam") == []
    later = cued("4/4 | R | R | rh re C5e C5q |", {"Flute": flute})
    assert cues(later)[-1] == ("3", "E5 F5 G5 A5")


def test_after_a_sign_of_the_cue_the_player_has_one() -> None:
    part = cued("4/4 | R | R | rh F5q F5q |", {"Flute": "4/4 | C5w | D5w | F#5h G5h |"})
    measure = etree.fromstring(part.data).findall("part/measure")[2]
    own = [
        note.findtext("accidental")
        for note in measure.findall("note")
        if note.find("cue") is None
    ]
    assert own == [None, "natural", None]


def test_the_line_that_leads_to_the_entry_is_cued() -> None:
    early = "4/4 | C5w | D5e E5e F5e G5e rh | R |"
    late = "4/4 | C5w | rh D5q E5q | F5w |"
    assert labels(cued("4/4 | R | R | C5w |", {"Early": early, "Late": late})) == ["Late"]


def test_a_cue_is_written_in_the_transposition_of_the_part() -> None:
    # a clarinet in B flat reads a tone above what sounds, two sharps more
    part = cued(
        "4/4 key=2 transpose=-1,-2 | R | R | C5w |", {"Flute": "4/4 | C5w | Bb4h C5h | C5w |"}
    )
    assert cues(part) == [("2", "C5 D5")]
    natural = etree.fromstring(part.data).xpath("//note[cue]/accidental/text()")
    assert natural == ["natural"]


def test_a_rest_with_a_cue_is_counted_up_to_it() -> None:
    part = cued(
        "4/4 | R | R | R | R | R | C5w |",
        {"Flute": "4/4 | C5w | C5w | C5w | C5w | C5w | C5w |"},
    )
    rests = etree.fromstring(part.data).xpath("//multiple-rest/text()")
    assert rests == ["3"]
