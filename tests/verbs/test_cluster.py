"""Scores spread over a Dask cluster as DEVELOPERS.md shows it, against one process."""

import re
from pathlib import Path
from typing import Any

import pytest

import rewriter
from tests.shorthand import finished_score, sketch

distributed = pytest.importorskip("distributed", reason="rewriter[cluster] is not installed")

PAGE = Path(__file__).parents[2] / "DEVELOPERS.md"
SCORES = {
    f"{number}.musicxml": finished_score(
        {
            "Violin I": f"4/4 | p ({note}5h F#7h) | G7w | A4w |",
            "Violin II": "4/4 | p A4w~ | A4w | F3w |",
        }
    )
    for number, note in enumerate("CDEFGAB")
}
SKETCHES = [sketch(f"3/4 | p {note}4q (A4e Bb4e) C5q~ | C5h. |") for note in "DEFG"]


def test_results_are_those_of_one_process(tmp_path: Path) -> None:
    """One test, as a cluster of two processes takes seconds to start and to stop."""
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, dashboard_address=None, host="127.0.0.1"
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        _looks_as_the_page_says(client, tmp_path)
        _mends_and_expands(client)
        _refuses(client)


def _looks_as_the_page_says(client: Any, tmp_path: Path) -> None:
    text = PAGE.read_text(encoding="utf-8").partition("## Thousands of scores on a cluster")[2]
    found = re.search(r"^```python\n(.*?)^```", text, re.DOTALL | re.MULTILINE)
    assert found
    page: dict[str, Any] = {"__name__": "of_the_page"}
    exec(found[1], page)  # noqa: S102 - our own page
    for name, data in SCORES.items():
        (tmp_path / name).write_bytes(data)
    (tmp_path / "broken.xml").write_text("no score")
    paths = sorted(map(str, tmp_path.iterdir()))
    told = dict(page["look_at_all"](client, paths, house="recording"))
    assert told == {path: page["looked_at"](path, house="recording") for path in paths}
    assert [path for path in paths if isinstance(told[path], str)] == [paths[-1]]
    assert all(told[path].findings for path in paths[:-1])


def _mends_and_expands(client: Any) -> None:
    scores = list(SCORES.values())
    mended = client.map(rewriter.enforce, scores, house="recording")
    made = client.map(rewriter.expand, SKETCHES, layout="Vn I / Vn II + Vla / Vc")
    one = [rewriter.enforce(score, house="recording") for score in scores]
    assert client.gather(mended) == one
    alone = [rewriter.expand(each, layout="Vn I / Vn II + Vla / Vc") for each in SKETCHES]
    assert client.gather(made) == alone


def _refuses(client: Any) -> None:
    with pytest.raises(rewriter.Refused) as refused:
        client.submit(rewriter.check, SKETCHES[0], house="nobody's").result()
    with pytest.raises(rewriter.Refused) as alone:
        rewriter.check(SKETCHES[0], house="nobody's")
    assert str(refused.value) == str(alone.value)
