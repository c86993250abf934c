"""Every bad file is refused with its one line, and left alone."""

from pathlib import Path

import pytest

from rewriter.problems import Refused
from rewriter.scores.score import read_score
from tests.bad_input.cases import CASES, BadInput


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_it_is_refused_with_one_line(case: BadInput, tmp_path: Path) -> None:
    path = tmp_path / case.file
    case.build(path)
    before = path.read_bytes() if path.is_file() else b""
    with pytest.raises(Refused) as caught:
        read_score(path)
    assert str(caught.value) == f"{path}: {case.said}"
    assert (path.read_bytes() if path.is_file() else b"") == before


def test_no_two_cases_share_a_file() -> None:
    assert (
        len({case.file for case in CASES}) == len({case.name for case in CASES}) == len(CASES)
    )
