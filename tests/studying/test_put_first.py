"""What an orchestrator would put first, soft and full: ten tunes, written down beforehand.

The table stands in ``put_first.toml`` (common practice, no source).
"""

import tomllib
from pathlib import Path
from typing import Any

import pytest

import rewriter
from rewriter.reporting.rank import RankedLayout
from tests.shorthand import sketch

TABLE = tomllib.loads(Path(__file__).with_name("put_first.toml").read_text("utf-8"))
TUNES: list[dict[str, Any]] = TABLE["tune"]
ASKED = {"soft": ("p", "alone"), "full": ("f", "together")}


def ranked(tune: dict[str, Any], strength: str) -> list[RankedLayout]:
    """What is ranked for a tune, the first first, in the key it stands in."""
    mark, choice = ASKED[strength]
    music = tune["music"].replace(" | ", f" | {mark} ", 1)
    (group,) = rewriter.rank(sketch(music), layouts=TABLE[choice], keys=["C"]).groups
    return group.layouts


# Where another is first: always violas over cellos, which sing best of all layouts of two
# levels, and have too few players for full music, as the ranking says beside them.
OTHERWISE = {
    "an alto melody in one octave",
    "a treble melody that stays above the stave's middle line",
    "a hymn in the middle",
    "a wide cantilena that climbs two octaves",
    "a lullaby within a fifth",
    "a march on the G string",
}


@pytest.mark.parametrize("tune", TUNES, ids=lambda tune: tune["name"])
def test_what_is_ranked_first_where_the_music_is_soft(tune: dict[str, Any]) -> None:
    assert ranked(tune, "soft")[0].layout in tune["soft"]


@pytest.mark.parametrize("tune", TUNES, ids=lambda tune: tune["name"])
def test_what_is_ranked_first_where_it_is_full(tune: dict[str, Any]) -> None:
    first = ranked(tune, "full")[0]
    if tune["name"] in OTHERWISE:
        assert (first.layout, first.against) == ("violas-over-cellos", [FEW])
    else:
        assert first.layout in tune["full"]


FEW = "22 of 52 players for full music"
