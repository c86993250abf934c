"""One sketch, a change of it, many edits: merged, and held against the truth."""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING, NamedTuple

from lxml import etree

import rewriter
from rewriter.problems import Refused
from tests.corpus.trying import pieces
from tests.outside.reference import score_root
from tests.regenerating.edits import HANDS, worked_on
from tests.regenerating.saving import saved_again
from tests.regenerating.sources import SOURCES, changed
from tests.regenerating.truth import Case, Tried, tried

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

LAYOUTS = (
    "Vn I / Vn II + Vla / Vc",
    "Vn I / Vla / half Vc",
    "Vn I 8va / Vn II / Vc",
    "Vn I / Vc / Db",
)
KEYS = ("up M2", "down m3", "up P4")
MANY = 20
FEWEST = 12
"""Bars of a sketch worth it."""

CHANGES: dict[str, tuple[str, ...]] = {
    **{name: (name,) for name in SOURCES},
    "bars and notes": ("bars", "alter notes"),
    "another layout": ("nothing",),
    "another key": ("nothing",),
    "another ensemble": ("nothing",),
    "all at once": ("bars", "alter notes", "change dynamics"),
}
"""Kinds of changes, and what is done to the sketch; ``bars`` is one of three."""


class Change(NamedTuple):
    """How the score is made before and after."""

    sketch: bytes
    kind: str
    seed: int


def case_of(change: Change, edits: list[str] | None = None) -> Case | None:
    """A merge with all that is known about it; None where nothing can be changed so.

    Args:
        change: of the sketch.
        edits: of the hand; many of any kind where not given.
    """
    rng = Random(change.seed)  # noqa: S311 - music, not secrets
    names = [
        rng.choice(("insert bars", "delete bars", "repeat bars")) if name == "bars" else name
        for name in CHANGES[change.kind]
    ]
    now = changed(change.sketch, names, change.seed)
    if now is None:
        return None
    layout = rng.choice(LAYOUTS[:2])
    other, by, ensemble = layout, "", "symphonic"
    if change.kind in {"another layout", "all at once"}:
        other = rng.choice(LAYOUTS[2:])
    if change.kind in {"another key", "all at once"} or rng.random() < 0.25:
        by = rng.choice(KEYS)
    if change.kind == "another ensemble":
        ensemble = "studio"
    base = rewriter.expand(change.sketch, layout).score
    new = rewriter.expand(now.data, other, by=by, ensemble=ensemble).score
    if edits is None:
        edits = [rng.choice(sorted(HANDS)) for _ in range(MANY)]
    hand = worked_on(base, edits, change.seed, marks=True)
    saved = saved_again(hand, change.seed) if rng.random() < 0.5 else hand
    return Case(base, hand, saved, new, now.was)


def outcome(change: Change) -> Tried | None:
    """What comes of it; None where there is nothing to try."""
    try:
        case = case_of(change)
    except Refused:  # this sketch, or what became of it, is no sketch
        return None
    return tried(case) if case else None


def first_violins(most: int = 200) -> Iterator[bytes]:
    """First violin parts of music21's corpus as sketches, then other top parts."""
    found = 0
    for wanted in (True, False):
        for path in pieces():
            if found == most:
                return
            data = _top_part(path, violin=wanted)
            if data:
                found += 1
                yield data


def _top_part(path: Path, *, violin: bool) -> bytes:
    root = score_root(path.read_bytes())
    parts = root.findall("part")
    name = (root.findtext("part-list/score-part/part-name") or "").lower()
    is_violin = "viol" in name and "viola" not in name
    if is_violin != violin or not parts or len(parts[0]) < FEWEST:
        return b""
    if any(int(one.text or 1) > 1 for one in parts[0].iter("staves")):
        return b""
    for part in parts[1:]:
        root.remove(part)
    listed = root.find("part-list")
    for entry in list(listed):  # type: ignore[arg-type]
        if entry.tag == "part-group" or entry.get("id") not in {None, parts[0].get("id")}:
            listed.remove(entry)  # type: ignore[union-attr]
    return etree.tostring(root)
