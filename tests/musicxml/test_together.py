"""Files of one run appear together or not at all, whatever stops it and wherever."""

import errno
import os
import resource
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest

from rewriter.musicxml.stopped_runs import Journal, settle
from rewriter.musicxml.together import Change, Together, digest_of
from rewriter.problems import Refused
from tests.musicxml.writing_together import NEW, OLD, write

SCRIPT = """\
import os, signal, sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from tests.musicxml.writing_together import write
left = int(sys.argv[2])
def kill(event, args):
    global left
    if event in ("open", "os.rename", "os.link", "os.remove", "fcntl.flock", "os.chmod"):
        left -= 1
        if left < 0:
            os.kill(os.getpid(), signal.SIGKILL)
sys.addaudithook(kill)
write()
"""
"""Writes, and kills itself before the step of that number that touches the file system."""


def here() -> dict[str, bytes]:
    """All files, hidden ones too."""
    return {str(path): path.read_bytes() for path in Path().rglob("*") if path.is_file()}


@pytest.fixture
def old(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The folder as an earlier run has left it."""
    monkeypatch.chdir(tmp_path)
    for name, data in OLD.items():
        Path(name).parent.mkdir(exist_ok=True)
        Path(name).write_bytes(data)
    yield
    resource.setrlimit(
        resource.RLIMIT_FSIZE,
        (resource.RLIM_INFINITY, resource.getrlimit(resource.RLIMIT_FSIZE)[1]),
    )


def killed(at: int) -> int:
    """The status of a run that is killed before that step."""
    ended = subprocess.run(  # noqa: S603 - the tests' own script
        [sys.executable, "-c", SCRIPT, str(Path(__file__).parents[2]), str(at)],
        capture_output=True,
        check=False,
        timeout=60,
    )
    assert ended.stderr == b""
    return ended.returncode


def reset() -> None:
    for path in Path().rglob("*"):
        if path.is_file():
            path.unlink()
    for name, data in OLD.items():
        Path(name).write_bytes(data)


@pytest.mark.usefixtures("old")
def test_all_appear_and_nothing_else() -> None:
    write()
    assert here() == NEW
    assert settle([Path("out"), Path("stands"), Path()]) == []


@pytest.mark.usefixtures("old")
def test_a_run_killed_at_any_step_is_completed_or_undone_by_the_next() -> None:
    folders = [Path("out"), Path("stands"), Path()]
    seen = set()
    for step in range(200):
        reset()
        status = killed(step)
        if status == 0:
            break
        assert status == -signal.SIGKILL
        between = {name: data for name, data in here().items() if ".rewriter-" not in name}
        folders = folders[1:] + folders[:1]  # the journal is found from any of them
        said = settle(folders)
        after = here()
        assert after in (OLD, NEW), step
        if between not in (OLD, NEW):  # between renames: found, and said
            assert len(said) == 1, step
            assert "an earlier run was stopped while it wrote" in said[0]
            assert after == NEW
        seen.add((between in (OLD, NEW), after == NEW))
        assert settle(folders) == []
    else:
        pytest.fail("it never came to its end")
    assert seen == {(True, False), (True, True), (False, True)}


@pytest.mark.usefixtures("old")
@pytest.mark.parametrize(
    "step", ["open", "fsync", "chmod", "link", "write", "replace", "unlink"]
)
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EACCES, errno.EIO])
def test_a_step_that_fails_leaves_all_as_it_was(
    step: str, number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = getattr(os, step)
    for at in range(50):
        reset()
        steps = 0

        def failing(*args: object, at: int = at, **named: object) -> object:
            nonlocal steps
            steps += 1
            if steps == at + 1:
                raise OSError(number, os.strerror(number))
            return real(*args, **named)

        with monkeypatch.context() as patched:
            patched.setattr(os, step, failing)
            try:
                write()
            except (OSError, Refused):
                assert here() == OLD, at
            else:
                assert {name: here()[name] for name in NEW} == NEW
        if steps <= at:
            break
    else:
        pytest.fail("it never came to its end")


@pytest.mark.usefixtures("old")
def test_a_disk_that_is_full_for_one_of_them_is_full_for_all() -> None:
    most = len(NEW["stands/b.musicxml"])
    hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, hard))  # the score is longer
    with pytest.raises(OSError, match="File too large"):
        write()
    resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))
    assert here() == OLD


@pytest.mark.usefixtures("old")
def test_what_somebody_has_changed_since_stays() -> None:
    for step in range(15, 200):
        reset()
        assert killed(step) != 0
        if any(name.endswith(".old") for name in here()) and Path("r.json").exists():
            break  # the last file is in place; the removal is not
    Path("gone.xml").write_bytes(b"mine")
    (said,) = settle([Path()])
    assert said.endswith(
        f"; its files are now in place; {Path.cwd() / 'gone.xml'} was changed since and stays"
    )
    assert here() == {**NEW, "gone.xml": b"mine"}


@pytest.mark.usefixtures("old")
def test_a_file_that_changes_while_the_run_is_at_work_stops_it() -> None:
    with Together([Path("out")]) as together:
        change = together.run.stage(b"new score", Path("out/a.musicxml"))
        Path("out/a.musicxml").write_bytes(b"mine")
        with pytest.raises(Refused) as refused:
            together.put_in_place([change])
    assert str(refused.value) == (
        "out/a.musicxml: this place cannot be written (somebody has changed it meanwhile); "
        "name another file with -o"
    )
    assert here() == {**OLD, "out/a.musicxml": b"mine"}


@pytest.mark.usefixtures("old")
def test_a_run_at_work_is_left_alone() -> None:
    folders = [Path("out"), Path("stands")]
    with Together(folders) as together:
        changes = [
            together.run.stage(NEW[name], Path(name))
            for name in ("out/a.musicxml", "stands/b.musicxml")
        ]
        before = here()
        assert settle(folders) == []
        assert here() == before
        together.put_in_place(changes)
    assert here() == {**OLD, **{name: NEW[name] for name in OLD if name in NEW}}


@pytest.mark.usefixtures("old")
def test_a_journal_of_somebody_else_reaches_no_other_folder() -> None:
    Path("theirs").mkdir()
    name = ".rewriter-0123456789ab"
    Path(f"theirs/{name}-x.new").write_bytes(b"theirs")
    change = Change(
        named=b"x",
        target=os.fsencode(Path("out/a.musicxml").resolve()),
        new=b"../theirs/" + f"{name}-x.new".encode(),
        old=f"{name}-x.old".encode(),
        was=digest_of(Path("out/a.musicxml")),
        becomes=digest_of(Path(f"theirs/{name}-x.new")),
    )
    journal = msgspec.json.encode(Journal(changes=[change]))
    Path(f"theirs/{name}.run").write_bytes(journal)
    (said,) = settle([Path("theirs")])
    assert said.endswith("nothing of it had appeared, its leavings are gone")
    assert here() == OLD


@pytest.mark.usefixtures("old")
def test_folders_that_were_made_for_nothing_are_gone() -> None:
    with Together([Path("new/deep")], make=[Path("new/deep")]) as together:
        together.run.stage(b"x", Path("new/deep/a.xml"))
    assert not Path("new").exists()
    assert here() == OLD
