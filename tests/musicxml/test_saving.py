"""Saving: the right container, all or nothing, never over somebody else's work."""

import errno
import hashlib
import io
import os
import re
import stat
import zipfile
from collections.abc import Callable
from pathlib import Path

import music21
import pytest
from lxml import etree

from rewriter.musicxml.saving import (
    PLACEHOLDER,
    check_target,
    is_untouched,
    save,
    stamp,
    write_musicxml_zip,
)
from rewriter.problems import Refused
from rewriter.scores.score import read_score
from rewriter.texts import printable
from tests.bad_input.cases import SOUND

FIELD = f'<miscellaneous-field name="content-digest">{PLACEHOLDER}</miscellaneous-field>'
BLANK = SOUND.replace(
    b"<part-list>",
    f"<identification><miscellaneous>{FIELD}</miscellaneous></identification><part-list>".encode(),
)
OURS = stamp(BLANK)
NOT_OURS = "not written by this tool; name another file with -o, or replace it with --force"
CHANGED = (
    "changed since the tool wrote it; name another file with -o, or replace it with --force"
)


def refusal(work: Callable[[], object]) -> str:
    """The line a refused call says."""
    with pytest.raises(Refused) as caught:
        work()
    return str(caught.value)


# ---- the digest


def test_the_stamp_is_the_digest_of_the_bytes_with_the_placeholder() -> None:
    digest = hashlib.sha256(BLANK).hexdigest()
    assert BLANK.replace(PLACEHOLDER.encode(), digest.encode()) == OURS
    assert len(OURS) == len(BLANK)
    assert is_untouched(OURS)
    assert not is_untouched(BLANK)
    assert not is_untouched(SOUND)
    assert not is_untouched(b"")


def test_every_change_of_one_byte_is_noticed() -> None:
    for place in range(len(OURS)):
        changed = bytearray(OURS)
        changed[place] ^= 1
        assert not is_untouched(bytes(changed)), place
    assert not is_untouched(OURS + b"\n")
    assert not is_untouched(OURS[:-1])


DIGEST = re.compile(rb'<miscellaneous-field name="content-digest">.*?</miscellaneous-field>')
TWO = DIGEST.sub(lambda match: match[0] * 2, BLANK)


@pytest.mark.parametrize("data", [SOUND, OURS, TWO], ids=["none", "stamped", "two"])
def test_only_one_placeholder_can_be_stamped(data: bytes) -> None:
    with pytest.raises(ValueError, match="exactly one content-digest field"):
        stamp(data)


def test_a_zip_is_untouched_while_it_holds_our_score_and_nothing_else() -> None:
    packed = write_musicxml_zip(OURS, "lantern.musicxml")
    assert is_untouched(packed)
    assert not is_untouched(packed[:-1])
    for place in range(len(packed)):
        for bit in (1, 0x80):
            changed = bytearray(packed)
            changed[place] ^= bit
            assert not is_untouched(bytes(changed)), place
    assert not is_untouched(write_musicxml_zip(OURS.replace(b"Ferry", b"Barge"), "lantern.xml"))
    for change in (
        lambda archive: archive.writestr("notes-to-self.txt", "keep"),
        lambda archive: setattr(archive, "comment", b"keep"),
    ):
        more = io.BytesIO(packed)
        with zipfile.ZipFile(more, "a") as archive:
            change(archive)
        assert not is_untouched(more.getvalue())


# ---- the zip


def test_the_zip_is_as_the_standard_wants_it() -> None:
    # W3C MusicXML 4.0, "Compressed .mxl files"; read by Python's zipfile.
    packed = write_musicxml_zip(OURS, "lantern & <moon>.musicxml")
    with zipfile.ZipFile(io.BytesIO(packed)) as archive:
        assert archive.testzip() is None
        kind, container, score = archive.infolist()
        listed = etree.fromstring(archive.read(container))
        assert archive.read(kind) == b"application/vnd.recordare.musicxml"
        assert archive.read(score) == OURS
    assert [kind.filename, container.filename] == ["mimetype", "META-INF/container.xml"]
    assert (kind.compress_type, kind.header_offset) == (zipfile.ZIP_STORED, 0)
    assert [one.extra for one in (kind, container, score)] == [b""] * 3
    assert {one.date_time for one in (kind, container, score)} == {(1980, 1, 1, 0, 0, 0)}
    # Byte by byte, as programs that only look at the head do: name length 8, extra length 0.
    assert packed[26:30] == b"\x08\0\0\0"
    assert packed[30:72] == b"mimetypeapplication/vnd.recordare.musicxml"
    rootfile = listed.find("rootfiles/rootfile")
    assert rootfile is not None
    assert rootfile.attrib == {
        "full-path": "lantern & <moon>.musicxml",
        "media-type": "application/vnd.recordare.musicxml+xml",
    }


