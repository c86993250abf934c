"""Copies of what was made: where they are, what they hold, and what they never replace."""

import io
import zipfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import rewriter
from rewriter.musicxml.containers import unzip_score
from rewriter.musicxml.copies import copies_of, copy_of, is_copy, stage_copy
from rewriter.musicxml.packing import Entry, packed
from rewriter.musicxml.saving import is_untouched
from rewriter.musicxml.together import DRY_RUN, Together
from rewriter.problems import Refused
from tests.shorthand import sketch

SCORE = rewriter.expand(sketch("4/4 C5w | D5w"), "Vn I").score
OTHER = rewriter.expand(sketch("4/4 C5w | D5w"), "Vc").score


def kept(data: bytes, target: Path, *, force: bool = False) -> Path:
    copy_of(target).parent.mkdir(exist_ok=True)
    with Together([target.parent, copy_of(target).parent]) as together:
        together.put_in_place([stage_copy(together.run, data, target, force=force)])
    return copy_of(target)


def test_outputs_that_differ_in_their_ending_have_copies_of_their_own() -> None:
    names = ["a.musicxml", "a.xml", "a.mxl", "a.MXL"]
    found = [copy_of(Path("out", name)).as_posix() for name in names]
    assert found == [
        "out/as-made/a.musicxml.mxl",
        "out/as-made/a.xml.mxl",
        "out/as-made/a.mxl",
        "out/as-made/a.MXL",
    ]
    assert all(map(is_copy, map(Path, found)))
    assert not is_copy(Path("as-made"))


def test_it_holds_the_score_and_is_the_same_every_time(tmp_path: Path) -> None:
    copy = kept(SCORE, tmp_path / "a.musicxml")
    first = copy.read_bytes()
    assert unzip_score(first) == SCORE
    assert is_untouched(first)
    copy.unlink()
    assert kept(SCORE, tmp_path / "a.musicxml").read_bytes() == first
    assert len(first) < len(SCORE) / 3


def test_an_older_copy_is_replaced_and_somebody_elses_file_is_not(tmp_path: Path) -> None:
    target = tmp_path / "a.musicxml"
    kept(SCORE, target)
    copy = kept(OTHER, target)
    assert unzip_score(copy.read_bytes()) == OTHER
    copy.write_bytes(copy.read_bytes() + b" ")
    changed = copy.read_bytes()
    with pytest.raises(Refused) as refused:
        kept(SCORE, target)
    assert str(refused.value) == (
        f"{copy}: this is no copy as the tool made it; leave the copy out with --no-copy, or "
        "replace it with --force"
    )
    assert copy.read_bytes() == changed
    assert copies_of([target]) == []
    assert unzip_score(kept(SCORE, target, force=True).read_bytes()) == SCORE
    assert copies_of([target]) == [copy]


def test_a_place_that_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "as-made").write_bytes(b"mine")
    with Together([tmp_path]) as together, pytest.raises(Refused) as refused:
        stage_copy(together.run, SCORE, tmp_path / "a.musicxml")
    assert str(refused.value) == (
        f'{tmp_path}/as-made/a.musicxml.mxl: "as-made" is a file, not a folder; '
        "leave the copy out with --no-copy"
    )
    assert [path.name for path in tmp_path.iterdir()] == ["as-made"]


def test_a_dry_run_writes_nothing(tmp_path: Path) -> None:
    change = stage_copy(DRY_RUN, SCORE, tmp_path / "a.musicxml")
    assert not change.is_none
    assert list(tmp_path.iterdir()) == []


NAMES = st.text(st.characters(codec="utf-8", exclude_characters="\0/"), min_size=1, max_size=9)


ENTRIES = st.lists(
    st.tuples(NAMES, st.binary(max_size=99), st.booleans()),
    max_size=4,
    unique_by=lambda one: one[0],
)


@given(ENTRIES)
def test_a_zip_by_hand_is_that_of_the_library(entries: list[tuple[str, bytes, bool]]) -> None:
    """Byte for byte what Python's own zipfile writes."""
    library = io.BytesIO()
    with zipfile.ZipFile(library, "w") as archive:
        for name, data, deflated in entries:
            info = zipfile.ZipInfo("x", (1980, 1, 1, 0, 0, 0))
            info.filename = name
            info.compress_type = zipfile.ZIP_DEFLATED if deflated else zipfile.ZIP_STORED
            info.create_system = 3
            info.external_attr = 0o644 << 16
            archive.writestr(info, data, compresslevel=6)
    assert packed(*(Entry(*entry) for entry in entries)) == library.getvalue()
