"""DEVELOPERS.md is true: every module is in it, and what it names is there."""

import re

from tests.project.readme import ROOT

TEXT = (ROOT / "DEVELOPERS.md").read_text("utf-8")
ROOMS = sorted(
    path.name for path in (ROOT / "rewriter").iterdir() if (path / "__init__.py").exists()
)


def told_of(room: str) -> str:
    """What the map says of a room: from its heading to the next."""
    return TEXT.partition(f"**`rewriter/{room}/`**")[2].partition("\n**")[0]


def test_every_room_is_on_the_map_in_the_order_of_the_imports() -> None:
    told = re.findall(r"^\*\*`rewriter/(\w+)/`\*\*", TEXT, re.MULTILINE)
    assert sorted(told) == ROOMS
    layers = re.search(
        r"^layers = (\[.*\])$", (ROOT / "pyproject.toml").read_text(), re.MULTILINE
    )
    assert layers
    order = re.findall(r"\w+", layers[1])
    assert told == [room for room in order if room in told]


def test_every_module_is_on_the_map_and_nothing_else() -> None:
    for room in ROOMS:
        files = (ROOT / "rewriter" / room).rglob("*.py")
        modules = {path.stem for path in files if path.parent.name != "rules"} - {"__init__"}
        told = set(re.findall(r"`(\w+)`", told_of(room))) & {*modules, *_words(room)}
        assert told == modules, (room, told ^ modules)


def _words(room: str) -> set[str]:
    """Names on the map that are no room's: what the map says of something else."""
    return {name for name in re.findall(r"`(\w+)`", told_of(room)) if name not in ROOMS}


def test_every_path_it_names_is_there() -> None:
    paths = set(re.findall(r"`((?:rules|tests|scores|rewriter|\.ci)/[\w./-]*)`", TEXT))
    paths |= {f"rewriter/{path}" for path in re.findall(r"`((?:[a-z]+)/\w+\.py)`", TEXT)}
    paths = {
        path for path in paths if "NAME" not in path and not path.startswith("rewriter/rules")
    }
    assert len(paths) > 20
    assert [path for path in sorted(paths) if not _exists(path)] == []


def _exists(path: str) -> bool:
    return (ROOT / path).exists() or (ROOT / path.removeprefix("rewriter/")).exists()
