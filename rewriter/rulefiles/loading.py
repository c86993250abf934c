"""From a name, a file or a stack to a rule, read and checked."""

import re

from rewriter.problems import Refused
from rewriter.rulefiles.ensemble_files import load_ensemble
from rewriter.rulefiles.ensembles import Ensemble
from rewriter.rulefiles.layout_files import layout_from_stack, layout_from_text
from rewriter.rulefiles.layouts import Layout
from rewriter.rulefiles.shelf import (
    Kind,
    file_meant,
    find_rule,
    is_file_name,
    names,
    nearest_name,
    of_another_kind,
    path_of_name,
    shown,
)
from rewriter.rulefiles.stack import parse_stack
from rewriter.rulefiles.stack_text import StackFault

_MOST_WORDS = 6  # of a section's name

_SCORES = (".musicxml", ".mxl", ".xml")

__all__ = ["Kind", "find_rule", "is_layout", "load_ensemble", "names", "resolve_layout"]


def is_layout(text: str, ensemble: Ensemble) -> bool:
    """True when a text is meant as a layout: a file, a name or nearly one, or a stack.

    A stack of several levels is meant as one, mistakes or not, where a level names a section.
    """
    said = text.strip()
    if is_file_name(said) or path_of_name("layouts", said):
        return True
    if set("/+|") & set(said):
        levels = (level.split() for level in re.split("[/+|]", said))
        return any(_names_section(words, ensemble) for words in levels)
    try:
        parse_stack(said, ensemble)
    except StackFault:
        return "-" in said and nearest_name("layouts", said) is not None
    return True


def _names_section(words: list[str], ensemble: Ensemble) -> bool:
    return any(
        ensemble.find(" ".join(words[first : first + length]))
        for first in range(len(words))
        for length in range(1, _MOST_WORDS + 1)
    )


def resolve_layout(text: str, ensemble: Ensemble, *, files: bool = True) -> Layout:
    """The layout that a name, a file or a stack means.

    What ends in ``.toml`` is a file; else an exact project or shipped name; else a stack.

    Args:
        text: as somebody wrote it.
        ensemble: whose sections it may name.
        files: False where the text comes with a sketch, which may be a stranger's: it names
            no files.

    Raises:
        Refused: no such layout, or it has faults.
    """
    said = text.strip()
    if is_file_name(said) and not files:
        raise Refused(
            f'"{said}" is a file, which no sketch may name',
            "write a stack or the name of a layout, or name the file with --layout",
        )
    if said.lower().endswith(_SCORES):
        what = f'"{said}" is the name of a score, not a layout'
        raise Refused(what, "name a layout, a .toml file or a stack")
    if is_file_name(said) or path_of_name("layouts", said):
        path, content = find_rule("layouts", said)
        return layout_from_text(content, shown(path), ensemble)
    try:
        return layout_from_stack(text, ensemble)
    except Refused as fault:
        if other := of_another_kind("layouts", said):
            raise other from None
        file = file_meant(said) if files else ""
        if set("/+|,;&") & set(said) or not said:
            raise
        near = nearest_name("layouts", said)
        if near is None and not file:
            raise
        raise Refused(
            f'no layout is called "{said}", nor is it a stack: {fault.what}',
            f"did you mean the file {file}?" if file else f"did you mean the layout {near}?",
            quotation=fault.quotation,
        ) from None
