"""The wheel as users install it: what is shipped is found without the checkout beside it."""

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.project.readme import ROOT

OFFLINE = (
    "No matching distribution found for hatchling",
    "Temporary failure in name resolution",
)
LIST = (
    "import rewriter; print(rewriter.__file__);"
    "files = [e for e in rewriter.rules().entries if not e.severity];"
    "print(*sorted(f'{e.kind}/{e.name}.toml' for e in files), sep='\\n')"
)


def pip(*args: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # noqa: S603 - pip of this environment
        [sys.executable, "-m", "pip", "--disable-pip-version-check", *args],
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built by hatchling from the index; without the index there is none."""
    folder = tmp_path_factory.mktemp("wheel")
    built = pip("wheel", "--no-deps", "--quiet", "--wheel-dir", str(folder), str(ROOT))
    if built.returncode and any(sign in built.stderr for sign in OFFLINE):
        pytest.skip("hatchling: the package index cannot be reached")
    assert built.returncode == 0, built.stderr
    return next(folder.glob("rewriter-*.whl"))


def test_the_wheel_has_every_rule_file_and_nothing_of_the_tests(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    rules = {path.relative_to(ROOT / "rules") for path in (ROOT / "rules").rglob("*.*")}
    assert {name for name in names if name.startswith("rewriter/rules/")} == {
        f"rewriter/rules/{path.as_posix()}" for path in rules
    }
    assert {name.split("/")[0] for name in names if ".dist-info/" not in name} == {"rewriter"}


def test_the_installed_package_finds_its_rules(wheel: Path, tmp_path: Path) -> None:
    target = tmp_path / "installed"
    installed = pip("install", "--no-deps", "--quiet", "--target", str(target), str(wheel))
    assert installed.returncode == 0, installed.stderr
    code = f"import sys; sys.path.insert(0, {str(target)!r}); {LIST}"
    ended = subprocess.run(  # noqa: S603 - this interpreter
        [sys.executable, "-c", code],
        cwd=tmp_path, capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert ended.returncode == 0, ended.stderr
    where, *listed = ended.stdout.splitlines()
    assert where.startswith(str(target))
    shipped = [
        path
        for kind in ("ensembles", "house", "layouts", "plans")
        for path in (ROOT / "rules" / kind).glob("*.toml")
    ]
    assert listed == sorted(f"{path.parent.name}/{path.name}" for path in shipped)
