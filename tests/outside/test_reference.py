"""The reference reader, on music whose sound was worked out by hand from the standard."""

import io
import zipfile
from fractions import Fraction

from lxml import etree

from tests.outside.reference import (
    Heard,
    bar_lengths,
    bar_starts,
    heard_by_reference,
    heard_in_xml,
    tune_bar_lengths,
)
from tests.shorthand import sketch


def heard(music: str, **which: str) -> list[tuple[float, float, float]]:
    found = heard_in_xml(sketch(music), **which)
    return [(float(one.onset), float(one.length), one.midi) for one in found]


def test_pitch_is_midi_with_c4_at_sixty() -> None:
    assert heard("4/4 | C4q A4 Bb4 F##5 |") == [
        (0, 1, 60), (1, 1, 69), (2, 1, 70), (3, 1, 79)
    ]  # fmt: skip


def test_tied_runs_are_one_note_over_several_bars() -> None:
    assert heard("2/4 | C4q D4~ | D4h~ | D4q D4 |") == [
        (0, 1, 60), (1, 4, 62), (5, 1, 62)
    ]  # fmt: skip


def test_a_tie_into_another_pitch_ties_nothing() -> None:
    assert heard("2/4 | C4q~ D4 | C4h |") == [(0, 1, 60), (1, 1, 62), (2, 2, 60)]


def test_a_tied_chord_is_tied_note_by_note() -> None:
    assert heard("2/4 | [C4 E4]q~ [C4 F4] |") == [(0, 1, 64), (0, 2, 60), (1, 1, 65)]


def test_grace_cue_and_unpitched_notes_are_not_heard() -> None:
    assert heard("3/4 | `A4e B4q cue:C5q Xq |") == [(0, 1, 71)]


def test_tuplets_are_exact() -> None:
    found = heard_in_xml(sketch("1/4 | 3{C4e D4 E4} |"))
    assert [one.onset for one in found] == [0, Fraction(1, 3), Fraction(2, 3)]


def test_transposition_sounds_and_changes_from_where_it_stands() -> None:
    assert heard("1/4 | transpose=-1,-2 C5q | transpose=0,0,-1 C5q |") == [
        (0, 1, 70), (1, 1, 60)
    ]  # fmt: skip


def test_voices_and_the_top_of_chords_can_be_chosen() -> None:
    music = "2/4 | [C4 A4]h & E4q [F4 D4] |"
    assert heard(music, voice="1") == [(0, 2, 60), (0, 2, 69)]
    assert heard(music, voice="2", chords="top") == [(0, 1, 64), (1, 1, 65)]


def test_staves_can_be_chosen_and_have_their_own_transposition() -> None:
    score = sketch(("2/4 | C5h", "clef=bass C3h")).decode()
    second = '<transpose number="2"><chromatic>-12</chromatic></transpose></attributes>'
    score = score.replace("</attributes>", second, 1)
    assert [one.midi for one in heard_in_xml(score.encode(), staff="1")] == [72]
    assert [one.midi for one in heard_in_xml(score.encode(), staff="2")] == [36]


def test_bars_begin_where_the_longest_part_ends() -> None:
    score = sketch("pickup 3/4 C4q | D4h | E4h.", others={"Oboe": "pickup 3/4 rq | R | R"})
    assert bar_lengths(score) == [[1, 2, 3], [1, 3, 3]]
    assert bar_starts(score) == [0, 1, 4, 7]
    assert heard_in_xml(score, "P1")[2] == Heard(Fraction(4), Fraction(3), 64)


def test_a_full_bar_of_the_tune_is_right_and_a_short_one_follows_the_others() -> None:
    others = {"Oboe": "2/4 | C4h D4 | R | C4h"}
    score = sketch("2/4 | C4h | D4q | E4h.", others=others)
    assert tune_bar_lengths(score, "P1") == [2, 2, 3]
    found = heard_in_xml(score, lengths=tune_bar_lengths(score, 0))
    assert [one.onset for one in found] == [0, 2, 4]


def test_repeats_are_not_unfolded() -> None:
    assert len(heard("|: C4w :| D4w |")) == 2


def test_changed_divisions_change_the_meaning_of_durations() -> None:
    score = sketch("2/4 | C4q D4e E4 | F4q G4 |").decode()
    finer = "<attributes><divisions>4</divisions></attributes>"
    first, second = score.split('<measure number="2">')
    second = second.replace("<duration>2<", "<duration>4<")
    changed = f'{first}<measure number="2">{finer}{second}'
    assert heard_by_reference(changed.encode()) == heard_by_reference(score.encode())


def test_zipped_and_timewise_scores_are_read_alike() -> None:
    score = sketch("2/4 | C4h | D4h", others={"Oboe": "2/4 | E4h | F4h"})
    root = etree.fromstring(score)
    timewise = etree.Element("score-timewise")
    timewise.append(root.find("part-list"))
    for number in range(2):
        bar = etree.SubElement(timewise, "measure", number=str(number + 1))
        for part in root.findall("part"):
            etree.SubElement(bar, "part", id=part.get("id")).extend(list(part[0]))
            part.remove(part[0])
    zipped = io.BytesIO()
    with zipfile.ZipFile(zipped, "w") as archive:
        container = (
            '<container><rootfiles><rootfile full-path="in/it.xml"/></rootfiles></container>'
        )
        archive.writestr("META-INF/container.xml", container)
        archive.writestr("in/it.xml", score)
    expected = [[(0, 2, 60), (2, 2, 62)], [(0, 2, 64), (2, 2, 65)]]
    for data in (score, etree.tostring(timewise), zipped.getvalue()):
        assert heard_by_reference(data) == expected
