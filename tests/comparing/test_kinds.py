"""What is found between two scores, worked out by hand, kind by kind."""

import re

import pytest

from rewriter.comparing.comparison import compare
from rewriter.scores.score import read_score
from rewriter.theory.fifths import Interval
from tests.comparing.comparing import compared, line, told
from tests.shorthand import sketch

BASE = "4/4 C5q D5 E5 F5 | G5h A5h | C5w"

CASES = {
    "a pitch": ("4/4 C5q D5 E5 F5 | G5h B5h | C5w", ["pitch 2.3: A5 | B5"]),
    "another name for it": ("4/4 C5q D5 E5 E#5 | G5h A5h | C5w", ["pitch 1.4: F5 | E#5"]),
    "a length": ("4/4 C5q D5 E5 F5 | G5h A5q rq | C5w", ["length 2.3: 2 | 1"]),
    "both": (
        "4/4 C5q D5 E5 F5 | G5h B5q rq | C5w",
        ["length 2.3: 2 | 1", "pitch 2.3: A5 | B5"],
    ),
    "a note gone": ("4/4 C5q rq E5q F5 | G5h A5h | C5w", ["note 1.2: D5 | -"]),
    "a note more": ("4/4 C5q [D5 G5]q E5 F5 | G5h A5h | C5w", ["note 1.2: - | G5"]),
    "a tie": ("4/4 C5q D5 E5 F5 | G5h A5h | C5w~", ["tie 3.1: - | to the next"]),
    "a slur": ("4/4 (C5q D5 E5 F5) | G5h A5h | C5w", ["slur 1.1: - | yes"]),
    "an accent": ("4/4 C5q D5^accent E5 F5 | G5h A5h | C5w", ["articulation 1.2: - | accent"]),
    "a trill": ("4/4 C5q D5^trill E5 F5 | G5h A5h | C5w", ["ornament 1.2: - | trill-mark"]),
    "a fermata": ("4/4 C5q D5 E5 F5 | G5h A5h | C5w^fermata", ["fermata 3.1: - | yes"]),
    "a dynamic": ("4/4 C5q D5 mf E5 F5 | G5h A5h | C5w", ["dynamic 1.3: - | mf"]),
    "a hairpin": ("4/4 < C5q D5 E5 ! F5 | G5h A5h | C5w", ["hairpin 1.1: - | crescendo"]),
    "words": ('4/4 "dolce" C5q D5 E5 F5 | G5h A5h | C5w', ["words 1.1: - | dolce"]),
    "a syllable": ("4/4 C5q D5_la E5 F5 | G5h A5h | C5w", ["lyric 1.2: - | 1: la"]),
    "a chord symbol": (
        "4/4 harmony=G:minor C5q D5 E5 F5 | G5h A5h | C5w",
        ["chord symbol 1.1: - | G minor"],
    ),
    "a mark": ("4/4 mark=A C5q D5 E5 F5 | G5h A5h | C5w", ["rehearsal mark 1.1: - | A"]),
    "a tempo": ("4/4 tempo=96 C5q D5 E5 F5 | G5h A5h | C5w", ["tempo 1.1: - | quarter = 96"]),
    "an 8va line": ("4/4 8va C5q D5 E5 loco F5 | G5h A5h | C5w", ["8va line 1.1: - | 8 down"]),
    "a clef": ("4/4 C5q D5 E5 F5 | clef=alto G5h A5h | C5w", ["clef 2.1: - | C3"]),
    "a key": ("4/4 C5q D5 E5 F5 | key=2 G5h A5h | C5w", ["key 2.1: - | 2"]),
    "a metre": ("2/2 C5q D5 E5 F5 | G5h A5h | C5w", ["metre 1.1: 4/4 | 2/2"]),
    "a repeat": (
        "4/4 C5q D5 E5 F5 |: G5h A5h :| C5w",
        ["repeat 2.1: - | forward", "repeat 2.5: - | backward"],
    ),
    "a bar": ("4/4 C5q D5 E5 F5 | G5h A5h | C5w | C5w", ["bar 4.1: - | yes"]),
    "nothing": (BASE, []),
    "a treble clef said": ("4/4 key=0 clef=treble C5q D5 E5 F5 | G5h A5h | C5w", []),
    "rests in a voice below": ("4/4 C5q D5 E5 F5 & R | G5h A5h | C5w", []),
}


