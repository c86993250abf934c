"""Parts of the sketch beside the tune: how long their bars are, what they say for all."""

from lxml import etree

from rewriter.scores.score import read_score
from rewriter.sketch.others import OtherPart
from rewriter.sketch.tempo_marks import Measures, tempo_marks
from tests.plain_xml import bar_of, direction, note, score

TEMPO = '<sound tempo="60"/>'


def other(*bars: str, divisions: int = 2) -> OtherPart:
    parts = read_score(score(list(bars))).parts
    return OtherPart(parts[0], divisions, tempo_marks(parts[0], Measures(parts)))


def test_bars_are_as_long_as_their_longest_voice() -> None:
    back = "<backup><duration>4</duration></backup>"
    part = other(bar_of(note("A4", 4), back, note("A3", 8)), note("A4", 2))
    assert part.bar_lengths(range(3)) == {0: 8, 1: 2}


def test_chord_and_grace_notes_take_no_time() -> None:
    part = other(
        bar_of(
            note("A4", 0, before="<grace/>"), note("A4", 4), note("C5", 4, before="<chord/>")
        )
    )
    assert part.bar_lengths({0}) == {0: 4}


def test_other_divisions_are_made_the_outputs() -> None:
    six = "<divisions>6</divisions>"
    part = other(bar_of(note("A4", 12), attributes=six), note("A4", 24), divisions=2)
    assert part.bar_lengths({0, 1}) == {0: 4, 1: 8}


def test_signs_stand_at_their_moment_in_the_outputs_divisions() -> None:
    six = "<divisions>6</divisions>"
    sign = direction("<words>Largo</words>", rest=f"<offset>3</offset>{TEMPO}")
    part = other(bar_of(note("A4", 12), sign, note("A4", 12), attributes=six))
    ((bar, found, _),) = part.signs()
    assert found
    assert (bar, found.onset, found.scope) == (0, 4, "score")
    assert b"<offset>1</offset>" in found.piece


def test_only_what_is_for_everybody_is_taken() -> None:
    part = other(
        bar_of(
            direction("<words>legato</words>"),
            direction("<dynamics><p/></dynamics>"),
            TEMPO,
            note("A4", 8),
            direction("<coda/>"),
        )
    )
    assert [(sign.kind, sign.scope) for _, sign, _ in part.signs() if sign] == [
        ("sound", "score"), ("direction", "every"),
    ]  # fmt: skip


def test_places_and_ids_of_the_sketchs_page_go() -> None:
    sign = direction('<rehearsal default-x="1" id="r1">A</rehearsal>', attributes=' id="d1"')
    ((_, found, _),) = other(bar_of(sign, note("A4", 8))).signs()
    assert found
    assert etree.fromstring(found.piece).xpath("descendant-or-self::*/@*") == []
