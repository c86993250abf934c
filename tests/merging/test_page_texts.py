"""Texts on the page: what a hand changes of them is carried, what programs print is no edit."""

import re

from rewriter import expand
from tests.merging.merging import merged, outcomes

CREDIT = (
    b'<credit page="1"><credit-type>%b</credit-type><credit-words>%b</credit-words></credit>'
)
MADE = expand("scores/last-ferry.musicxml", "Vn I / Vc").score
HEAD, MUSIC = re.split(rb"<credit.*</credit>\n?", MADE, maxsplit=1, flags=re.DOTALL)
TITLE = b"Last Ferry from Orrin Quay"
MAKER = b"rewriter demo"


def printed(*texts: bytes, title: bytes = TITLE) -> bytes:
    """The score with such texts on its page; parts of one joined by ``|`` are runs of words."""
    credits_ = [
        CREDIT % (b"title", one.replace(b"|", b"</credit-words><credit-words>"))
        for one in texts
    ]
    return HEAD.replace(TITLE, title) + b"".join(credits_) + MUSIC


def pages(score: bytes) -> list[bytes]:
    found = re.findall(rb"<credit .*?</credit>", score, re.DOTALL)
    return [b"|".join(re.findall(rb"<credit-words[^>]*>([^<]*)", one)) for one in found]


def test_another_title_on_the_page_alone() -> None:
    result = merged(
        printed(TITLE, MAKER), printed(b"The Ferry &amp; I", MAKER), printed(TITLE, MAKER)
    )
    assert outcomes(result) == ["carried page text"]
    assert pages(result.score) == [b"The Ferry &amp; I", MAKER]


def test_a_text_put_in_and_one_taken_out() -> None:
    hand = printed(TITLE, b"for the|harbour choir")
    result = merged(printed(TITLE, b"a play"), hand, printed(TITLE, b"a play", MAKER))
    assert outcomes(result) == ["carried page text"]
    assert pages(result.score) == [TITLE, b"for the harbour choir", MAKER]
    more = printed(TITLE, b"a play", b"by night")
    result = merged(printed(TITLE, b"a play"), more, printed(TITLE, b"a play", MAKER))
    assert outcomes(result) == ["carried page text"]
    assert pages(result.score) == [TITLE, b"a play", MAKER, b"by night"]
    result = merged(printed(TITLE, MAKER), printed(TITLE), printed(TITLE, MAKER))
    assert outcomes(result) == ["carried page text"]
    assert pages(result.score) == [TITLE]


def test_words_in_several_runs_are_one_text() -> None:
    base = printed(TITLE, b"a|play")
    result = merged(base, printed(TITLE, b"a|play in|three acts"), base)
    assert outcomes(result) == ["carried page text"]
    assert pages(result.score) == [TITLE, b"a|play in|three acts"]


def test_both_changed_it() -> None:
    sides = printed(TITLE, b"a play"), printed(TITLE, b"a dance"), printed(TITLE, b"a song")
    result = merged(*sides)
    assert outcomes(result) == ["conflicts page text hand stands"]
    assert pages(result.score) == [TITLE, b"a dance"]
    result = merged(*sides, prefer="new")
    assert pages(result.score) == [TITLE, b"a song"]


def test_what_a_program_prints_or_drops_is_no_edit() -> None:
    for hand in (printed(TITLE, b"a play", MAKER), printed()):
        base = printed(TITLE, b"a play")
        result = merged(base, hand, base)
        assert (outcomes(result), result.score) == ([], base)


def test_a_title_takes_its_text_along() -> None:
    hand = printed(b"By Night", title=b"By Night")
    result = merged(printed(TITLE), hand, printed(TITLE))
    assert outcomes(result) == ["carried title"]
    assert pages(result.score) == [b"By Night"]
