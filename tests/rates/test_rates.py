"""Rates of rules: measured as they are said to be, kept in a file that is whole."""

import json
from collections import Counter
from pathlib import Path

from rewriter.checking.rates import FILE, Measured, Rate, measured_of
from rewriter.checking.rules import RULES
from rewriter.problems import Finding
from tests.rates.measuring import ASKED, Heard, counted, heard, quartets, written


def test_what_is_shipped_is_of_rules_there_are() -> None:
    file = json.loads(FILE.read_text(encoding="utf-8"))
    assert set(file["rules"]) <= {rule.id for rule in RULES}
    assert all(music["bars"] > 0 for music in file["music"])
    for id_, row in file["rules"].items():
        assert set(row) == {"found", "read", "right"}
        assert len(row["found"]) == len(file["music"]), id_
        assert 0 <= row["right"] <= row["read"] <= sum(row["found"]), id_
        assert measured_of(id_).read == row["read"]


def test_every_rule_about_finished_scores_looks_through_real_quartets() -> None:
    """No rule stumbles, and what it finds is told at a bar of the score."""
    for path in quartets()[::17]:
        piece = heard(path, "quartet", [rule.id for rule in ASKED])
        assert piece.bars > 20
        assert {one.rule for one in piece.findings} <= {rule.id for rule in ASKED}
        assert all(one.place.bar_counted <= piece.bars for one in piece.findings)


def test_what_is_counted() -> None:
    first, second = (
        Finding(rule="a", severity="advice", text="x"),
        Finding(rule="b", severity="advice", text="x"),
    )
    pieces = [Heard(Path("one"), 30, [first, second, first]), Heard(Path("two"), 12, [])]
    assert counted(pieces) == (42, Counter(a=2, b=1))


def test_measuring_again_keeps_what_was_read(monkeypatch, tmp_path) -> None:  # type: ignore[no-untyped-def]  # fixtures
    rule, other, *_ = sorted(rule.id for rule in RULES)
    old = {
        "music": [{"name": "songs", "bars": 10}],
        "rules": {
            rule: {"found": [7], "read": 5, "right": 4},
            "gone": {"found": [1], "read": 1, "right": 1},
        },
    }
    text = written(old, [("songs", 200), ("dances", 50)], {rule: [8, 0], other: [0, 1]})
    file = tmp_path / "rates.json"
    file.write_text(text, encoding="utf-8")
    monkeypatch.setattr("rewriter.checking.rates.FILE", file)
    assert measured_of(rule) == Measured(
        (Rate("songs", 200, 8), Rate("dances", 50, 0)), read=5, right=4
    )
    assert measured_of(other).rates[1].in_100_bars == 2
    assert measured_of("gone") == Measured()
