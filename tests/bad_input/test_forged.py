"""Scores that claim to be the tool's own, or hold what only it writes."""

import hashlib
import re

import pytest
from lxml import etree

import rewriter
from rewriter.musicxml.saving import is_untouched
from rewriter.problems import Refused
from tests.shorthand import sketch

OURS = rewriter.expand(sketch("4/4 | C5q D5 E5h | F5w | G5w |"), "Vn I / Vla").score
FIELD = re.compile(rb'<miscellaneous-field name="content-digest">([0-9a-f]{64})<[^>]*>')


def signed(score: bytes) -> bytes:
    """A changed score with the digest it would have as the tool's own."""
    match = FIELD.search(score)
    assert match is not None
    blank = score[: match.start(1)] + b"0" * 64 + score[match.end(1) :]
    digest = hashlib.sha256(blank).hexdigest().encode()
    return score[: match.start(1)] + digest + score[match.end(1) :]


def taken(score: bytes) -> None:
    """As a score and as a sketch: what can be read comes out, or one line."""
    for verb in (
        lambda: [part.data for part in rewriter.parts(score, cue_notes=1)],
        lambda: [rewriter.expand(score, "Vc", tune="P1", keep_sketch=True).score],
    ):
        try:
            written = verb()
        except Refused as refused:
            written = []
            said = str(refused).split("\n")
        else:
            said = ["written"]
        assert len(said) == 1
        for data in written:
            etree.fromstring(data)
            assert is_untouched(data)


@pytest.mark.parametrize("digest", [b"0" * 64, b"a" * 64, b"none"])
@pytest.mark.parametrize(
    "before", [b"<note>", b"<part ", b"<part-list>", b"<identification>", b"<encoding>",
               b"<score-part ", b"<part-name"]
)  # fmt: skip
def test_a_digest_where_none_belongs(before: bytes, digest: bytes) -> None:
    field = b'<miscellaneous-field name="content-digest">%b</miscellaneous-field>' % digest
    for wrapped in (field, b"<work>%b</work>" % field, b"<note>%b</note>" % field):
        changed = OURS.replace(before, wrapped + before, 1)
        taken(changed)
        taken(signed(changed))
        taken(signed(FIELD.sub(b"", OURS).replace(before, OURS[slice(*span())] + before, 1)))


def span() -> tuple[int, int]:
    match = FIELD.search(OURS)
    assert match is not None
    return match.span()


@pytest.mark.parametrize(
    "odd",
    [b"<note/>", b"<note><pitch/></note>", b'</measure><measure number="9">', b"<backup/>",
     b"<!-- aside -->", b"<attributes><divisions>1e9</divisions></attributes>", b"text", b"<<",
     b"<note><note/></note>", b"</part>", b"\x0e", b"<?xml?>", b"<direction/>"],
)  # fmt: skip
def test_music_the_tool_never_writes_under_a_digest_that_fits(odd: bytes) -> None:
    taken(signed(OURS.replace(b"<note>", odd + b"<note>", 1)))


@pytest.mark.parametrize("step", ["H", "", "C#", "\u266d", "9" * 5000])
@pytest.mark.parametrize("part", ["root", "bass"])
def test_a_chord_symbol_on_no_letter(part: str, step: str) -> None:
    said = f"<{part}><{part}-step>{step}</{part}-step><{part}-alter>x</{part}-alter></{part}>"
    root = "" if part == "root" else "<root><root-step>C</root-step></root>"
    symbol = f"<harmony>{root}{said if part == 'root' else ''}<kind>major</kind>"
    symbol += f"{said if part == 'bass' else ''}</harmony>"
    music = sketch(
        "4/4 | C5q D5 E5h | R | R | F5w |",
        others={"Horn": "4/4 transpose=-4,-7 | R | R | C5w | D5w |"},
    ).decode()
    data = music.replace("<note>", symbol + "<note>").encode()
    taken(data)
    for key in ("", "D"):
        try:
            made = rewriter.expand(data, "Vn I / Vc", tune="P1", keep_harmony=True, key=key)
        except Refused as refused:
            assert "cannot be" in str(refused)  # noqa: PT017 - not with every key
        else:
            taken(made.score)
