"""Signs put into any bar stand at their moments; notes, and all other bytes, are as before."""

import io
import random
import zipfile
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from lxml import etree

from rewriter.editing.bar_marking import bar_marked
from rewriter.editing.bar_reading import written_bar
from rewriter.editing.edits import InBar, bar_children, edited
from rewriter.editing.music import Sign
from rewriter.editing.note_marks import with_notation, without_notations
from rewriter.scores.score import read_score
from tests.outside.heard import heard_by_music21, heard_by_partitura
from tests.outside.reference import heard_by_reference
from tests.outside.schema import assert_valid
from tests.property.test_new_music_in_any_bar import QUARTERS, others, score
from tests.property.untidy import untidy

SIGN = "<direction><direction-type><words>{}</words></direction-type></direction>"
CLEF = '<attributes><clef number="{}"><sign>F</sign><line>4</line></clef></attributes>'


def moments_of_words(data: bytes) -> list[tuple[str | None, Fraction]]:
    """Words and where they stand in the second bar, by its moves alone."""
    root = etree.fromstring(data)
    bar = root.findall("part/measure")[1]
    at = Fraction(0)
    divisions = Fraction(root.findtext(".//divisions"))
    found = []
    for child in bar:
        divisions = Fraction(child.findtext("divisions") or divisions)
        length = Fraction(child.findtext("duration") or 0) / divisions
        if child.tag == "direction":
            found.append((child.findtext(".//words"), at))
        elif child.tag == "note":
            at += 0 if child.find("chord") is not None else length
        else:
            at += length * {"forward": 1, "backup": -1}.get(child.tag, 0)
    return sorted(found)


def signs(rng: random.Random) -> list[Sign]:
    moments = [
        Fraction(rng.randint(0, QUARTERS * part), part)
        for part in (rng.choice((1, 2, 3, 4, 5)) for _ in range(rng.randint(1, 4)))
    ]
    return [
        Sign(onset, SIGN.format(name).encode()) for name, onset in enumerate(sorted(moments))
    ]


@given(st.integers(0, 10**9))
def test_signs_stand_at_their_moments_and_the_notes_as_before(seed: int) -> None:
    rng = random.Random(seed)  # noqa: S311 - music, not secrets
    made = score(rng)
    read = read_score(made.data)
    given_signs = signs(rng)
    clef = Sign(Fraction(rng.randint(0, 8), 2), CLEF.format(rng.choice("12")).encode())
    data = edited(read, bar_marked(read, InBar(0, 1), [*given_signs, clef]))
    wanted = [(str(name), sign.onset) for name, sign in enumerate(given_signs)]
    assert moments_of_words(data) == wanted
    assert heard_by_reference(data) == heard_by_reference(made.data)
    assert others(data, "") == others(made.data, "")
    assert_valid(data)
    before, after = made.data.split(b"<measure number='2'>")
    assert data.startswith(before + b"<measure number='2'>")
    assert data.endswith(after[after.index(b"</measure>") :])


@pytest.mark.parametrize("seed", range(4))
def test_programs_hear_the_same_notes(seed: int) -> None:
    rng = random.Random(seed)  # noqa: S311 - music, not secrets
    made = score(rng)
    read = read_score(made.data)
    data = edited(read, bar_marked(read, InBar(0, 1), signs(rng)))
    assert heard_by_music21(data) == heard_by_music21(made.data)
    assert heard_by_partitura(data) == heard_by_partitura(made.data)


@given(st.integers(0, 10**6))
def test_signs_put_in_and_taken_out_leave_any_file_as_it_was(seed: int) -> None:
    rng = random.Random(seed)  # noqa: S311 - edits, not secrets
    made = untidy(seed)
    was = made.file()
    read = read_score(was)
    full = [place for place, bar, _ in made.bars if bar.children]
    where = InBar(*rng.choice(full or [(0, 0)]))
    bar = written_bar(read, where)
    onset = rng.choice([child.onset for child in bar.children] or [bar.end])
    own = bar_children(read, where)
    assume(own)  # what is taken out takes the white space before it along
    notes = {n: data for n, data in enumerate(own) if data.startswith(b"<note")}
    marked = {n: with_notation(data, b"<accent/>") for n, data in notes.items()}
    sign = Sign(onset, SIGN.format("größer").encode())
    read = read_score(edited(read, bar_marked(read, where, [sign], marked)))
    now = bar_children(read, where)
    back = {
        n: b"" for n, data in enumerate(now) if data not in own and b"<note" not in data[:5]
    }
    assert len(back) in {1, 3}
    for n, data in enumerate(now):
        if n not in back and data not in own:
            back[n] = without_notations(data, "accent")
    left = edited(read, bar_marked(read, where, (), back))
    assert unpacked(left) == unpacked(was)


def unpacked(data: bytes) -> dict[str, bytes]:
    if not data.startswith(b"PK"):
        return {"": data}
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}
