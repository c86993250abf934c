"""From a name, a file or a stack to a rule, read and checked."""

from pathlib import Path
from typing import Literal

from rewriter.rulefiles.ensembles import Ensemble, load_ensemble
from rewriter.rulefiles.layouts import Layout

Kind = Literal["ensembles", "layouts", "plans", "house"]

__all__ = ["find_rule", "load_ensemble", "names", "resolve_layout"]


def find_rule(kind: Kind, name_or_path: str) -> tuple[Path, str]:
    """The file a name means, and its text.

    Raises:
        Refused: there is no such file or name.
    """
    raise NotImplementedError


def names(kind: Kind) -> list[str]:
    """Names of all rules of a kind, project and shipped, sorted."""
    raise NotImplementedError


def resolve_layout(text: str, ensemble: Ensemble) -> Layout:
    """The layout that a name, a file or a stack means.

    Raises:
        Refused: no such layout, or it has faults.
    """
    raise NotImplementedError
