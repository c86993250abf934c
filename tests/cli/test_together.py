"""Score, parts and report of one command appear together or not at all."""

import json
import os
import resource
import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from rewriter.musicxml.together import Together
from tests.cli.running import MadeUpVerb, Said, rewriter, verb, without_copies
from tests.shorthand import sketch

__all__ = ["rewriter", "verb"]

Command = Callable[..., Said]

QUAY = sketch("4/4 | C5h D5h | E5w |", tune="Melody")
ARGS = ("expand", "quay.musicxml", "--parts", "stands", "--report", "r.json")


def here() -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in Path().rglob("*") if path.is_file()}


@pytest.fixture
def old(rewriter: Command) -> dict[str, bytes]:
    """What an earlier run with another layout has left."""
    Path("quay.musicxml").write_bytes(QUAY)
    assert rewriter(*ARGS, "--layout", "Vn I / Vla").status == 0
    found = here()
    assert len(found) == 1 + 2 * (1 + 5) + 1
    return found


@pytest.mark.parametrize("room", [2000, 3500, 5000])
def test_on_a_full_disk_nothing_changes(
    old: dict[str, bytes], rewriter: Command, room: int
) -> None:
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (room, hard))
    try:
        said = rewriter(*ARGS, "--layout", "Vla / Vc")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert max(map(len, old.values())) > room
    assert (said.status, said.out, said.err.count("\n")) == (2, "", 1)
    assert ": the disk is full; make room, or write it " in said.err
    assert here() == old


@pytest.mark.parametrize("number", range(13))
def test_a_place_that_cannot_be_written_keeps_all_others_as_they_were(
    old: dict[str, bytes], rewriter: Command, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    replace = os.replace
    done: list[object] = []

    def failing(one: str, other: str) -> None:
        done.append(other)
        if len(done) == number + 1:
            raise PermissionError(13, "Permission denied")
        replace(one, other)

    with monkeypatch.context() as patched:
        patched.setattr(os, "replace", failing)
        said = rewriter(*ARGS, "--layout", "Vla / Vc")
    assert (said.status, said.out) == (2, "")
    assert said.err.endswith(": this place may not be written; name another file with -o\n")
    assert here() == old
    assert rewriter(*ARGS, "--layout", "Vla / Vc").err == ""
    assert here().keys() == old.keys()
    assert here() != old


@pytest.mark.parametrize("number", range(1, 13))
def test_the_next_run_completes_what_a_killed_one_has_begun_and_says_so(
    old: dict[str, bytes], rewriter: Command, number: int
) -> None:
    rewriter(*ARGS, "--layout", "Vla / Vc")
    new = here()
    for name, data in old.items():
        Path(name).write_bytes(data)
    child = os.fork()
    if child == 0:
        _kill_itself_at_replacing(number)
        rewriter(*ARGS, "--layout", "Vla / Vc")
        os._exit(0)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL
    seen = {name: data for name, data in here().items() if ".rewriter-" not in name}
    assert seen not in (old, new)
    said = rewriter("expand", "none.musicxml", "--layout", "Vn I")
    assert said.err.splitlines() == [
        f"{Path.cwd()}: an earlier run was stopped while it wrote "
        "quay-Double-Basses.musicxml, quay-Violas.musicxml, quay-Violins-I.musicxml, "
        "quay-Violins-II.musicxml, quay-Violoncellos.musicxml, quay-strings.musicxml, r.json; "
        "its files are now in place",
        "none.musicxml: there is no such file; look at its name and folder",
    ]
    assert here() == new


def _kill_itself_at_replacing(number: int) -> None:
    replace, left = os.replace, [number]

    def killing(one: str, other: str) -> None:
        if not left[0]:
            os.kill(os.getpid(), signal.SIGKILL)
        left[0] -= 1
        replace(one, other)

    os.replace = killing  # type: ignore[assignment]  # in the child alone


def test_the_parts_of_a_score_too(old: dict[str, bytes], rewriter: Command) -> None:
    Path("quay-Violas.musicxml").write_bytes(b"")
    child = os.fork()
    if child == 0:
        with Together([Path("stands")]) as together:
            together.run.stage(b"half", Path("stands/quay-Violas.musicxml"))
            os.kill(os.getpid(), signal.SIGKILL)
    os.waitpid(child, 0)
    said = rewriter("parts", "quay-strings.musicxml", "--out-dir", "stands")
    assert said.err == (
        f"{Path('stands').resolve()}: an earlier run was stopped while it wrote; "
        "nothing of it had appeared, its leavings are gone\n"
    )
    assert here() == {**old, "quay-Violas.musicxml": b""}


@pytest.mark.usefixtures("verb")
def test_one_that_dies_refuses_one_sketch_of_many(
    rewriter: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    def dying(self: MadeUpVerb, sketch: Path, layout: str = "", **settings: object) -> object:
        if sketch.name.startswith("dead"):
            os.kill(os.getpid(), signal.SIGKILL)
        return made(self, sketch, layout, **settings)

    made = MadeUpVerb.__call__
    monkeypatch.setattr(MadeUpVerb, "__call__", dying)
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1})
    names = ["a.xml", "dead.xml", "b.xml", "c.xml", "d.xml"]
    said = rewriter("expand", *names, "--layout", "Vn I", "--report", "r.json")
    assert said.status == 2
    assert said.err == (
        "dead.xml: the system stopped the work, perhaps for want of memory; try it alone\n"
    )
    assert said.out.endswith("\n5 sketches: 4 written, 1 refused; no findings\n")
    report = json.loads(Path("r.json").read_bytes())
    assert [one["sketch"] for one in report["refused"]] == ["dead.xml"]
    assert sorted(without_copies(here())) == [
        *(f"{name}-strings.musicxml" for name in "abcd"),
        "r.json",
    ]


@pytest.mark.usefixtures("verb")
def test_one_that_finds_no_memory_is_refused(
    rewriter: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise MemoryError

    monkeypatch.setattr(MadeUpVerb, "__call__", full)
    assert rewriter("expand", "a.xml", "--layout", "Vn I") == (
        2,
        "",
        "a.xml: this takes more memory than there is; take fewer bars at a time\n",
    )
    assert here() == {}
