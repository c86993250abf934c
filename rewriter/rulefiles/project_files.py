"""``rewriter.toml``: from TOML to the cues of a project and what holds for all of them."""

import os
from pathlib import Path
from typing import Annotated, Any

import msgspec
from msgspec import Meta

from rewriter.problems import Refused
from rewriter.rulefiles.ensembles import Ensemble
from rewriter.rulefiles.line_numbers import KeyPath
from rewriter.rulefiles.loading import load_ensemble, resolve_layout
from rewriter.rulefiles.moves import read_move
from rewriter.rulefiles.plan_files import load_plan
from rewriter.rulefiles.projects import Project, ProjectCue, score_name
from rewriter.rulefiles.shapes import RuleText
from rewriter.rulefiles.shelf import Kind, find_rule, is_file_name, path_of_name, text_of_rule
from rewriter.rulefiles.words import Chords, Language, OutOfRange, RegisterSet, Words

Bars = Annotated[int, Meta(ge=0, le=999)]


class Defaults(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """What the options of the same names say, where they are not given."""

    ensemble: Words | None = None
    registers: RegisterSet | None = None
    out_of_range: OutOfRange | None = None
    chords: Chords | None = None
    language: Language | None = None
    keep_sketch: bool | None = None
    keep_lyrics: bool | None = None
    keep_harmony: bool | None = None
    cue_notes: Bars | None = None
    copy: bool | None = None


class CueFile(Defaults, forbid_unknown_fields=True, kw_only=True):
    """A cue: its sketch, who plays, and what is different from the other cues."""

    sketch: Words
    layout: Words | None = None
    plan: Words | None = None
    tune: Words | None = None
    key: Words | None = None
    by: Words | None = None
    up: bool = False
    down: bool = False
    out: Words | None = None
    parts: Words | None = None


class ProjectFile(Defaults, forbid_unknown_fields=True, kw_only=True):
    """Defaults, where scores and parts of the cues go, and the cues."""

    house: Words | None = None
    out_dir: Words | None = None
    parts: Words | None = None
    cue: tuple[CueFile, ...] = ()


def load_defaults(file: Path) -> dict[str, Any]:
    """What a project file sets for every cue, its list of cues not looked at.

    Args:
        file: where it is; what it names is looked for beside it.

    Returns:
        Arguments of :func:`rewriter.expand`, ``cue_notes``, ``copy`` and ``house``.

    Raises:
        Refused: every fault in the file, one line each.
    """
    rule = RuleText(text_of_rule(file), str(file))
    reader = _Reader(rule, rule.read(ProjectFile), file.parent)
    reader.ensemble((), None)
    house = reader.house()
    rule.refuse_if_faulty()
    return {**reader.defaults, **house}


def load_project(file: Path) -> Project:
    """Read a project file.

    Args:
        file: where it is; what it names is looked for beside it.

    Raises:
        Refused: every fault in the file, one line each.
    """
    rule = RuleText(text_of_rule(file), str(file))
    read = rule.read(ProjectFile)
    reader = _Reader(rule, read, file.parent)
    reader.ensemble((), None)
    reader.house()
    cues = [reader.cue(index, one) for index, one in enumerate(read.cue)]
    _check_distinct(rule, cues)
    rule.refuse_if_faulty()
    return Project(file, reader.defaults, tuple(cues))


class _Reader:
    """One project file on its way to a project."""

    def __init__(self, rule: RuleText, read: ProjectFile, folder: Path) -> None:
        self._rule = rule
        self._read = read
        self._folder = folder
        self.defaults = self._said(read)

    def _said(self, read: Defaults) -> dict[str, Any]:
        """What a block sets, by name; rules as they are found from the current folder."""
        names = Defaults.__struct_fields__
        said = {name: value for name in names if (value := getattr(read, name)) is not None}
        if "ensemble" in said:
            said["ensemble"] = _beside("ensembles", said["ensemble"], self._folder)
        return said

    def house(self) -> dict[str, str]:
        """The house as found from the current folder; a fault noted where it is not there.

        What its file may say only those know who know the rules.
        """
        if self._read.house is None:
            return {}
        said = _beside("house", self._read.house, self._folder)
        try:
            find_rule("house", said)
        except Refused as refusal:
            self._rule.refused(("house",), refusal)
        return {"house": said}

    def cue(self, index: int, read: CueFile) -> ProjectCue:
        """A cue, and its faults noted."""
        path: KeyPath = ("cue", index)
        settings = {**self.defaults, **self._said(read)}
        cue_notes = settings.pop("cue_notes", 0)
        copy = settings.pop("copy", True)
        forces = self.ensemble(path, read.ensemble)
        settings |= self._who_plays(path, read, forces)
        settings["direction"] = read_move(self._rule, path, read).direction
        for name in ("tune", "key", "by"):
            settings[name] = getattr(read, name) or ""
        sketch = Path(read.sketch)
        parts = read.parts or self._read.parts
        if read.cue_notes and not parts:
            what = "cue notes are about parts, and no folder is named for them"
            self._rule.fault((*path, "cue_notes"), what, "add parts")
        out = read.out or Path(self._read.out_dir or "", score_name(sketch))
        return ProjectCue(
            self._folder / sketch,
            self._folder / out,
            self._folder / parts if parts else None,
            cue_notes if parts else 0,
            copy,
            settings,
        )

    def ensemble(self, path: KeyPath, name: str | None) -> Ensemble | None:
        """The ensemble of a block, or that of all; None, and a fault noted, for none."""
        said = self.defaults.get("ensemble", "symphonic")
        if name is not None:
            said = _beside("ensembles", name, self._folder)
        try:
            return load_ensemble(said)
        except Refused as refusal:
            if not path or name is not None:  # that of all is told once
                self._rule.refused((*path, "ensemble"), refusal)
            return None

    def _who_plays(
        self, path: KeyPath, read: CueFile, forces: Ensemble | None
    ) -> dict[str, str]:
        """Layout and plan as they are found from the current folder; faults are noted."""
        if read.layout is not None and read.plan is not None:
            self._rule.fault(path, "layout and plan stand together", "keep one of the two")
        layout = _beside("layouts", read.layout or "", self._folder)
        plan = _beside("plans", read.plan or "", self._folder)
        for name, text, look_up in (
            ("layout", layout, resolve_layout),
            ("plan", plan, load_plan),
        ):
            try:
                if text and forces is not None:
                    look_up(text, forces)
            except Refused as refusal:
                self._rule.refused((*path, name), refusal)
        return {"layout": layout, "plan": plan}


def _beside(kind: Kind, text: str, folder: Path) -> str:
    """A rule of the project as it is found from the current folder; else as written."""
    if is_file_name(text):
        return str(folder / text.strip())
    path = path_of_name(kind, text.strip(), folder)
    return str(path) if path and folder != Path() else text


def _check_distinct(rule: RuleText, cues: list[ProjectCue]) -> None:
    """Note cues that would be written to one file, or over a sketch."""
    first: dict[str, int] = {}
    sketches = {os.path.normpath(cue.sketch) for cue in cues}
    for index, cue in enumerate(cues):
        target = os.path.normpath(cue.out)
        other = first.setdefault(target.lower(), index)
        if other != index:
            what = f"{cue.out} would be written for cue {other + 1} too"
            rule.fault(("cue", index), what, "name another file with out")
        if target in sketches:
            rule.fault(("cue", index), f"{cue.out} is a sketch", "name another file with out")
