"""What a sketch is, told by what it holds; what its name says otherwise; what goes wrong."""

import struct
import sys
from pathlib import Path

import pytest
from lxml import etree

from rewriter.foreign import child, through_music21
from rewriter.foreign.kinds import ABC, HUMDRUM, KINDS, MEI, MIDI, Kind, kind_in
from rewriter.foreign.opening import open_sketch
from rewriter.problems import Refused
from rewriter.verbs.expand import expand
from tests.cli.running import start
from tests.foreign.test_read_as_music21 import TUNE, as_mei
from tests.outside.schema import assert_valid
from tests.shorthand import sketch

EXPORT = "export the score as MusicXML from the notation program"
A_TUNE = b"X:1\nT:Ferry at dusk\nM:3/4\nL:1/4\nK:G\nG A B | c2 d |\n"
A_SPINE = b"**kern\n*M3/4\n=1\n4g\n4a\n4b\n=2\n2.cc\n==\n*-\n"


def _midi(*track: bytes, per_quarter: int = 96) -> bytes:
    data = b"".join(track)
    head = b"MThd" + struct.pack(">IHHH", 6, 0, 1, per_quarter)
    return head + b"MTrk" + struct.pack(">I", len(data)) + data


A_TRACK = _midi(b"\0\x90\x3c\x40", b"\x60\x80\x3c\0", b"\0\xff\x2f\0")
FILES = {ABC: A_TUNE, HUMDRUM: A_SPINE, MIDI: A_TRACK, MEI: as_mei(TUNE)}


@pytest.mark.parametrize(
    ("data", "kind"),
    [
        *((data, kind) for kind, data in FILES.items()),
        (b"% a comment first\r\nX: 1\r\nT: Ferry\r\nK: C\r\nCDE|", ABC),
        (b"\xef\xbb\xbf" + A_TUNE, ABC),
        (b"!! a comment first\n**text\t**kern\nla\t4c\n*-\t*-\n", HUMDRUM),
        (as_mei(TUNE).decode().encode("utf-16"), MEI),
        (TUNE, None),
        (TUNE.decode().encode("utf-16"), None),
        (b"", None),
        (b"X: once upon a time\nthere was a ferry", None),
        (b"K:G\nX:1\n", None),
        (b"this is about **kern and nothing else", None),
        (b"<html><body>**kern</body></html>", None),
        (b"<mei/>", None),
    ],
)
def test_a_file_is_what_it_holds(data: bytes, kind: Kind | None) -> None:
    assert kind_in(data) is kind


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_it_becomes_a_sound_score(tmp_path: Path, kind: Kind) -> None:
    """And the same one every time, in processes that hash unlike each other."""
    path = tmp_path / f"ferry{kind.suffixes[0]}"
    path.write_bytes(FILES[kind])
    opened, again = open_sketch(path), open_sketch(FILES[kind])
    assert opened.source.data == again.source.data
    assert opened.remarks[0] == f"the sketch is {kind.said}, of which music21 reads {kind.read}"
    assert_valid(opened.source.data)
    text = etree.tostring(etree.fromstring(opened.source.data), encoding=str)
    assert "usic21" not in text
    made = expand(path, "Vn I / Vc")
    assert_valid(made.score)
    assert made.score == expand(path, "Vn I / Vc").score
    assert made.report.remarks[: len(opened.remarks)] == opened.remarks


def test_what_it_is_called_comes_along() -> None:
    assert expand(A_TUNE, "Vn I").score.count(b"Ferry at dusk")
    assert expand(FILES[MEI], "Vn I").report.tune == '"Flute" (P1): the only part'


def test_bars_keep_their_numbers() -> None:
    """Source: verovio writes the MEI; music21 takes whole numbers only."""
    data = sketch("4/4 | C5w | bar=1a D5w | E5w bar=2 |", tune="Flute")
    numbers = [bar.get("number") for bar in etree.fromstring(data).iter("measure")]
    assert "1a" in numbers
    made = etree.fromstring(open_sketch(as_mei(data)).source.data)
    assert [bar.get("number") for bar in made.iter("measure")] == numbers


def test_a_bar_without_a_number_begins_no_movement() -> None:
    """As behind a repeat within a bar: both sides keep their length and one has no number."""
    halves = b"**kern\n*M3/4\n=1\n4g\n4a\n4b\n=2\n4g\n4a\n=:|!\n4b\n=3\n2.cc\n==\n*-\n"
    made = etree.fromstring(open_sketch(halves).source.data)
    assert [bar.get("number") for bar in made.iter("measure")] == ["1", "2", "X1", "3"]
    assert [bar.get("implicit") for bar in made.iter("measure")] == ["no", "no", "yes", "no"]
    assert not list(made.iter("rest"))


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("a.mid", A_TUNE, ".mid, but it is ABC and read as such"),
        ("a.musicxml", A_SPINE, ".musicxml, but it is Humdrum and read as such"),
        ("a.xml", A_TUNE, ".xml, but it is ABC and read as such"),
        ("a.MID", TUNE, ".MID, but it is MusicXML and read as such"),
        ("a.xml", as_mei(TUNE), ""),
        ("a.txt", A_TUNE, ""),
        ("a", A_TUNE, ""),
        ("a.musicxml", TUNE, ""),
    ],
)
def test_a_name_that_misleads_is_told(
    tmp_path: Path, name: str, data: bytes, said: str
) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    told = [remark for remark in open_sketch(path).remarks if "the name" in remark]
    assert told == ([f"the name of the sketch ends in {said}"] if said else [])


