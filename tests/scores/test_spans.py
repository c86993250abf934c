"""Signs with two ends, movements and what is in force, on bars worked out by hand."""

from rewriter.scores.movements import Place, movement_starts, place_of
from rewriter.scores.playing import Playing
from rewriter.scores.reading import Reading
from rewriter.scores.score import read_score
from rewriter.scores.spans import Spans, spans_of
from tests.plain_xml import bar_of, direction, note, score

BACK = "<backup><duration>8</duration></backup>"


def reading(*bars: str) -> Reading:
    return Reading(read_score(score(list(bars))))


def wedge(kind: str, offset: int = 0) -> str:
    moved = f"<offset>{offset}</offset>" if offset else ""
    return direction(f'<wedge type="{kind}"/>', rest=moved)


def slur(side: str, number: int = 1) -> str:
    return f'<notations><slur type="{side}" number="{number}"/></notations>'


def times(spans: Spans) -> list[tuple[int, int]]:
    return [(span.start.time, span.stop.time) for span in spans.paired]


def test_a_stop_may_stand_before_its_start_in_the_file() -> None:
    """The stop is at the half bar; the start is at the beginning, written after a backup."""
    found = spans_of(
        reading(
            bar_of(
                note("C5", 4), wedge("stop"), note("C5", 4), BACK, wedge("crescendo"),
                note("C4", 8, voice="2"),
            )
        ),
        0,
    )  # fmt: skip
    assert (times(found), found.open, found.crossed) == ([(0, 4)], [], [])


def test_offsets_say_when_a_hairpin_ends() -> None:
    """Stop at 8 moved back to 5; the next begins at 8 moved back to 6."""
    first = bar_of(
        wedge("crescendo"), note("C5", 8), wedge("diminuendo", -2), wedge("stop", -3)
    )
    found = spans_of(reading(first, note("C5", 4) + wedge("stop")), 0)
    assert (times(found), found.open) == ([(0, 5), (6, 12)], [])


def test_a_number_used_again_where_a_slur_ends() -> None:
    both = slur("stop")[: -len("</notations>")] + slur("start")[len("<notations>") :]
    last = note("E5", 2, slur("stop"))
    found = spans_of(
        reading(bar_of(note("C5", 4, slur("start")), note("D5", 2, both), last)), 0
    )
    assert (times(found), found.open) == ([(0, 4), (4, 6)], [])


def test_a_grace_note_slurred_to_its_note() -> None:
    grace = note("B4", 0, slur("start"), before="<grace/>")
    found = spans_of(reading(bar_of(note("C5", 4), grace, note("C5", 4, slur("stop")))), 0)
    assert (times(found), found.open) == ([(4, 4)], [])


def test_one_number_in_two_voices() -> None:
    found = spans_of(
        reading(
            bar_of(
                note("C5", 4, slur("start"), voice="1"), note("D5", 4, slur("stop"), voice="1"),
                BACK, note("C4", 2, slur("start"), voice="2"), note("C4", 2, voice="2"),
                note("C4", 2, voice="2"), note("C4", 2, slur("stop"), voice="2"),
            )
        ),
        0,
    )  # fmt: skip
    assert sorted(times(found)) == [(0, 4), (0, 6)]
    assert {s.start.voice == s.stop.voice for s in found.paired} == {True}


def test_what_stays_open_or_crossed_is_told() -> None:
    swell = wedge("crescendo"), note("C5", 4), wedge("crescendo"), note("C5", 4)
    unended = spans_of(reading(bar_of(*swell)), 0)
    assert ([end.time for end in unended.open], unended.crossed) == ([0, 4], [])
    inside = spans_of(reading(bar_of(*swell), wedge("stop") + note("C5", 8) + wedge("stop")), 0)
    assert (times(inside), inside.open) == ([(4, 8), (0, 16)], [])
    assert [end.time for end in inside.crossed] == [4]


def test_how_it_is_played_at_a_moment() -> None:
    loud = direction("<dynamics><f/></dynamics>", rest="<offset>2</offset>")
    accent = direction("<dynamics><sfz/></dynamics>")
    plucked = direction("<words>pizz. con sord.</words>", rest='<sound tempo="96"/>')
    found = Playing(
        reading(bar_of(loud, note("C5", 4), plucked, accent, wedge("crescendo"), note("C5", 4)),
                bar_of(note("C5", 4), wedge("stop"), note("C5", 4))),
        0,
    )  # fmt: skip
    assert [found.last("dynamic", time) for time in (1, 2, 12)] == ["", "f", "f"]
    said = [found.last(kind, 4) for kind in ("bow", "mute", "place", "tempo")]
    assert said == ["pizz.", "con sord.", "", "96"]
    assert found.last("tempo", 3) == ""
    soft = note("C5", 4, "<notations><dynamics><fp/></dynamics></notations>")
    on_notes = Playing(reading(bar_of(loud, note("C5", 4), soft)), 0)
    assert [on_notes.last("dynamic", time) for time in (2, 3, 4)] == ["f", "f", "p"]
    hairpin = found.hairpin(11)
    assert hairpin is not None
    assert (hairpin.start.type, found.hairpin(12)) == ("crescendo", None)


def test_a_movement_begins_where_numbers_begin_again() -> None:
    data = score([bar_of(note("C5", 8)), *[note("C5", 8)] * 3])
    for counted, printed in enumerate((0, 1, 2, 1), start=1):
        data = data.replace(b'number="%d"' % counted, b'number="x%d"' % printed, 1)
    part = read_score(data.replace(b'number="x', b'number="')).parts[0]
    starts = movement_starts(part)
    assert starts == [0, 3]
    assert place_of(part, starts, 3) == Place(2, "1", 4)
