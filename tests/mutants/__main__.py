"""Do the tests bite? Small wrong changes, one at a time: ``python -m tests.mutants``.

Each is made in a copy, and the tests that reach its line are run there until one fails; then
the examples in its module's docstrings, and last the property tests. What none of them
notices is listed: a test is missing, or the change makes no difference.
"""

import argparse
import os
import random
import resource
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from tests.mutants.mutating import Mutant, mutants
from tests.mutants.reaching import reached

ROOT = Path(__file__).parents[2]
ROOMS = ("theory", "placing", "sketch", "notating", "scores")
KEPT = ROOT / ".mutants" / "reached.json"
MEMORY = 6 << 30
"""Bytes: a change may make a list grow without end."""

PATIENCE = 900.0
"""Seconds that docstrings and property tests may take."""

NOT_COPIED = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache", ".mutants")


def sampled(root: Path, rooms: Sequence[str], number: int, seed: int) -> list[Mutant]:
    """Changes drawn from all that the rooms allow; the first of a larger draw are the same."""
    paths = [path for room in rooms for path in sorted((root / "rewriter" / room).glob("*.py"))]
    every = [
        one for path in paths for one in mutants(path.relative_to(root), path.read_bytes())
    ]
    random.Random(seed).shuffle(every)  # noqa: S311
    return every[:number]


def noticed(mutant: Mutant, copied: Path, tests: Sequence[str], limit: float) -> bool:
    """Whether one of the tests fails, or hangs, with the change made in the copy.

    Args:
        mutant: the change.
        copied: a copy of the work tree; as it was when this returns.
        tests: what to run.
        limit: seconds that they may take.
    """
    if not tests:
        return False
    path = copied / mutant.path
    source = path.read_bytes()
    for compiled in (path.parent / "__pycache__").glob(f"{path.stem}.*"):
        compiled.unlink()
    asked = copied / ".asked"
    asked.write_text("\n".join(tests), encoding="utf-8")
    path.write_bytes(mutant.applied(source))
    try:
        done = subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", "@.asked"],
            cwd=copied,
            # What is compiled of a changed module must not outlive it.
            env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
            timeout=limit,
            capture_output=True,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return True
    finally:
        path.write_bytes(source)
    return done.returncode != 0


def doctests(module: Path, copied: Path) -> list[str]:
    """The module itself, if its docstrings have examples."""
    return [module.as_posix()] if ">>> " in (copied / module).read_text("utf-8") else []


def main() -> int:
    """Draw, try, and tell; the status is 0 when at least nine of ten were noticed."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutants", description=__doc__)
    parser.add_argument("rooms", nargs="*", help=f"of {', '.join(ROOMS)}; all by default")
    parser.add_argument("--number", type=int, default=400, help="how many changes (400)")
    parser.add_argument("--skip", type=int, default=0, help="leave out the first ones (0)")
    parser.add_argument("--seed", type=int, default=1, help="another draw (1)")
    wanted = parser.parse_args()
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    with tempfile.TemporaryDirectory() as place:
        copied = Path(place).resolve() / "copy"
        shutil.copytree(ROOT, copied, ignore=NOT_COPIED)
        known = reached(copied, KEPT)
        drawn = sampled(ROOT, wanted.rooms or ROOMS, wanted.number, wanted.seed)[wanted.skip :]
        survived = 0
        for mutant in drawn:
            tests = known.tests(mutant.path.as_posix(), mutant.line)
            limit = 30 + 3 * sum(known.seconds[test] for test in tests)
            further = (doctests(mutant.path, copied), ["tests/property"])
            if not noticed(mutant, copied, tests, limit) and not any(
                noticed(mutant, copied, these, PATIENCE) for these in further
            ):
                survived += 1
                said = mutant.seen((ROOT / mutant.path).read_bytes())
                none = "" if tests else "; no test comes here"
                sys.stdout.write(f"{mutant.path}:{mutant.line}: {mutant.kind}{none}: {said}\n")
                sys.stdout.flush()
    sys.stdout.write(f"{len(drawn) - survived} of {len(drawn)} noticed\n")
    return 0 if 10 * survived <= len(drawn) else 1


if __name__ == "__main__":
    sys.exit(main())