def test_music21_and_the_tool_itself_read_the_zip(tmp_path: Path) -> None:
    path = tmp_path / "Fähre.mxl"
    save(OURS, path)
    heard = music21.converter.parse(path)
    assert " ".join(note.name for note in heard.recurse().notes) == "C D E F G"
    assert read_score(path).digest == hashlib.sha256(OURS).hexdigest()
    with zipfile.ZipFile(path) as archive:
        assert archive.namelist()[2] == "Fähre.musicxml"


def test_a_name_no_zip_can_hold(tmp_path: Path) -> None:
    save(OURS, tmp_path / "bell\x07.mxl")
    assert is_untouched((tmp_path / "bell\x07.mxl").read_bytes())


@pytest.mark.parametrize("name", ["a.musicxml", "a.xml", "a.mxl", "a.MXL"])
def test_the_suffix_decides_and_the_bytes_are_the_same_each_time(
    name: str, tmp_path: Path
) -> None:
    path = tmp_path / name
    save(OURS, path)
    first = path.read_bytes()
    assert first.startswith(b"PK" if name.lower().endswith("mxl") else b"<?xml")
    save(OURS, path)  # its own untouched output may be replaced
    assert path.read_bytes() == first
    assert [one.name for one in tmp_path.iterdir()] == [name]


# ---- what may be replaced


@pytest.mark.parametrize("name", ["a.musicxml", "a.mxl"])
def test_a_file_changed_by_hand_stays(name: str, tmp_path: Path) -> None:
    path = tmp_path / name
    edited = OURS.replace(b"Ferry", b"Barge")
    path.write_bytes(write_musicxml_zip(edited, "a.xml") if name == "a.mxl" else edited)
    before = path.read_bytes()
    assert refusal(lambda: save(OURS, path)) == f"{path}: {CHANGED}"
    assert path.read_bytes() == before
    save(OURS, path, force=True)
    assert is_untouched(path.read_bytes())


@pytest.mark.parametrize("data", [SOUND, b"", b"PK\x03\x04?"], ids=["score", "empty", "zip"])
def test_a_file_of_somebody_else_stays(data: bytes, tmp_path: Path) -> None:
    path = tmp_path / "a.mxl"
    path.write_bytes(data)
    assert refusal(lambda: save(OURS, path)) == f"{path}: {NOT_OURS}"
    assert path.read_bytes() == data


@pytest.mark.parametrize("force", [False, True])
@pytest.mark.parametrize("way", ["itself", "symbolic link", "hard link", "other spelling"])
def test_an_input_is_never_written_over(way: str, force: bool, tmp_path: Path) -> None:  # noqa: FBT001
    sketch = tmp_path / "sketch.musicxml"
    sketch.write_bytes(OURS)
    target = tmp_path / "target.musicxml"
    if way == "symbolic link":
        target.symlink_to(sketch)
    elif way == "hard link":
        target.hardlink_to(sketch)
    else:
        target = sketch if way == "itself" else tmp_path / ".." / tmp_path.name / sketch.name
    said = "this is an input and is never written over; name another file with -o"
    inputs = [tmp_path / "gone.xml", sketch]
    assert refusal(lambda: save(OURS, target, force=force, inputs=inputs)) == (
        f"{target}: {said}"
    )
    assert sketch.read_bytes() == OURS


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    real = tmp_path / "real.musicxml"
    link = tmp_path / "link.musicxml"
    link.symlink_to(real)
    save(OURS, link)
    assert link.is_symlink()
    assert real.read_bytes() == OURS


