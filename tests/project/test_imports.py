"""The contracts on imports hold, so that the tests alone guard how the rooms are cut."""

import os
import subprocess
import sys
from pathlib import Path

from tests.project.readme import ROOT


def test_imports_go_down_only(tmp_path: Path) -> None:
    """Source: import-linter, over the contracts in pyproject.toml."""
    command = Path(sys.executable).parent / "lint-imports"
    ended = subprocess.run(  # noqa: S603 - a tool of the project
        [str(command), "--cache-dir", str(tmp_path)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        env={**os.environ, "COLUMNS": "100"},
        check=False,
        timeout=120,
    )
    assert ended.returncode == 0, ended.stdout + ended.stderr
    assert " 0 broken" in ended.stdout