@pytest.mark.parametrize("name", CASES)
def test_one_thing_changed(name: str) -> None:
    changed, wanted = CASES[name]
    assert told(compared(sketch(BASE), sketch(changed))) == wanted


def test_a_triplet() -> None:
    even, triplet = "3/4 3{C5e D5e E5e} F5h", "3/4 C5q F5h"
    assert told(compared(sketch(triplet), sketch(even))) == [
        "length 1.1: 1 | 1/3",
        "tuplet 1.1: - | 3/2",
        "note 1.1.33333: - | D5",
        "note 1.1.66667: - | E5",
    ]


def test_an_end_elsewhere_is_one_difference() -> None:
    short = sketch("4/4 < C5q D5 ! E5 F5 | G5h A5h | C5w")
    long = sketch("4/4 < C5q D5 E5 F5 | G5h ! A5h | C5w")
    (one,) = compared(short, long).all
    assert one.a is not None
    assert one.b is not None
    assert (one.kind, one.a.until, one.b.until) == ("hairpin", (0, 2, 0), (1, 2, 0))


def offset(by: int) -> bytes:
    """A dynamic before the second of four quarters, so many eighths of a quarter late."""
    plain = sketch("4/4 C5q mf D5 E5 F5").replace(b"<divisions>1<", b"<divisions>8<")
    plain = plain.replace(b"<duration>1<", b"<duration>8<")
    said = b"</direction-type><offset>%d</offset>" % by
    return plain.replace(b"</direction-type>", said, 1)


@pytest.mark.parametrize(("by", "found"), [(0, 0), (4, 0), (5, 2), (-4, 0), (-5, 2)])
def test_half_a_beat_is_the_same_place(by: int, found: int) -> None:
    assert len(compared(offset(0), offset(by)).all) == found


def test_what_is_changed_within_half_a_beat_is_one_change() -> None:
    other = offset(3).replace(b"<mf/>", b"<pp/>")
    assert told(compared(offset(0), other)) == ["dynamic 1.2: mf | pp"]


def test_a_kind_gone_everywhere_is_one_fact() -> None:
    marked = sketch("4/4 C5q^accent D5 E5^accent F5 | (G5h A5h) | (C5h D5h)")
    bare = sketch("4/4 C5q D5 E5 F5 | (G5h A5h) | C5h D5h")
    found = compared(marked, bare)
    assert [line(one, found.divisions) for one in found.differences] == ["slur 3.1: yes | -"]
    assert [(one.kind, len(one.things)) for one in found.gone] == [("articulation", 2)]
    assert compared(bare, marked).gone == []


def test_what_all_parts_have_is_told_once() -> None:
    others = {"Oboe": "4/4 C4w | C4w"}
    one = sketch("4/4 C5w | C5w", others=others)
    two = sketch("3/4 C5w | C5w", others={"Oboe": "3/4 C4w | C4w"})
    found = compared(one, two)
    assert told(found) == ["metre 1.1: 4/4 | 3/4"]
    assert found.all[0].part is None


def test_a_mark_in_every_part_is_one_mark() -> None:
    one = sketch("4/4 mark=B C5w", others={"Oboe": "4/4 C4w"})
    two = sketch("4/4 mark=B C5w", others={"Oboe": "4/4 mark=B C4w"})
    assert told(compared(one, two)) == []


def test_a_voice_that_is_no_longer_one() -> None:
    two = sketch("4/4 C5h D5h & E4h F4h")
    joined = sketch("4/4 [E4 C5]h [F4 D5]h")
    found = compared(two, joined)
    assert {one.kind for one in found.all} == {"voice"}
    assert [one.kind for one in found.gone] == ["voice"]


