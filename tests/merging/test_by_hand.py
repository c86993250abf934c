"""Short scores before, edited, and made anew: what comes of each clause, written by hand."""

import pytest

from rewriter.problems import Refused
from rewriter.theory.fifths import parse_interval
from tests.merging.merging import differing, merged, outcomes
from tests.shorthand import sketch

TUNE = "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 G5 | C5w |"
HIGHER = "4/4 key=2 D5q E5 F#5 G5 | A5h B5 | C#6q D6 B5 A5 | D5w |"


@pytest.mark.parametrize(
    ("edited", "new", "wanted", "told"),
    [
        pytest.param(
            "4/4 C5q^accent D5 E5 F5 | G5h A5 | B5q C6 A5 G5 | C5w |",
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 F5 | C5w |",
            "4/4 C5q^accent D5 E5 F5 | G5h A5 | B5q C6 A5 F5 | C5w |",
            ["carried articulation 1.1"],
            id="a mark, the sketch changed elsewhere",
        ),
        pytest.param(
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 G5^accent | C5w |",
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 F5 | C5w |",
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 F5^accent | C5w |",
            ["conflicts articulation 3.4 hand stands"],
            id="a mark on a note that the sketch changed",
        ),
        pytest.param(
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 E5 | C5w |",
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 F5 | C5w |",
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 F5 | C5w |",
            ["conflicts notes 3.1 new stands"],
            id="notes that both changed",
        ),
        pytest.param(
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 F5 | C5w |",
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 F5 | C5w |",
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 F5 | C5w |",
            ["carried notes 3.1"],
            id="both made the same change",
        ),
        pytest.param(
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 G5 | (C5h E5) |",
            "4/4 C5q D5 E5 F5 | D5h D5 | G5h A5 | B5q C6 A5 G5 | C5w |",
            "4/4 C5q D5 E5 F5 | D5h D5 | G5h A5 | B5q C6 A5 G5 | (C5h E5) |",
            ["carried notes 5.1", "carried slur 5.1"],
            id="notes and a slur, a bar put into the sketch before them",
        ),
        pytest.param(
            "4/4 C5q D5 E5 F5 | G5h^tenuto A5 | B5q C6 A5 G5 | C5w |",
            "4/4 C5q D5 E5 F5 | B5q C6 A5 G5 | C5w |",
            "4/4 C5q D5 E5 F5 | B5q C6 A5 G5 | C5w |",
            ["dropped articulation 2.1"],
            id="a mark in a bar that is gone",
        ),
        pytest.param(
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 G5 | p C5w |",
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 G5 | f C5w |",
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 G5 | p C5w |",
            ["conflicts dynamic 4.1 hand stands"],
            id="two dynamics at one place",
        ),
        pytest.param(
            '4/4 C5q D5 E5 F5 | < G5h ! A5 | B5q "dolce" C6 A5 G5 | C5w |',
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 G5 | C5h C5 |",
            '4/4 C5q D5 E5 F5 | < G5h ! A5 | B5q "dolce" C6 A5 G5 | C5h C5 |',
            ["carried hairpin 2.1", "carried words 3.2"],
            id="a hairpin and words",
        ),
        pytest.param(
            "4/4 C5q D5 E5 F5 | G5h A5 | A4q A4 A4 A4 | B5q C6 A5 G5 | C5w |",
            "4/4 C5q D5 E5 G5 | G5h A5 | B5q C6 A5 G5 | C5w |",
            "4/4 C5q D5 E5 G5 | G5h A5 | A4q A4 A4 A4 | B5q C6 A5 G5 | C5w |",
            ["carried bar 2a.1"],
            id="a bar put in by hand",
        ),
        pytest.param(
            "4/4 C5q D5 E5 F5 | B5q C6 A5 G5 | C5w |",
            "4/4 C5q D5 E5 G5 | G5h A5 | B5q C6 A5 G5 | C5w |",
            "4/4 C5q D5 E5 G5 | B5q C6 A5 G5 | C5w |",
            ["carried bar 2.1"],
            id="a bar cut by hand",
        ),
        pytest.param(
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 G5 | C5w & E4h E4 |",
            "4/4 C5q D5 E5 G5 | G5h A5 | B5q C6 A5 G5 | C5w |",
            "4/4 C5q D5 E5 G5 | G5h A5 | B5q C6 A5 G5 | C5w & E4h E4 |",
            ["carried notes 4.1"],
            id="a voice put in by hand",
        ),
        pytest.param(
            "4/4 C5q D5 E5 F5 | G5h A5 | B5q C6 A5 G5~ | G5w |",
            "4/4 C5q D5 E5 G5 | G5h A5 | B5q C6 A5 G5 | C5w |",
            "4/4 C5q D5 E5 G5 | G5h A5 | B5q C6 A5 G5~ | G5w |",
            ["carried notes 3.1", "carried notes 4.1"],
            id="a tie over the barline",
        ),
    ],
)
def test_decided_thing_by_thing(edited: str, new: str, wanted: str, told: list[str]) -> None:
    result = merged(sketch(TUNE), sketch(edited), sketch(new))
    assert outcomes(result) == told
    assert differing(result.score, sketch(wanted)) == []


