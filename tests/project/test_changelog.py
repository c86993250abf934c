import re

import rewriter
from tests.project.readme import ROOT

TEXT = (ROOT / "CHANGELOG.md").read_text("utf-8")
KINDS = {"Added", "Changed", "Deprecated", "Removed", "Fixed", "Security"}
"""Of Keep a Changelog 1.1.0."""


def test_the_newest_heading_is_the_version() -> None:
    headings = re.findall(r"^## (\S+)", TEXT, re.MULTILINE)
    assert headings[0] == rewriter.__version__


def test_changes_are_sentences_under_the_usual_headings() -> None:
    assert set(re.findall(r"^### (.+)$", TEXT, re.MULTILINE)) <= KINDS
    lines = [line for line in TEXT.splitlines() if line.startswith("- ")]
    assert lines
    assert [line for line in lines if not line.endswith(".")] == []
