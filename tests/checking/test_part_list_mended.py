"""The part list mended: names, sounds, order and brackets, and nothing else of the file."""

import pytest

from rewriter.checking.finished import Finished
from rewriter.checking.house import House
from rewriter.checking.mending import mended
from rewriter.editing.part_list import part_list
from rewriter.rulefiles.houses import HouseRules, RuleSettings
from rewriter.rulefiles.loading import load_ensemble
from rewriter.scores.score import read_score
from tests.outside.schema import faults
from tests.shorthand import finished_score

OF_VIOLINS = (
    "<part-abbreviation>Vn I</part-abbreviation>"
    '<score-instrument id="i"><instrument-name>Strings</instrument-name>'
    "<instrument-sound>strings.violin</instrument-sound></score-instrument>"
)
SCORE = finished_score(
    {
        "Flute": "4/4 | C6w |",
        "Viola": "4/4 | C4w |",
        "Part 3": "4/4 | C5w |",
        "Cello": "4/4 | C3w |",
    },
    listed={"Part 3": OF_VIOLINS, "Flute": "<part-abbreviation>Fl.</part-abbreviation>"},
)
MENDING = {"part-name", "part-abbreviation", "part-order", "part-groups", "instrument-sound"}
ASKED = {"part-groups": RuleSettings("advice", {})}


def _mended(language: str = "", score: bytes = SCORE) -> bytes:
    rules = {"part-name": {"language": language}, "part-abbreviation": {"language": language}}
    said = {rule: RuleSettings(None, given) for rule, given in rules.items()}
    house = House(HouseRules(rules={**ASKED, **said}))

    def again(data: bytes) -> Finished:
        return Finished(read_score(data), load_ensemble())

    done = mended(again(score), house, again)
    mending = {
        "part-name",
        "part-abbreviation",
        "part-order",
        "part-groups",
        "instrument-sound",
    }
    assert not mending & {one.rule for one in done.left}
    return done.score.score.source


def test_what_the_list_is_then() -> None:
    score = read_score(_mended())
    assert [(part.id, part.full_name, part.short_name) for part in score.parts] == [
        ("P1", "Flute", "Fl."),
        ("P3", "Violins I", "Vn I"),
        ("P2", "Viola", "Vla"),
        ("P4", "Cello", "Vc"),
    ]
    listed = [one.part or one.group[1] for one in part_list(score)]
    assert listed == ["P1", "start", "P3", "P2", "P4", "stop"]
    sounds = [part.sound for part in score.parts]
    assert sounds == ["", "strings.violin", "strings.viola", "strings.cello"]


def test_in_the_language_of_the_house_and_winds_as_they_were() -> None:
    names = [(part.full_name, part.short_name) for part in read_score(_mended("de")).parts]
    assert names == [
        ("Flute", "Fl."),
        ("Violinen I", "Vl. I"),
        ("Bratschen", "Br."),
        ("Violoncelli", "Vc."),
    ]


def test_nothing_else_changes_and_the_standard_allows_it() -> None:
    after = _mended()
    assert faults(after) == []
    was = {part.id: part.bars for part in read_score(SCORE).parts}
    assert {part.id: part.bars for part in read_score(after).parts} == was


@pytest.mark.parametrize("language", ["", "de"])
def test_the_same_again_changes_nothing(language: str) -> None:
    once = _mended(language)
    assert _mended(language, once) == once