@pytest.mark.parametrize(
    ("edited", "wanted", "told"),
    [
        (
            "4/4 C5q D5 E5 F5 | G4h A5 | B5q C6 A5 G5 | C5w |",
            "4/4 key=2 D5q E5 F#5 G5 | A4h B5 | C#6q D6 B5 A5 | D5w |",
            ["carried notes 2.1"],
        ),
        (
            "4/4 C5q D5 Eb5 F#5 | G5h A5 | B5q C6 A5 G5 | C5w |",
            "4/4 key=2 D5q E5 F5 G#5 | A5h B5 | C#6q D6 B5 A5 | D5w |",
            ["carried notes 1.1"],
        ),
        (
            "4/4 C5q D5^3 E5 F5 | G5h A5^up-bow | B5q C6 A5 G5 | harmony=E:minor C5w |",
            "4/4 key=2 D5q E5^3 F#5 G5 | A5h B5^up-bow | C#6q D6 B5 A5 "
            "| harmony=F#:minor D5w |",
            ["carried ornament 1.2", "carried technical 2.3", "carried chord symbol 4.1"],
        ),
        (
            "4/4 C5q D5 E5 F5 | G5h A5 | D5q Eb5 D5 Eb5 | B5q C6 A5 G5 | C5w |",
            "4/4 key=2 D5q E5 F#5 G5 | A5h B5 | E5q F5 E5 F5 | C#6q D6 B5 A5 | D5w |",
            ["carried bar 2a.1"],
        ),
    ],
)
def test_in_another_key(edited: str, wanted: str, told: list[str]) -> None:
    result = merged(sketch(TUNE), sketch(edited), sketch(HIGHER), by=parse_interval("up M2"))
    assert outcomes(result) == told
    assert differing(result.score, sketch(wanted)) == []


def test_a_fingering_does_not_move_to_another_pitch() -> None:
    plain = sketch(TUNE)
    fingered = plain.replace(
        b"</note>",
        b"<notations><technical><fingering>2</fingering></technical></notations></note>",
        1,
    )
    result = merged(plain, fingered, sketch(HIGHER), by=parse_interval("up M2"))
    assert outcomes(result) == ["dropped fingering 1.1"]
    assert result.dropped[0].why == "it fits another pitch"
    assert result.score == sketch(HIGHER)
    assert outcomes(merged(plain, fingered, plain)) == ["carried fingering 1.1"]


TWINS = "4/4 C5q D5 E5 F5 | C5q D5 E5 F5 | G5h A5 |"


def test_among_twins_nothing_is_guessed() -> None:
    edited = "4/4 C5q D5^accent E5 F5 | C5q D5 E5 F5 | G5h^tenuto A5 |"
    new = "4/4 C5q D5 E5 F5 | C5q D5 E5 F5 | C5q D5 E5 F5 | G5h A5 |"
    wanted = "4/4 C5q D5 E5 F5 | C5q D5 E5 F5 | C5q D5 E5 F5 | G5h^tenuto A5 |"
    result = merged(sketch(TWINS), sketch(edited), sketch(new))
    assert outcomes(result) == ["carried articulation 4.1", "ambiguous articulation 1.2 in 1/2"]
    assert differing(result.score, sketch(wanted)) == []


