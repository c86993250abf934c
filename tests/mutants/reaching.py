"""Which tests reach which line: one run under coverage, kept until a source changes."""

import hashlib
import json
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree

from coverage import CoverageData

LEFT_OUT = ("property", "corpus", "outside", "project", "bench", "mutants")
"""Folders of tests that are slow, or look at the repository rather than at music."""

SETTINGS = """[run]
source = rewriter
dynamic_context = test_function
data_file = reached
"""


class Reached(NamedTuple):
    """By module and line the tests that come there; by test its seconds, all its cases."""

    lines: dict[str, dict[str, list[str]]]
    seconds: dict[str, float]

    def tests(self, module: str, line: int) -> list[str]:
        """Tests that reach a line: its own room's first, and the quick before the slow."""
        own = f"tests/{Path(module).parent.name}/"
        found = self.lines.get(module, {}).get(str(line), [])
        return sorted(found, key=lambda test: (not test.startswith(own), self.seconds[test]))


def reached(copied: Path, kept: Path) -> Reached:
    """What was recorded of just these sources, or a new recording.

    Args:
        copied: a copy of the work tree, in which the tests are run.
        kept: file of the recording.
    """
    digest = _digest(copied)
    if kept.exists():
        told = json.loads(kept.read_text("utf-8"))
        if told["digest"] == digest:
            return Reached(told["lines"], told["seconds"])
    found = _recorded(copied)
    kept.parent.mkdir(exist_ok=True)
    kept.write_text(json.dumps({"digest": digest, **found._asdict()}), encoding="utf-8")
    return found


def _digest(copied: Path) -> str:
    digest = hashlib.sha256()
    for folder in ("rewriter", "rules", "tests"):
        for path in sorted((copied / folder).rglob("*")):
            if path.suffix in {".py", ".toml"} and "tests/mutants/" not in path.as_posix():
                digest.update(path.read_bytes())
    return digest.hexdigest()


def _recorded(copied: Path) -> Reached:
    with tempfile.TemporaryDirectory() as place:
        settings, times = Path(place, "settings"), Path(place, "times.xml")
        settings.write_text(SETTINGS.replace("reached", f"{place}/reached"), encoding="utf-8")
        done = subprocess.run(  # noqa: S603
            [sys.executable, "-m", "coverage", "run", f"--rcfile={settings}", "-m", "pytest",
             "-q", "tests", "-p", "no:cacheprovider", f"--junitxml={times}",
             *(f"--ignore=tests/{name}" for name in LEFT_OUT)],
            cwd=copied,
            check=False,
        )  # fmt: skip
        if done.returncode not in {0, 1}:
            done.check_returncode()
        seconds: dict[str, float] = {}
        failing = set()
        for case in ElementTree.parse(times).iter("testcase"):  # noqa: S314
            name = _node(f"{case.get('classname')}.{str(case.get('name')).partition('[')[0]}")
            seconds[name] = seconds.get(name, 0.0) + float(case.get("time", 0))
            if case.find("failure") is not None or case.find("error") is not None:
                failing.add(name)
        for name in failing:  # they would notice anything
            del seconds[name]
        data = CoverageData(f"{place}/reached")
        data.read()
        lines = {
            Path(module).relative_to(copied).as_posix(): {
                str(line): sorted({_node(name) for name in names if name} & seconds.keys())
                for line, names in data.contexts_by_lineno(module).items()
            }
            for module in data.measured_files()
        }
    return Reached(lines, seconds)


def _node(name: str) -> str:
    """A test as pytest is told of it, from its dotted name."""
    module, _, function = name.rpartition(".")
    return f"{module.replace('.', '/')}.py::{function}"
