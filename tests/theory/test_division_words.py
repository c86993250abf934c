"""Words that say who of a section plays."""

import pytest

from rewriter.theory.division_words import divisions_in, said

KINDS = {
    "div": "div", "unis": "unis", "tutti": "tutti", "solo": "share", "half": "share",
    "third": "share", "desk": "share", "desks": "share", "others": "share",
}  # fmt: skip


@pytest.mark.parametrize("language", ["en", "it", "de", "fr"])
@pytest.mark.parametrize("word", KINDS)
def test_what_is_printed_is_read(word: str, language: str) -> None:
    text = said(word, language).format(first=2, last=4)
    assert [one.kind for one in divisions_in(text)] == [KINDS[word]]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("div. a 3", [("div", 3)]),
        ("dreifach geteilt", [("div", 3)]),
        ("divisés en quatre", [("div", 4)]),
        ("Divisi", [("div", 0)]),
        ("unis. div.", [("unis", 0), ("div", 0)]),
        ("div. (metà)", [("div", 0)]),
        ("non div.", [("undivided", 0)]),
        ("nicht geteilt", [("undivided", 0)]),
        ("pizz. unis.", [("unis", 0)]),
        ("a 2", [("share", 0)]),
        ("alle", [("tutti", 0)]),
        ("alla marcia, sopra una corda", []),
        ("alle Glocken", []),
        ("Consolation for all", []),
    ],
)
def test_words(text: str, found: list[tuple[str, int]]) -> None:
    assert [(one.kind, one.lines) for one in divisions_in(text)] == found
