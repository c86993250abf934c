import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import click
import pytest

import rewriter as package
from rewriter.cli import main
from tests.cli.running import Said, rewriter, start

__all__ = ["rewriter"]

Command = Callable[..., Said]

HEAVY = ("music21", "rich", "importlib.metadata", "lxml", "multiprocessing")


def python(*args: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """A fresh interpreter."""
    return start(sys.executable, *args, **environment)


@pytest.mark.parametrize("args", [(), ("--help",), ("expand", "--help"), ("rules", "--help")])
def test_starting_up_imports_nothing_heavy(args: tuple[str, ...]) -> None:
    code = (
        "import sys; from rewriter.cli.main import run\n"
        f"status = run({list(args)!r})\n"
        f"print(status, [name for name in {HEAVY!r} if name in sys.modules])"
    )
    assert python("-c", code).stdout.decode().splitlines()[-1] == "0 []"


def test_the_installed_command_and_the_module_are_the_same() -> None:
    installed = shutil.which("rewriter", path=str(Path(sys.executable).parent))
    assert installed
    one = start(installed, "--version")
    other = python("-m", "rewriter", "--version")
    assert one.stdout == other.stdout == f"rewriter {package.__version__}\n".encode()
    assert one.returncode == other.returncode == 0


def test_a_usage_error_ends_the_process_with_status_2() -> None:
    ended = python("-m", "rewriter", "expnd")
    assert (ended.returncode, ended.stdout) == (2, b"")
    assert ended.stderr == b'rewriter: there is no command "expnd"; did you mean expand?\n'


def test_a_missing_sketch_ends_the_process_with_status_2(tmp_path: Path) -> None:
    sketch = tmp_path / "away.xml"
    ended = python("-m", "rewriter", "expand", str(sketch), "--layout", "Vn I")
    assert (ended.returncode, ended.stdout) == (2, b"")
    assert ended.stderr.startswith(f"{sketch}: ".encode())
    assert ended.stderr.count(b"\n") == 1


@pytest.mark.parametrize(
    ("args", "line"),
    [
        (["--hlep"], "rewriter: there is no option --hlep; did you mean --help?"),
        (["zzz"], 'rewriter: there is no command "zzz"; see rewriter --help'),
        (
            ["completion"],
            "rewriter completion: bash|zsh|fish is missing; see rewriter completion --help",
        ),
        (
            ["completion", "bsh"],
            'rewriter completion: bash|zsh|fish: "bsh" is none of bash, zsh, fish; '
            "did you mean bash?",
        ),
        (
            ["completion", "bash", "zsh"],
            "rewriter completion: got unexpected extra argument (zsh); "
            "see rewriter completion --help",
        ),
    ],
)
def test_usage_errors_are_one_line(rewriter: Command, args: list[str], line: str) -> None:
    assert rewriter(*args) == (2, "", f"{line}\n")


def test_alone_it_shows_its_help(rewriter: Command) -> None:
    alone = rewriter()
    assert alone == rewriter("--help") == rewriter("-h")
    assert alone.out.isascii()


@pytest.mark.parametrize("name", sorted(main.COMMANDS))
def test_every_help_fits_a_usual_terminal(
    rewriter: Command, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    said = rewriter(name, "--help")
    assert said.out.isascii()
    assert max(len(line) for line in said.out.splitlines()) <= 80


def test_a_full_disk_behind_stdout_is_one_line() -> None:
    code = "import sys; from rewriter.cli.main import run; sys.exit(run(['completion', 'zsh']))"
    with Path("/dev/full").open("wb") as full:
        ended = start(sys.executable, "-c", code, stdout=full)
    assert (ended.returncode, ended.stderr) == (2, b"rewriter: No space left on device\n")


@pytest.mark.parametrize("args", ["completion zsh", "--help", "rules"])
def test_a_reader_that_has_gone_is_no_fault(args: str) -> None:
    shell = f"set -o pipefail; {sys.executable} -m rewriter {args} | true"
    ended = start("bash", "-c", shell)
    assert (ended.returncode, ended.stderr) == (0, b"")


def test_whoever_looks_on_has_the_last_word() -> None:
    ended = python("-m", "cProfile", "-m", "rewriter", "rules")
    assert ended.returncode == 0
    assert b"function calls" in ended.stdout


def test_a_long_output_is_all_there_when_the_process_ends() -> None:
    ended = python("-m", "rewriter", "rules", "ensembles", "symphonic")
    direct = python(
        "-c", "from rewriter.cli.main import run; run(['rules', 'ensembles', 'symphonic'])"
    )
    assert len(ended.stdout) > 4096  # more than one write of a buffer
    assert (ended.stdout, ended.returncode) == (direct.stdout, direct.returncode)


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_scripts_call_the_command(rewriter: Command, shell: str) -> None:
    said = rewriter("completion", shell)
    assert (said.status, said.err) == (0, "")
    assert f"_REWRITER_COMPLETE={shell}_complete" in said.out


def test_the_shell_is_given_options() -> None:
    ended = python(
        *("-m", "rewriter"),
        _REWRITER_COMPLETE="bash_complete",
        COMP_WORDS="rewriter expand --keep",
        COMP_CWORD="2",
    )
    assert ended.stdout.decode().split() == [
        "plain,--keep-sketch",
        "plain,--keep-lyrics",
        "plain,--keep-harmony",
    ]


def test_a_fault_of_the_tool_keeps_its_traceback(
    rewriter: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    @click.command()
    def broken() -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("rewriter.cli.rules.command", broken)
    with pytest.raises(ZeroDivisionError):
        rewriter("rules")
