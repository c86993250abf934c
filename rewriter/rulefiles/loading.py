"""From a name, a file or a stack to a rule, read and checked."""

from rewriter.rulefiles.ensemble_files import load_ensemble
from rewriter.rulefiles.ensembles import Ensemble
from rewriter.rulefiles.layouts import Layout
from rewriter.rulefiles.shelf import Kind, find_rule, names

__all__ = ["Kind", "find_rule", "load_ensemble", "names", "resolve_layout"]


def resolve_layout(text: str, ensemble: Ensemble) -> Layout:
    """The layout that a name, a file or a stack means.

    Raises:
        Refused: no such layout, or it has faults.
    """
    raise NotImplementedError