def test_bars_given_by_hand_are_taken() -> None:
    edited = "4/4 C5q D5^accent E5 F5 | C5q D5 E5 F5 | G5h A5 |"
    new = "4/4 C5q D5 E5 F5 | C5q D5 E5 F5 | C5q D5 E5 F5 | G5h A5 |"
    wanted = "4/4 C5q D5 E5 F5 | C5q D5^accent E5 F5 | C5q D5 E5 F5 | G5h A5 |"
    given = {0: 1, 1: 2, 2: 3}
    result = merged(sketch(TWINS), sketch(edited), sketch(new), bars=given)
    assert outcomes(result) == ["carried articulation 2.2"]
    assert differing(result.score, sketch(wanted)) == []


@pytest.mark.parametrize(
    ("prefer", "wanted"),
    [
        ("hand", "4/4 C5q D5 E5 F5 | p G5h B5 | B5q C6 A5 G5 | C5w |"),
        ("new", "4/4 C5q D5 E5 F5 | f G5h C6 | B5q C6 A5 G5 | C5w |"),
        ("", "4/4 C5q D5 E5 F5 | p G5h C6 | B5q C6 A5 G5 | C5w |"),
    ],
)
def test_whose_version_stands(prefer: str, wanted: str) -> None:
    edited = "4/4 C5q D5 E5 F5 | p G5h B5 | B5q C6 A5 G5 | C5w |"
    new = "4/4 C5q D5 E5 F5 | f G5h C6 | B5q C6 A5 G5 | C5w |"
    result = merged(sketch(TUNE), sketch(edited), sketch(new), prefer=prefer)
    assert {one.kind for one in result.conflicts} == {"notes", "dynamic"}
    assert differing(result.score, sketch(wanted)) == []
    notes = next(one for one in result.conflicts if one.kind == "notes")
    assert (notes.was, notes.hand, notes.new) == ("G5 2, A5 2", "G5 2, B5 2", "G5 2, C6 2")


def test_what_a_program_lost_everywhere_is_restored() -> None:
    base = "4/4 p C5q^accent D5 E5 F5 | (G5h A5) | f B5q C6 A5^accent G5 | C5w |"
    edited = "4/4 p C5q D5 E5 F5 | (G5h A5) | mf B5q C6 A5 G5 | C5w |"
    new = "4/4 p C5q^accent D5 E5 G5 | (G5h A5) | f B5q C6 A5^accent G5 | C5w |"
    wanted = "4/4 p C5q^accent D5 E5 G5 | (G5h A5) | mf B5q C6 A5^accent G5 | C5w |"
    result = merged(sketch(base), sketch(edited), sketch(new))
    assert outcomes(result) == ["carried dynamic 3.1", "restored articulation 2"]
    assert differing(result.score, sketch(wanted)) == []


def test_what_has_to_be_printed_again() -> None:
    both = {"others": {"Oboe": "4/4 E5w | E5w | E5w | E5w |"}}
    edited = "4/4 C5q^accent D5 E5 F5 | G5h A5 | B5q C6 A5 E5 | C5w |"
    new = "4/4 C5q D5 E5 F5 | p G5h A5 | B5q C6 A5 F5 | C5w |"
    result = merged(sketch(TUNE, **both), sketch(edited, **both), sketch(new, **both))
    told = [(one.section, one.bars, one.reasons) for one in result.print_again]
    assert told == [("Flute", ["2", "3"], ["signs", "music"])]


def test_too_little_in_common_is_refused() -> None:
    other = "4/4 R | 4/4 A3e A3 A3 A3 A3h | R | D4e D4 D4h. |"
    with pytest.raises(Refused) as refused:
        merged(sketch(TUNE), sketch(TUNE), sketch(other))
    assert str(refused.value) == (
        "sketch: 0 of 4 bars of the score as it was made are found in the new one; "
        'say which is which: "1-8=1-8, 9-40=13-44"'
    )


