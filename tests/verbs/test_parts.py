"""Parts put together again give the score, note for note; and where they are written."""

import io
import zipfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

import rewriter
from rewriter.problems import Refused
from rewriter.stands.extraction import Part
from rewriter.verbs.parts import parts, write_parts
from tests.outside.heard import heard_by_music21, heard_by_partitura, heard_by_verovio
from tests.outside.reference import Heard, bar_lengths, heard_by_reference
from tests.outside.schema import faults
from tests.outside.spans import spanner_faults
from tests.property.expanding import LAYOUTS, expand
from tests.property.strategies import Sketch, sketches
from tests.shorthand import sketch

SCORES = Path(__file__).parents[2] / "scores"
DEMOS = ("harbour-thaws", "ice-pilots-song", "last-ferry", "under-the-ice")
PASSAGES = """title = "Widening"
summary = "Violas alone, then all."
passage = [
    { bars = "1-8", stack = "Vla" },
    { bars = "9-16", stack = "Vn I / Vla" },
    { bars = "17-24", stack = "Vn II / half Vc" },
    { bars = "25-36", stack = "Vn I / Vn II + Vla / Vc" },
]
"""


def assert_parts_are_the_score(score: bytes, cues: int) -> list[Part]:
    """Each part sounds as it does in the score; it is valid and closed if the score is."""
    made = parts(score, cue_notes=cues)
    again = together(made)
    assert heard_by_reference(again) == heard_by_reference(score)
    assert bar_lengths(again) == bar_lengths(score)
    clean, valid = not spanner_faults(score), not faults(score)
    for part, lengths in zip(made, bar_lengths(score), strict=True):
        assert part.bars == len(lengths)
        if valid:
            assert faults(part.data) == []
        if clean:
            assert spanner_faults(part.data) == []
    return made


def together(made: list[Part]) -> bytes:
    """One score of all parts."""
    score = etree.Element("score-partwise")
    for part in made:
        score.extend(etree.fromstring(part.data).findall("part"))
    return etree.tostring(score)


@given(sketches(), st.sampled_from(LAYOUTS), st.integers(0, 3))
def test_parts_of_an_expansion_are_the_score(sketch: Sketch, layout: str, cues: int) -> None:
    assert_parts_are_the_score(expand(sketch, layout).score, cues)


@given(sketches(), st.integers(0, 3))
def test_parts_of_any_score_are_the_score(sketch: Sketch, cues: int) -> None:
    assert_parts_are_the_score(sketch.data, cues)


@pytest.mark.parametrize("demo", DEMOS)
@pytest.mark.parametrize("cues", [0, 4])
def test_parts_of_the_demo_scores_are_the_score(demo: str, cues: int) -> None:
    sketch_file = SCORES / f"{demo}.musicxml"
    assert_parts_are_the_score(rewriter.expand(sketch_file, LAYOUTS[0]).score, cues)


