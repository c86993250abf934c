"""From a name, a file or a stack to a rule, read and checked."""

from rewriter.problems import Refused
from rewriter.rulefiles.ensemble_files import load_ensemble
from rewriter.rulefiles.ensembles import Ensemble
from rewriter.rulefiles.layout_files import layout_from_stack, layout_from_text
from rewriter.rulefiles.layouts import Layout
from rewriter.rulefiles.shelf import (
    Kind,
    find_rule,
    is_file_name,
    names,
    nearest_name,
    path_of_name,
    shown,
)
from rewriter.rulefiles.stack_text import printable

__all__ = ["Kind", "find_rule", "load_ensemble", "names", "resolve_layout"]


def resolve_layout(text: str, ensemble: Ensemble) -> Layout:
    """The layout that a name, a file or a stack means.

    What ends in ``.toml`` is a file; else an exact project or shipped name; else a stack.

    Raises:
        Refused: no such layout, or it has faults.
    """
    said = text.strip()
    if is_file_name(said) or path_of_name("layouts", said):
        path, content = find_rule("layouts", said)
        return layout_from_text(content, shown(path), ensemble)
    try:
        return layout_from_stack(text, ensemble)
    except Refused as fault:
        if set("/+") & set(said) or not said:
            raise
        near = nearest_name("layouts", said)
        if near is None:
            raise
        raise Refused(
            f'no layout is called "{printable(said)}", nor is it a stack: {fault.what}',
            f"did you mean the layout {near}?",
            quotation=fault.quotation,
        ) from None