def test_permissions(tmp_path: Path) -> None:
    path = tmp_path / "a.musicxml"
    mask = os.umask(0o027)
    try:
        save(OURS, path)
    finally:
        os.umask(mask)
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    path.chmod(0o604)
    save(OURS, path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o604


@pytest.mark.parametrize("name", ["a.musicxml", "a.mxl"])
def test_a_score_too_large_to_be_read_again_is_refused_before_it_is_written(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / name
    monkeypatch.setattr("rewriter.musicxml.saving.MOST_BYTES", len(OURS) - 1)
    assert refusal(lambda: save(OURS, path)) == (
        f"{path}: the score would have 1 MB, more than the 0 that can be read again; "
        "take fewer bars or fewer sections at a time"
    )
    assert list(tmp_path.iterdir()) == []
    monkeypatch.setattr("rewriter.musicxml.saving.MOST_BYTES", len(OURS))
    save(OURS, path)


# ---- places


@pytest.mark.parametrize("suffix", [".pdf", ".mid", "", ".musicxml~"])
def test_other_suffixes(suffix: str, tmp_path: Path) -> None:
    path = tmp_path / f"score{suffix}"
    assert refusal(lambda: check_target(path)) == (
        f"{path}: no score has such a name; let it end in .musicxml, .xml or .mxl"
    )


def test_places_where_nothing_can_be_written(tmp_path: Path) -> None:
    (tmp_path / "folder.xml").mkdir()
    (tmp_path / "file").write_bytes(b"")
    os.mkfifo(tmp_path / "pipe.xml")
    (tmp_path / "round.xml").symlink_to(tmp_path / "round.xml")
    another = "name another file with -o"
    for place, said in {
        "folder.xml": f"this is a folder; {another}",
        "pipe.xml": f"this is a device, not a file; {another}",
        "none/a.xml": 'there is no folder "none" to write it in; make it first',
        "file/a.xml": f'"file" is a file, not a folder; {another}',
        "nul\0.xml": f"no file can have such a name; {another}",
        "a" * 300 + ".xml": f"this place cannot be written (file name too long); {another}",
        "round.xml": "this place cannot be written (too many levels of symbolic links);"
        f" {another}",
    }.items():
        path = tmp_path / place
        assert (
            refusal(lambda path=path: save(OURS, path, force=True))
            == f"{printable(str(path))}: {said}"
        )
    assert sorted(one.name for one in tmp_path.iterdir()) == [
        "file",
        "folder.xml",
        "pipe.xml",
        "round.xml",
    ]


def test_permissions_are_looked_at_before_any_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.musicxml"
    path.write_bytes(OURS)
    # The superuser may write anywhere, so the question itself is answered here.
    monkeypatch.setattr(os, "access", lambda place, _: Path(place) != path)
    assert refusal(lambda: check_target(path)) == (
        f"{path}: this file is write-protected;"
        " name another file with -o, or replace it with --force"
    )
    monkeypatch.setattr(os, "access", lambda place, _: Path(place) != tmp_path)
    assert refusal(lambda: check_target(path, force=True)) == (
        f"{path}: nothing may be written in this folder; name another file with -o"
    )


def test_checking_writes_nothing(tmp_path: Path) -> None:
    check_target(tmp_path / "a.mxl")
    assert list(tmp_path.iterdir()) == []


# ---- all or nothing


@pytest.mark.parametrize(
    "fault",
    [
        ("fsync", errno.ENOSPC, "the disk is full; make room, or write it elsewhere with -o"),
        ("replace", errno.EROFS, "this place may not be written; name another file with -o"),
        ("open", errno.EACCES, "this place may not be written; name another file with -o"),
        (
            "replace",
            errno.EIO,
            "this place cannot be written (input/output error); name another file with -o",
        ),
    ],
)
@pytest.mark.parametrize("existing", [False, True])
def test_what_was_there_stays_when_writing_stops(
    fault: tuple[str, int, str],
    existing: bool,  # noqa: FBT001
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    step, number, said = fault

    def stop(*_: object, **__: object) -> None:
        raise OSError(number, os.strerror(number))

    path = tmp_path / "a.musicxml"
    if existing:
        path.write_bytes(OURS)
    with monkeypatch.context() as patched:
        patched.setattr(os, step, stop)
        line = refusal(lambda: save(stamp(BLANK.replace(b"Ferry", b"Barge")), path))
    assert line == f"{path}: {said}"
    assert [one.read_bytes() for one in tmp_path.iterdir()] == ([OURS] if existing else [])


def test_an_interruption_leaves_no_litter(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    path = tmp_path / "a.musicxml"
    path.write_bytes(OURS)
    monkeypatch.setattr(os, "replace", interrupt)
    with pytest.raises(KeyboardInterrupt):
        save(stamp(BLANK.replace(b"Ferry", b"Barge")), path)
    assert [one.name for one in tmp_path.iterdir()] == ["a.musicxml"]
    assert path.read_bytes() == OURS