def test_bars_that_answer_to_others() -> None:
    longer = sketch("4/4 C5q D5 E5 F5 | B4w | G5h A5h | C5w^accent")
    found = compare(read_score(sketch(BASE)), read_score(longer), bars={0: 0, 1: 2, 2: 3})
    assert told(found) == ["bar 2.1: - | yes", "articulation 4.1: - | accent"]


def test_under_a_transposition() -> None:
    flute = sketch("4/4 key=-1 harmony=F:major F5q A5 Bb5 C6 | F5w")
    higher = sketch("4/4 key=1 harmony=G:major G5q B5 C6 D6 | A5w")
    found = compare(read_score(flute), read_score(higher), by=Interval(1, 2))
    assert told(found) == ["pitch 2.1: G5 | A5"]


def test_written_for_another_instrument_sounds_the_same() -> None:
    flute = sketch("4/4 key=-1 F5q A5 Bb5 C6 | F5w")
    clarinet = sketch("4/4 key=1 transpose=-1,-2 G5q B5 C6 D6 | G5w")
    assert told(compared(flute, clarinet)) == ["transposition 1.1: - | -1 -2"]


def test_a_transposition_lost_is_one_thing() -> None:
    clarinet = sketch("4/4 key=1 transpose=-1,-2 G5q B5 C6 D6 | G5w")
    lost = re.sub(rb"<transpose>.*?</transpose>", b"", clarinet)
    assert told(compared(clarinet, lost)) == ["transposition 1.1: -1 -2 | -"]


def test_names() -> None:
    one, two = (sketch("4/4 C5w", tune=name, title="Last Light") for name in ("Flute", "Fife"))
    assert told(compared(one, two)) == ["part name 0.1: Flute | Fife"]
    other = sketch("4/4 C5w", title="First Light")
    assert told(compared(one, other)) == ["title 0.1: Last Light | First Light"]


def test_one_note_written_twice_with_a_sign_once() -> None:
    """What is alike in all it says is taken for the same before what is alike in less."""
    one = sketch("4/4 [F#5 F#5?]h D5h")
    other = sketch("4/4 [F#5? F#5]h D5h")
    assert told(compared(one, one)) == []
    assert told(compared(other, other)) == []
    assert told(compared(one, other)) == []
    bare = sketch("4/4 [F#5 F#5]h D5h & R")
    assert told(compared(bare, one)) == ["accidental 1.1: - | courtesy sharp"]


def broken(*bars: int, what: bytes = b"new-page") -> bytes:
    """Three bars, some with a break before them."""
    said = sketch(BASE)
    for bar in bars:
        opening = b'<measure number="%d">' % (bar + 1)
        said = said.replace(opening, opening + b'<print %b="yes"/>' % what)
    return said


def test_breaks_count_when_they_are_asked_for() -> None:
    one, two = read_score(broken(0, 1)), read_score(broken(0, 2))
    assert told(compare(one, two)) == []
    found = compare(one, two, with_breaks=True)
    assert told(found) == ["page break 2.1: yes | -", "page break 3.1: - | yes"]
    found = compare(one, read_score(broken(1, what=b"new-system")), with_breaks=True)
    assert [(gone.kind, len(gone.things)) for gone in found.gone] == [("page break", 1)]
    assert [each.kind for each in found.differences] == ["system break"]


@pytest.mark.parametrize("alter", ["1e999", "-1e999", "9999999999", "x", ""])
def test_an_alteration_that_cannot_be_counts_as_none(alter: str) -> None:
    plain = sketch("4/4 harmony=F:major F5q G5 A5 B5 | F5w")
    spoiled = plain
    for step in (b"<step>F</step>", b"<root-step>F</root-step>"):
        assert step in spoiled
        said = b"<alter>%b</alter>" % alter.encode()
        said = said.replace(b"alter", b"root-alter") if b"root" in step else said
        spoiled = spoiled.replace(step, step + said)
    assert told(compared(plain, spoiled)) == []
