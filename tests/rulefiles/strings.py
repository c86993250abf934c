"""The shipped ensemble most tests read their rules with."""

from functools import cache

from rewriter.rulefiles.ensembles import Ensemble
from rewriter.rulefiles.loading import load_ensemble


@cache
def symphonic() -> Ensemble:
    return load_ensemble("symphonic")
