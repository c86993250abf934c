"""Short cues for tests by hand: a sketch in shorthand, plans and layouts, what each part says.

What a part says is a line of text like the shorthand: ``C5q r | D5h``, written pitches of
its score moved to sound, whole-bar rests as ``R``, words and dynamics in their places.
"""

import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from lxml import etree

import rewriter
from tests.outside.reference import score_root

LETTERS = {
    "breve": "b", "whole": "w", "half": "h", "quarter": "q", "eighth": "e", "16th": "s",
}  # fmt: skip
SIGNS = {0: "", 1: "#", -1: "b", 2: "##", -2: "bb"}
SECTIONS = ("Vn I", "Vn II", "Vla", "Vc", "Db")


def layout(stack: str, *lines: str) -> str:
    """A layout file with further lines."""
    return "\n".join(['title = "By hand"', f'stack = "{stack}"', *lines]) + "\n"


def expand(
    data: bytes, files: Mapping[str, str], name: str, **options: Any
) -> rewriter.Expansion:
    """The sketch through a layout or plan that stands in one of some files."""
    with tempfile.TemporaryDirectory() as folder:
        for each, text in files.items():
            Path(folder, each).write_text(text, encoding="utf-8")
        path = str(Path(folder, name))
        if "[[passage]]" in files[name]:
            return rewriter.expand(data, plan=path, **options)
        return rewriter.expand(data, path, **options)


def by_layout(data: bytes, text: str, **options: Any) -> rewriter.Expansion:
    """The sketch through one layout file."""
    return expand(data, {"hand.toml": text}, "hand.toml", **options)


def by_plan(data: bytes, *passages: str, **layouts: str) -> rewriter.Expansion:
    """The sketch through passages, each the lines of one; layouts by name without suffix."""
    files = {f"{name}.toml": text for name, text in layouts.items()}
    files["plan.toml"] = "".join(f"[[passage]]\n{passage}\n" for passage in passages)
    return expand(data, files, "plan.toml")


def said(score: bytes) -> dict[str, str]:
    """What each part of a score says, by section; a second staff as ``Vc 2``."""
    found = {}
    for part in score_root(score).findall("part"):
        name = part.get("id", "")
        section = SECTIONS[int(name.strip("Pb")) - 1] + (" 2" if name.endswith("b") else "")
        octave = 12 * int(part.findtext(".//transpose/octave-change", "0"))
        bars = [_bar(measure, octave // 12) for measure in part.findall("measure")]
        found[section] = " | ".join(bars)
    return found


def _bar(measure: etree._Element, octave: int) -> str:
    words: list[str] = []
    for element in measure:
        if element.tag == "direction":
            words += [f'"{one.text}"' for one in element.iter("words")]
            words += [str(mark.tag) for one in element.iter("dynamics") for mark in one]
            words += [{"stop": "!", "crescendo": "<", "diminuendo": ">"}[str(one.get("type"))]
                      for one in element.iter("wedge")]  # fmt: skip
        elif element.tag == "backup":
            words.append("&")
        elif element.tag == "note":
            _take_note(element, octave, words)
    return " ".join(words)


def _take_note(note: etree._Element, octave: int, words: list[str]) -> None:
    rest = note.find("rest")
    if rest is not None:
        whole = rest.get("measure") == "yes"
        words.append("R" if whole else f"r{_length(note)}")
        return
    alter = int(note.findtext("pitch/alter", "0"))
    number = int(note.findtext("pitch/octave", "0")) + octave
    name = f"{note.findtext('pitch/step')}{SIGNS[alter]}{number}"
    if note.find("chord") is not None:
        before = words.pop()
        words.append(f"{before[:-1]}+{name}{before[-1]}" if before[-1] != "~" else before)
        return
    slurs = [one.get("type") for one in note.iterfind("notations/slur")]
    ties = [one.get("type") for one in note.findall("tie")]
    text = f"{name}{_length(note)}" + ("~" if "start" in ties else "")
    words.append("(" * slurs.count("start") + text + ")" * slurs.count("stop"))


def _length(note: etree._Element) -> str:
    return LETTERS[note.findtext("type", "")] + "." * len(note.findall("dot"))
