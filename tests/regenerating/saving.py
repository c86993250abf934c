"""Programs at work: an edited score saved again, by others and as they were seen to do."""

from __future__ import annotations

import tempfile
import warnings
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

from lxml import etree

from tests.comparing.resaving import resaved

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.comparing.editing import Element

_NAMES = {
    "Violins I": ("Violini I", "1. Violinen", "Premiers Violons", "Violin 1"),
    "Violins II": ("Violini II", "2. Violinen", "Seconds Violons", "Violin 2"),
    "Violas": ("Viole", "Bratschen", "Altos", "Viola"),
    "Violoncellos": ("Violoncelli", "Celli", "Violoncelles", "Cello"),
    "Double Basses": ("Contrabbassi", "Kontrabässe", "Contrebasses", "Bass"),
}
_FIELDS = ("identification", "defaults", "credit", "movement-number")
GROUPS = {
    "fingering": "fingering", "articulation": "articulations", "ornament": "ornaments",
    "slur": "slur", "words": "words", "dynamic": "dynamics", "lyric": "lyric",
}  # fmt: skip
"""Kinds of things, and the elements that go where a program does not know them."""


def saved_again(data: bytes, seed: int) -> bytes:
    """Saved by somebody else's program: names in another language, fields gone, rests counted.

    What it means is the same, names of parts aside.
    """
    rng = Random(seed)  # noqa: S311 - music, not secrets
    root = etree.fromstring(resaved(data, seed))
    _rename(root, rng)
    for name in _FIELDS:
        if rng.random() < 0.3:
            for gone in root.findall(name):
                root.remove(gone)
    for part in root.findall("part"):
        if rng.random() < 0.3:
            _count_rests(part)
    if rng.random() < 0.3:
        for beam in list(root.iter("beam")):
            beam.getparent().remove(beam)  # type: ignore[union-attr]
    for words in list(root.iter("words")):
        if rng.random() < 0.2:
            _split(words)
    return etree.tostring(root)


def _rename(root: Element, rng: Random) -> None:
    """All sections in one other language."""
    language = rng.randrange(4)
    for entry in root.iterfind("part-list/score-part"):
        name = entry.find("part-name")
        others = _NAMES.get(name.text or "") if name is not None else None
        if name is not None and others:
            name.text = others[language]


def _count_rests(part: Element) -> None:
    for bar in part.findall("measure"):
        notes = bar.findall("note")
        if len(notes) == 1 and notes[0].find("rest[@measure]") is not None:
            style = "<multiple-rest>1</multiple-rest>"
            bar.insert(
                0,
                etree.fromstring(
                    f"<attributes><measure-style>{style}</measure-style></attributes>"
                ),
            )


def _split(words: Element) -> None:
    """Words in two of them that stand side by side."""
    first, _, rest = (words.text or "").strip().partition(" ")
    if not rest:
        return
    words.text = f"{first} "
    other = etree.Element("words", dict(words.attrib))
    other.text = rest
    words.addnext(other)


def without_group(data: bytes, kind: str) -> bytes:
    """Saved by a program that does not know a kind of thing."""
    root = etree.fromstring(data)
    for one in list(root.iter(GROUPS[kind])):
        parent = one.getparent()
        parent.remove(one)  # type: ignore[union-attr]
        while parent is not None and not len(parent) and parent.tag in {
            "direction-type", "direction", "technical", "notations",
        }:  # fmt: skip
            parent, gone = parent.getparent(), parent
            parent.remove(gone)  # type: ignore[union-attr]
    return etree.tostring(_without_empty(root))


def _without_empty(root: Element) -> Element:
    for direction in list(root.iter("direction")):
        if direction.find("direction-type") is None:
            direction.getparent().remove(direction)  # type: ignore[union-attr]
    return root


def by_music21(data: bytes) -> bytes:
    """Read and written by music21."""
    from music21 import converter

    with tempfile.TemporaryDirectory() as folder, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score = converter.parseData(data, format="musicxml")
        path = Path(folder) / "saved.musicxml"
        score.write("musicxml", path, makeNotation=False)
        return path.read_bytes()


def by_partitura(data: bytes) -> bytes:
    """Read and written by partitura."""
    with tempfile.TemporaryDirectory() as folder, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import partitura

        path = Path(folder) / "read.musicxml"
        path.write_bytes(data)
        score = partitura.load_musicxml(str(path))
        saved = Path(folder) / "saved.musicxml"
        partitura.save_musicxml(score, str(saved))
        return saved.read_bytes()


OTHERS: dict[str, Callable[[bytes], bytes]] = {
    "music21": by_music21,
    "partitura": by_partitura,
}
"""Programs that write MusicXML; verovio writes none."""
