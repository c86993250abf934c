"""What a score was made from, found again however it was renamed, moved and saved."""

import re
from pathlib import Path

import pytest

import rewriter
from rewriter.merging.as_made import Base, find_base, no_base
from rewriter.musicxml.copies import copy_of, stage_copy
from rewriter.musicxml.together import Together
from rewriter.scores.score import read_score
from tests.comparing.editing import edited
from tests.comparing.resaving import resaved
from tests.shorthand import sketch

QUAY = rewriter.expand(
    sketch("4/4 C5q D5 E5 F5 | G5h A5h | B4w | C5h D5h | E5w"), "Vn I / Vla"
).score
FERRY = rewriter.expand(sketch("3/4 G4h. | A4h. | C5q D5 E5 | F5h."), "Vn I / Vc").score
QUAY_LOW = rewriter.expand(
    sketch("4/4 C5q D5 E5 F5 | G5h A5h | B4w | D4h C4h | B4w"), "Vn I / Vla"
).score


@pytest.fixture(autouse=True)
def work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own, two folders down, so that nothing else is near."""
    folder = tmp_path / "projects" / "work"
    folder.mkdir(parents=True)
    monkeypatch.chdir(folder)
    return folder


def made(score: bytes, name: str) -> Path:
    """An output with its copy."""
    target = Path(name)
    copy_of(target).parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(score)
    with Together([copy_of(target).parent]) as together:
        together.put_in_place([stage_copy(together.run, score, target)])
    return target


def worked_on(score: bytes, seed: int = 1) -> bytes:
    """Saved by another program, which drops our traces, and with a hand's edit in it."""
    found = edited(score, "move a note", seed)
    assert found is not None
    traces = re.compile(rb"<miscellaneous>.*?</miscellaneous>", re.DOTALL)
    data = traces.sub(b"", resaved(found[0], seed))
    assert b"digest" not in data
    return data


def base(name: str, data: bytes) -> Base | None:
    path = Path(name)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
    return find_base(path, read_score(path))


def test_by_its_name() -> None:
    target = made(QUAY, "quay.musicxml")
    made(FERRY, "ferry.musicxml")
    found = base("quay.musicxml", worked_on(QUAY))
    assert found is not None
    assert (found.source.data, found.source.name) == (QUAY, str(copy_of(target)))
    assert found.why == "it has the name of the score"


def test_by_its_name_in_another_container() -> None:
    made(FERRY, "ferry.musicxml")
    made(QUAY, "quay.musicxml")
    found = base("QUAY.xml", worked_on(QUAY))
    assert found is not None
    assert (found.source.data, found.why) == (QUAY, "it has the name of the score")


def test_of_two_that_differ_in_their_ending_the_exact_one_or_the_one_that_sounds_so() -> None:
    made(QUAY_LOW, "quay.mxl")
    made(QUAY, "quay.musicxml")
    for name, score in (("quay.mxl", QUAY_LOW), ("quay.musicxml", QUAY)):
        found = base(name, worked_on(QUAY))
        assert found is not None
        assert (found.source.data, found.why) == (score, "it has the name of the score")
    found = base("quay.xml", worked_on(QUAY))
    assert found is not None
    assert found.source.data == QUAY
    assert found.why.endswith("% of its bars sound as in the score, more than of 1 others")


def test_by_the_digest_wherever_it_went() -> None:
    made(QUAY_LOW, "out/low.musicxml")
    made(QUAY, "out/quay.musicxml")
    data = QUAY.replace(b"<step>C", b"<step>D", 1)
    for name in ("out/low.musicxml", "final.musicxml", "out/mine/final.musicxml"):
        found = base(name, data)
        assert found is not None
        assert found.source.data == QUAY
        assert found.why == "it has the digest that stands in the score"


@pytest.mark.parametrize("name", ["final.musicxml", "out/final.xml", "out/mine/v2.musicxml"])
def test_by_what_sounds_where_name_and_digest_are_gone(name: str) -> None:
    made(FERRY, "out/ferry.musicxml")
    made(QUAY_LOW, "out/low.musicxml")
    made(QUAY, "out/quay.musicxml")
    found = base(name, worked_on(QUAY))
    assert found is not None
    assert found.source.data == QUAY
    assert found.why == "90% of its bars sound as in the score, more than of 2 others"


def test_the_name_of_another_piece_is_no_name() -> None:
    """Somebody has saved one cue over another."""
    made(FERRY, "ferry.musicxml")
    made(QUAY, "quay.musicxml")
    strangers = re.sub(rb"<part-name>[^<]*<", b"<part-name>Kazoo<", FERRY)
    made(strangers, "quay.mxl")
    Path("as-made/quay.musicxml.mxl").unlink()
    found = base("quay.musicxml", worked_on(QUAY))
    assert found is None
    made(QUAY, "pier.musicxml")
    found = base("quay.musicxml", worked_on(QUAY))
    assert found is not None
    assert found.source.data == QUAY


def test_a_part_has_its_own() -> None:
    parts = rewriter.parts(QUAY, stem="quay")
    rewriter.write_parts(parts, "stands")
    data = worked_on(parts[2].data)
    found = base(f"stands/{parts[2].file_name}", data)
    assert found is not None
    assert found.source.data == parts[2].data


def test_one_that_somebody_has_changed_is_none() -> None:
    target = made(QUAY, "quay.musicxml")
    copy_of(target).write_bytes(copy_of(target).read_bytes() + b" ")
    assert base("quay.musicxml", worked_on(QUAY)) is None


def test_nothing_near_and_nothing_like_it() -> None:
    assert base("quay.musicxml", worked_on(QUAY)) is None
    made(FERRY, "ferry.musicxml")
    assert base("quay.musicxml", worked_on(QUAY)) is None


def test_what_is_said_then() -> None:
    assert str(no_base(Path("out/quay.musicxml"))) == (
        "out/quay.musicxml: there is no copy of it as it was made, in out/as-made or near; "
        "name one with --base, or the sketch it was made of with --was"
    )