def test_a_beam_broken_by_hand() -> None:
    """Two eighths in one beat, joined by the tool, apart by hand."""
    plain = sketch("4/4 C5q D5 E5e F5 F5q | G5h A5 |")
    first, second, third = plain.split(b"<type>eighth</type>")
    beams = b'<type>eighth</type><beam number="1">%b</beam>'
    base = first + beams % b"begin" + second + beams % b"end" + third
    edited = plain
    # A score without any beam has lost them; this one has kept a beam elsewhere.
    joined = b'<note><rest/><duration>1</duration><beam number="1">begin</beam></note>'
    edited = edited.replace(b"</measure></part>", joined + b"</measure></part>")
    base = base.replace(b"</measure></part>", joined + b"</measure></part>")
    result = merged(base, edited, base)
    assert outcomes(result) == ["carried notes 1.1"]
    assert result.score.count(b"<beam") == 1
    assert differing(result.score, edited) == []


@pytest.mark.parametrize("end", ["start", "stop"])
def test_half_a_slur_is_not_carried(end: str) -> None:
    sign = f'<notations><slur type="{end}"/></notations></note>'.encode()
    edited = sketch(TUNE).replace(b"</note>", sign, 1)
    result = merged(sketch(TUNE), edited, sketch(TUNE))
    assert outcomes(result) == ["dropped slur 1.1"]
    assert result.score == sketch(TUNE)


def test_a_part_put_in_by_hand() -> None:
    """It has the bars of the new score: rests where one is new, none where one is gone."""
    horn = {"others": {"Horn": "4/4 C4w | D4w | E4w | F4w |"}}
    new = "4/4 C5q D5 E5 F5 | D5h D5 | B5q C6 A5 G5 | C5w |"
    wanted = {"others": {"Horn": "4/4 C4w | R | E4w | F4w |"}}
    result = merged(sketch(TUNE), sketch(TUNE, **horn), sketch(new))
    assert outcomes(result) == ["carried part", "dropped bar 2.1"]
    assert differing(result.score, sketch(new, **wanted)) == []


def test_a_part_taken_out_by_hand() -> None:
    both = {"others": {"Oboe": "4/4 E5w | E5w | E5w | E5w |"}}
    new = TUNE.replace("C5w", "C5h G4")
    result = merged(sketch(TUNE, **both), sketch(TUNE), sketch(new, **both))
    assert outcomes(result) == ["carried part"]
    assert [one.section for one in result.carried] == ["Oboe"]
    assert differing(result.score, sketch(new)) == []


def test_names_and_titles_are_kept() -> None:
    named = sketch(TUNE, title="Tides").replace(b"Flute", b"Flute in the tower")
    new = sketch(TUNE.replace("C5w", "C5h G4"), title="Tide")
    result = merged(sketch(TUNE, title="Tide"), named, new)
    assert outcomes(result) == ["carried title", "carried part name"]
    assert b"<movement-title>Tides<" in result.score
    assert b"<part-name>Flute in the tower<" in result.score


def test_breaks_are_kept_on_request() -> None:
    plain = sketch(TUNE)
    broken = plain.replace(
        b'<measure number="3">', b'<measure number="3"><print new-page="yes"/>'
    )
    new = sketch(TUNE.replace("C5w", "C5h G4"))
    assert merged(plain, broken, new).score == new
    result = merged(plain, broken, new, keep_breaks=True)
    assert outcomes(result) == ["carried page break 3.1"]
    assert b'<print new-page="yes"/>' in result.score


def test_a_tie_that_leads_nowhere_is_told() -> None:
    tied = sketch("4/4 C5q D5 E5 F5~ | F5h A5 | B5q C6 A5 G5 | C5w |")
    stop = b'<step>F</step><octave>5</octave></pitch><duration>2</duration><tie type="stop"/>'
    half = tied.replace(stop, stop.replace(b"F</step>", b"G</step>").partition(b"<tie")[0])
    half = half.replace(b'<notations><tied type="stop"/></notations>', b"")
    result = merged(sketch(TUNE), half, sketch(TUNE))
    assert outcomes(result) == ["conflicts notes 1.1 new stands"]
    assert differing(result.score, sketch(TUNE)) == []
    result = merged(sketch(TUNE), tied, sketch(TUNE))
    assert outcomes(result) == ["carried notes 1.1", "carried notes 2.1"]
    assert differing(result.score, tied) == []
