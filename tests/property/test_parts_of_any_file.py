"""Parts moved, taken out and put in, in files as they really look; the others' bytes stay."""

from hypothesis import given
from hypothesis import strategies as st

from rewriter.editing.arranging import arranged
from rewriter.editing.edits import edited
from rewriter.editing.ids import with_own_ids
from rewriter.editing.part_entries import renamed
from rewriter.editing.part_list import (
    Listed,
    changed,
    entry_of,
    moved,
    part_list,
    put_in,
    taken_out,
)
from rewriter.musicxml.note_reading import serialised
from rewriter.scores.score import Score, read_score
from tests.property.test_signs_in_any_bar import unpacked
from tests.property.untidy import untidy

seeds = st.integers(0, 10**6)


def bars_in_file(score: Score, part: int) -> list[bytes]:
    """The bars of a part in the bytes they stand in."""
    spans = [score.place(part, bar) for bar in range(len(score.parts[part].bars))]
    return [score.text.data[span.start : span.stop] for span in spans if span]


def asides(score: Score) -> int:
    return score.text.data.count(b"<!--") + score.text.data.count(b"<?")


@given(seeds)
def test_parts_change_places_and_keep_their_bytes(seed: int) -> None:
    score = read_score(untidy(seed).file())
    listed = part_list(score)
    now = read_score(edited(score, arranged(score, moved(listed, "P1", listed[0]))))
    assert not now.text.rebuilt
    assert [part.id for part in now.parts] == ["P1", "P0"]
    assert [bars_in_file(now, n) for n in (1, 0)] == [bars_in_file(score, n) for n in (0, 1)]
    assert asides(now) == asides(score)
    assert now.text.encoding == score.text.encoding


@given(seeds)
def test_a_part_more_and_then_less_leaves_every_byte(seed: int) -> None:
    was = untidy(seed).file()
    score = read_score(was)
    entry, bars = with_own_ids(score, serialised(score.parts[0].entry), score.parts[0].bars)
    grown = put_in(part_list(score), Listed(entry), None)
    more = read_score(edited(score, arranged(score, grown, {"P0-2": bars})))
    assert [part.id for part in more.parts] == ["P0", "P1", "P0-2"]
    assert more.parts[2].bars == more.parts[0].bars
    assert [bars_in_file(more, n) for n in (0, 1)] == [bars_in_file(score, n) for n in (0, 1)]
    less = edited(more, arranged(more, taken_out(part_list(more), "P0-2")))
    assert unpacked(less) == unpacked(was)


@given(seeds)
def test_a_name_changes_and_nothing_else(seed: int) -> None:
    made = untidy(seed)
    score = read_score(made.file())
    listed = part_list(score)
    named = renamed(entry_of(listed, "P1").data, "Höhe")
    data = edited(score, arranged(score, changed(listed, "P1", named)))
    head = made.head.replace("<part-name>B<", "<part-name>Höhe<")
    assert unpacked(data) == unpacked(made._replace(head=head).file())
