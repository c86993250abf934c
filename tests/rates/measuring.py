"""Good editions, and how often each rule speaks in them.

Quartets: music21's corpus (51 movements by Beethoven, Haydn, Mozart and Schumann). Orchestra:
OpenScore Orchestra (scores CC0 1.0), by way of the Hauptstimme annotations.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from music21 import corpus

from rewriter.checking.finished import Finished
from rewriter.checking.looking import found_in
from rewriter.checking.rule import Rule
from rewriter.checking.rules import RULES
from rewriter.checking.runs import joined_runs
from rewriter.problems import Finding
from rewriter.rulefiles.loading import load_ensemble
from rewriter.scores.score import read_score
from tests.all_rules import EVERY_RULE

ORCHESTRA = Path(__file__).parents[3] / "shared" / "data" / "orchestra"
COMPOSERS = ("beethoven", "haydn", "mozart", "schumann_robert")

ASKED: Sequence[Rule[Any, Any]] = [
    rule
    for rule in RULES
    if rule.find is not None and not (rule.needs_tune or rule.needs_parts)
]
"""Rules about finished scores; those about the tune or parts are for who has them."""


class Music(NamedTuple):
    """A body of music that good editors have seen."""

    name: str
    ensemble: str
    paths: tuple[Path, ...]


class Heard(NamedTuple):
    """What was found in one piece."""

    path: Path
    bars: int
    findings: list[Finding]


def bodies() -> list[Music]:
    """All there is; the orchestra only where it is on this machine."""
    found = [Music("51 quartet movements", "quartet", tuple(quartets()))]
    orchestra = tuple(sorted(ORCHESTRA.glob("*.mxl")))
    if orchestra:
        found.append(Music(f"{len(orchestra)} orchestral movements", "symphonic", orchestra))
    return found


def quartets() -> list[Path]:
    """Movements of quartets in music21's corpus, as MusicXML."""
    paths = {
        Path(path)
        for composer in COMPOSERS
        for path in corpus.getComposer(composer)
        if Path(path).suffix in {".mxl", ".xml"}
    }
    return [path for path in sorted(paths) if len(read_score(path).parts) == 4]


def heard(path: Path, ensemble: str, rules: Iterable[str]) -> Heard:
    """What rules find in one piece, also those that only a house asks for."""
    wanted = set(rules)
    asked = [rule for rule in ASKED if rule.id in wanted]
    score = Finished(read_score(path), load_ensemble(ensemble))
    findings = [one.finding for one in found_in(score, EVERY_RULE, asked)]
    bars = max((len(part.bars) for part in score.score.parts), default=0)
    return Heard(path, bars, joined_runs(findings, {rule.id for rule in asked if rule.runs}))


def counted(pieces: Iterable[Heard]) -> tuple[int, Counter[str]]:
    """Bars of all, and findings by rule."""
    bars, found = 0, Counter[str]()
    for piece in pieces:
        bars += piece.bars
        found.update(one.rule for one in piece.findings)
    return bars, found


def written(
    old: dict[str, Any], bodies: Sequence[tuple[str, int]], found: dict[str, list[int]]
) -> str:
    """``rates.json`` with new figures; what was read by hand stays, rules that are gone go.

    Args:
        old: what stands there.
        bodies: name and bars of each.
        found: by rule, findings in each.
    """
    music = [{"name": name, "bars": bars} for name, bars in bodies]
    known = {rule.id for rule in RULES}
    rules = {id_: row for id_, row in old["rules"].items() if id_ in known}
    for id_, figures in found.items():
        before = rules.get(id_, {"read": 0, "right": 0})
        rules[id_] = {"found": figures, "read": before["read"], "right": before["right"]}
    return _rows(music, rules)


def _rows(music: list[dict[str, Any]], rules: dict[str, dict[str, Any]]) -> str:
    """A row for each, so that those who measure different rules do not meet."""
    import json

    heads = ",\n".join(f"    {json.dumps(one)}" for one in music)
    rows = ",\n".join(
        f"    {json.dumps(id_)}: {json.dumps(rules[id_])}" for id_ in sorted(rules)
    )
    return f'{{\n  "music": [\n{heads}\n  ],\n  "rules": {{\n{rows}\n  }}\n}}\n'
