"""The mutator changes what it says, and what it plants is caught."""

import shutil
from pathlib import Path

from tests.mutants.__main__ import NOT_COPIED, ROOT, noticed, sampled
from tests.mutants.mutating import mutants

SOURCE = b'''"""Not 1."""
LIMIT = 3


def f(a: int = 5) -> int:
    """Not 2."""
    if not a < 1 and a:
        g("no")
    return a + 2
'''


def test_every_change_is_the_one_it_says() -> None:
    found = [(one.line, one.kind, one.seen(SOURCE)) for one in mutants(Path("m.py"), SOURCE)]
    assert found == [
        (7, "and, or", "if (not a < 1 or a):"),
        (7, "boundary", "if not (a <= 1) and a:"),
        (7, "constant", "if not a < 0 and a:"),
        (7, "constant", "if not a < 2 and a:"),
        (7, "negation", "if not (a >= 1) and a:"),
        (7, "not", "if (a < 1) and a:"),
        (8, "early return", "return"),
        (8, "removed", "pass"),
        (9, "arithmetic", "return (a - 2)"),
        (9, "constant", "return a + 1"),
        (9, "constant", "return a + 3"),
        (9, "return", "return None"),
    ]


def test_only_the_change_is_in_the_changed_module() -> None:
    for one in mutants(Path("m.py"), SOURCE):
        before, changed = SOURCE.splitlines(), one.applied(SOURCE).splitlines()
        differing = [n for n, pair in enumerate(zip(before, changed, strict=True), 1)
                     if pair[0] != pair[1]]  # fmt: skip
        assert differing == [one.line]


def test_a_draw_is_the_same_every_time_and_the_beginning_of_a_larger_one() -> None:
    small = sampled(ROOT, ("theory",), 5, 1)
    assert small == sampled(ROOT, ("theory",), 20, 1)[:5]
    assert small != sampled(ROOT, ("theory",), 5, 2)


def test_a_planted_change_is_caught_and_taken_out_again(tmp_path: Path) -> None:
    for name in ("rewriter", "tests/theory"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=NOT_COPIED)
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    path = Path("rewriter/theory/pitch.py")
    before = (tmp_path / path).read_bytes()
    wrong = next(one for one in mutants(path, before) if one.kind == "return")
    tests = ["tests/theory/test_pitch.py"]
    assert noticed(wrong, tmp_path, tests, 60)
    assert (tmp_path / path).read_bytes() == before
    same = wrong._replace(text=before[wrong.start : wrong.end].decode())
    assert not noticed(same, tmp_path, tests, 60)