BAD = [
    ("a.abc", b"once upon a time", "the name ends in .abc, but this is not ABC: no row begins "
     f"with X: and none behind it with K:; {EXPORT}"),
    ("a.krn", b"4c\t4e\n", "the name ends in .krn, but this is not Humdrum: no row begins with "
     f"**kern; {EXPORT}"),
    ("a.mid", b"MTrk", "the name ends in .mid, but this is not a MIDI file: it does not begin "
     f"with MThd; {EXPORT}"),
    ("a.abc", b"", f"the file is empty; {EXPORT}"),
    ("a.abc", b"%PDF-1.7", f"this is a PDF, not MusicXML; {EXPORT}"),
    ("a.mei", b"<mei/>", f"the file begins with <mei>, which is not MusicXML; {EXPORT}"),
    ("a.abc", A_TUNE + b"\n\nX:2\nK:C\nCDE|", "this ABC holds 2 tunes; put each into a file of "
     "its own"),
    ("a.abc", b"X:1\nK:C\n", f"this ABC has no notes; {EXPORT}"),
    ("a.krn", b"**kern\n4r\n*-\n", f"this Humdrum has no notes; {EXPORT}"),
    ("a.mid", A_TRACK[:14], "this MIDI cannot be read; look for what is damaged in it, or "
     f"{EXPORT}"),
    ("a.mid", _midi(b"\0\xff\x2f\0"), f"this MIDI has no notes; {EXPORT}"),
    ("a.mei", as_mei(TUNE)[:-40], "the XML is damaged here; export the score again from the "
     "notation program"),
    ("a.mei", b'<mei xmlns="http://www.music-encoding.org/ns/mei"/>', "this MEI holds no "
     "score; export the score again from the notation program"),
    ("a.abc", A_TUNE + b"%" * 2**15, "this is ABC of 33 KB, more than the 32 KB that are "
     f"read of one; split it into movements, or {EXPORT}"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "data", "said"), BAD)
def test_what_cannot_be_read_is_refused_in_one_line(
    tmp_path: Path, name: str, data: bytes, said: str
) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(Refused) as caught:
        expand(path, "Vn I")
    told = str(caught.value)
    assert told.startswith(f"{path}: ")
    assert told.endswith(said)
    assert "\n" not in told


def test_what_music21_reads_on_behind_is_told() -> None:
    remarks = open_sketch(A_SPINE.replace(b"4a", b"\x01")).remarks
    assert remarks[-1] == (
        "music21 stumbled once over this Humdrum: a note may be missing or wrong; compare the "
        "score with the sketch"
    )


def test_without_music21_one_line_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(through_music21.importlib.util, "find_spec", lambda _: None)
    path = tmp_path / "ferry.abc"
    path.write_bytes(A_TUNE)
    with pytest.raises(Refused) as caught:
        expand(path, "Vn I")
    assert str(caught.value) == (
        f"{path}: this is ABC, which is read through music21, and that is not installed; "
        'install it with pip install "rewriter[formats]", or export the score as MusicXML'
    )
    assert expand(TUNE, "Vn I").score


def test_what_takes_too_long_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(through_music21, "_LONGEST_WAIT", 0.01)
    with pytest.raises(Refused) as caught:
        open_sketch(A_TUNE)
    assert str(caught.value) == (
        "sketch: this ABC takes more than 2 minutes or 2 GB of memory to read; split it into "
        f"movements, or {EXPORT}"
    )


@pytest.mark.parametrize("status", [child.TOO_MUCH, -9, -24, 1])
def test_an_end_that_is_not_its_own_is_one_line(
    monkeypatch: pytest.MonkeyPatch, status: int
) -> None:
    """As where the system ends the other process for want of memory or time."""
    monkeypatch.setattr(through_music21, "_START", f"import os; os.kill(os.getpid(), {-status})"
                        if status < 0 else f"import os; os._exit({status})")  # fmt: skip
    with pytest.raises(Refused, match="takes more than 2 minutes"):
        open_sketch(A_TUNE)


def test_the_command_refuses_with_status_2_and_writes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "ferry.mid"
    path.write_bytes(A_TRACK[:20])
    out = tmp_path / "out"
    ended = start(
        *(sys.executable, "-m", "rewriter", "expand", str(path), "--layout", "Vn I"),
        *("-o", str(out / "score.musicxml"), "--parts", str(out)),
    )
    assert ended.returncode == 2
    assert len(ended.stderr.decode().splitlines()) == 1
    assert [left.name for left in tmp_path.iterdir()] == ["ferry.mid"]


def test_a_sketch_in_musicxml_starts_nothing_of_it(tmp_path: Path) -> None:
    path = tmp_path / "tune.musicxml"
    path.write_bytes(TUNE)
    code = (
        "import sys, rewriter\n"
        "rewriter.expand(sys.argv[1], 'Vn I')\n"
        "print([one for one in ('music21', 'rewriter.foreign.converting', "
        "'rewriter.foreign.child') if one in sys.modules])"
    )
    assert start(sys.executable, "-c", code, str(path)).stdout == b"[]\n"
