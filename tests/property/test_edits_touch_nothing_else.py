"""Edits of bars leave every other byte of a file as it was, whatever the file looks like."""

import io
import random
import re
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rewriter.editing.edits import Edit, InBar, Inserted, Refilled, Removed, Replaced, edited
from rewriter.scores.score import read_score
from tests.property.untidy import Bar, untidy

NEW = "<direction><direction-type><words>höher €</words></direction-type></direction>"


def asked(bar: Bar, where: InBar, rng: random.Random) -> tuple[list[Edit], Bar]:
    """Edits of a bar, and the bar they should make."""
    children = list(bar.children)
    if rng.random() < 0.15:
        return [Refilled(where, NEW.encode())], bar._replace(children=[], last_gap=NEW)
    edits: list[Edit] = []
    made = []
    for index, (before, child) in enumerate(children):
        gap = before
        space = re.search(r"\s*\Z", gap)[0]
        choice = rng.choice(("", "", "replace", "remove", "insert", "both"))
        if choice in {"insert", "both"}:
            edits.append(Inserted(where, index, NEW.encode()))
            made.append((gap, NEW))
            gap = space
        if choice in {"replace", "both"}:
            edits.append(Replaced(where, index, NEW.encode()))
            made.append((gap, NEW))
        elif choice == "remove":
            edits.append(Removed(where, index))
            made.append((gap[: len(gap) - len(space)], ""))
        else:
            made.append((gap, child))
    last_gap = bar.last_gap
    if rng.random() < 0.3:
        edits.append(Inserted(where, len(children), NEW.encode()))
        if children:
            made.append((re.search(r"\s*\Z", children[-1][0])[0], NEW))
        else:
            last_gap += NEW
    rng.shuffle(edits)
    return edits, bar._replace(children=made, last_gap=last_gap)


@given(st.integers(0, 10**6))
def test_only_the_edited_children_differ(seed: int) -> None:
    score = untidy(seed)
    rng = random.Random(seed)  # noqa: S311 - edits, not secrets
    edits: list[Edit] = []
    bars = []
    for place, bar, after in score.bars:
        more, made = asked(bar, InBar(*place), rng) if rng.random() < 0.6 else ([], bar)
        edits += more
        bars.append((place, made, after))
    wanted = score._replace(bars=bars)
    if score.encoding == "iso-8859-1":
        bars = [
            (place, Bar(*_without_euro(bar)), after.replace("€", "&#8364;"))
            for place, bar, after in bars
        ]
        wanted = score._replace(bars=bars)
    data = edited(read_score(score.file()), edits)
    if not score.zipped:
        assert data == wanted.plain()
        return
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert archive.read("Träume.xml") == wanted.plain()
        assert archive.namelist()[:3] == ["mimetype", "META-INF/container.xml", "bild.png"]
        assert archive.read("bild.png") == b"\x89PNG" + bytes(300)
        assert archive.comment == b"kept"
        assert archive.getinfo("mimetype").compress_type == zipfile.ZIP_STORED


def _without_euro(bar: Bar) -> tuple[str, list[tuple[str, str]], str, str]:
    change = lambda text: text.replace("€", "&#8364;")  # noqa: E731
    children = [(gap, change(child)) for gap, child in bar.children]
    return bar.opening, children, change(bar.last_gap), bar.closing


@pytest.mark.parametrize("seed", range(3))
def test_made_up_files_are_not_read_into_a_text_of_the_readers_own(seed: int) -> None:
    assert not read_score(untidy(seed).file()).text.rebuilt