@pytest.fixture(scope="module")
def cue(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The worked cue in passages, so that sections rest and enter."""
    plan = tmp_path_factory.mktemp("plans") / "widening.toml"
    plan.write_text(PASSAGES)
    return rewriter.expand(SCORES / "harbour-thaws.musicxml", plan=str(plan)).score


def test_sections_that_rest_and_enter_are_cued(cue: bytes) -> None:
    made = assert_parts_are_the_score(cue, 4)
    said = [(part.name, part.multi_bar_rests, part.cue_notes) for part in made]
    assert said == [
        ("Violins I", 4, 2),
        ("Violins II", 3, 1),
        ("Violas", 3, 1),
        ("Violoncellos", 3, 1),
        ("Double Basses", 1, 0),
    ]


def test_other_readers_hear_each_part_as_in_the_score(cue: bytes) -> None:
    """By music21, partitura and verovio, which reads the bars a multi-bar rest folds as one."""
    readers = (heard_by_music21, heard_by_partitura, heard_by_verovio)
    whole = [reader(cue) for reader in readers]
    for place, part in enumerate(parts(cue, cue_notes=4)):
        unfolded = without_multi_rests(part.data)
        heard: list[list[list[Heard]]] = [reader(unfolded) for reader in readers]
        assert heard == [[one[place]] for one in whole]


def without_multi_rests(data: bytes) -> bytes:
    root = etree.fromstring(data)
    for style in list(root.iter("measure-style")):
        style.getparent().remove(style)  # type: ignore[union-attr]  # it stands in attributes
    return etree.tostring(root)


@pytest.mark.parametrize("name", ["bach/bwv66.6.mxl", "haydn/opus74no1/movement3.mxl"])
def test_parts_of_real_scores_are_the_score(name: str) -> None:
    """Two pieces of music21's corpus, as scores that others wrote."""
    from music21 import corpus

    found = Path(str(corpus.getWork(name))).read_bytes()
    with zipfile.ZipFile(io.BytesIO(found)) as archive:
        data = next(archive.read(one) for one in archive.namelist() if "META-INF" not in one)
    assert_parts_are_the_score(data, 2)


def test_a_score_somebody_changed_gives_the_same_parts(cue: bytes) -> None:
    """What is read without parsing and what is parsed come to the same."""
    changed = cue.replace(b"<movement-title>The", b"<movement-title>A")
    ours, theirs = parts(cue, cue_notes=4, stem="x"), parts(changed, cue_notes=4, stem="x")
    for one, other in zip(ours, theirs, strict=True):
        assert canonical(one.data).replace(b">The Harbour", b">A Harbour", 1) == canonical(
            other.data
        )
        assert one[3:] == other[3:]


def canonical(data: bytes) -> bytes:
    root = etree.fromstring(data, etree.XMLParser(remove_blank_text=True))
    for field in root.iter("miscellaneous-field"):
        field.text = ""
    return etree.tostring(root, method="c14n")


def test_a_forged_digest_does_no_harm() -> None:
    """A file that claims to be untouched output but is not well-formed is refused as torn."""
    from rewriter.musicxml.saving import PLACEHOLDER, stamp

    head = (
        '<!DOCTYPE score-partwise><score-partwise version="4.0"><identification><miscellaneous>'
        f'<miscellaneous-field name="content-digest">{PLACEHOLDER}</miscellaneous-field>'
        "</miscellaneous></identification><part-list/>"
    )
    torn = '<part id="P1"><measure number="1"><direction></measure></part></score-partwise>'
    with pytest.raises(Refused) as refused:
        parts(stamp((head + torn).encode()))
    assert str(refused.value).startswith("score: line 1")
    assert "\n" not in str(refused.value)


def test_a_tree_is_not_changed_and_gives_what_its_bytes_give() -> None:
    data = sketch("4/4 | C5w | mark=A C5w |", tune="Vn", others={"Vla": "4/4 | R | R |"})
    tree = etree.fromstring(data)
    before = etree.tostring(tree)
    assert parts(tree) == parts(data)
    assert etree.tostring(tree) == before


def test_files_are_called_after_the_score(tmp_path: Path) -> None:
    score = tmp_path / "harbour thaws-strings.musicxml"
    score.write_bytes(sketch("4/4 | C5w |", tune="Violins I"))
    assert [part.file_name for part in parts(score)] == ["harbour-thaws-Violins-I.musicxml"]
    assert parts(score, stem="cue 7")[0].file_name == "cue-7-Violins-I.musicxml"


def test_a_score_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    missing = tmp_path / "away.musicxml"
    with pytest.raises(Refused) as refused:
        parts(missing)
    assert str(refused.value) == (
        f"{missing}: there is no such file; look at its name and folder"
    )
    with pytest.raises(Refused) as refused:
        parts(b"<score-partwise/>")
    assert str(refused.value).startswith("score: the score has no parts; ")


def test_all_parts_are_written_or_none(tmp_path: Path) -> None:
    made = parts(sketch("4/4 | C5w |", tune="Vn", others={"Vla": "| C4w |"}), stem="quay")
    folder = tmp_path / "stands" / "quay"
    assert write_parts(made, folder) == [folder / part.file_name for part in made]
    assert [path.read_bytes() for path in sorted(folder.glob("*.musicxml"))] == [
        made[1].data,
        made[0].data,
    ]
    mine = folder / made[1].file_name
    mine.write_bytes(made[1].data + b" ")
    (folder / made[0].file_name).unlink()
    with pytest.raises(Refused) as refused:
        write_parts(made, folder)
    assert str(refused.value) == (
        f"{mine}: changed since the tool wrote it; "
        "name another folder, or replace it with --force"
    )
    assert list(folder.glob("*.musicxml")) == [mine]
    write_parts(made, folder, force=True)
    assert mine.read_bytes() == made[1].data


def test_an_input_is_never_written_over(tmp_path: Path) -> None:
    made = parts(sketch("4/4 | C5w |", tune="Vn"), stem="quay")
    target = tmp_path / made[0].file_name
    target.write_bytes(made[0].data)
    with pytest.raises(Refused) as refused:
        write_parts(made, tmp_path, force=True, inputs=[target])
    assert str(refused.value) == (
        f"{target}: this is an input and is never written over; name another folder"
    )


def test_a_folder_that_cannot_be_is_refused(tmp_path: Path) -> None:
    made = parts(sketch("4/4 | C5w |", tune="Vn"), stem="quay")
    (tmp_path / "file").write_text("")
    with pytest.raises(Refused) as refused:
        write_parts(made, tmp_path / "file" / "stands")
    assert str(refused.value) == (
        f"{tmp_path / 'file' / 'stands'}: this folder cannot be made (not a directory); "
        "name another"
    )
