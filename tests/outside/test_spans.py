"""The check of open ends finds each kind of open end, and nothing in clean music."""

import pytest

from tests.outside.spans import spanner_faults, voice_faults
from tests.shorthand import sketch

CLEAN = (
    "4/4 | (C5q D5)( E5~ E5~) | E5q 3{F5e (G5 A5} 3{B5q 3{C5e D5 E5}}) | < 8va A5q ! B5 loco "
    "(`G5s A5q) B5 & C4w |"
)


def test_clean_music_has_no_fault() -> None:
    assert spanner_faults(sketch(CLEAN)) == []


@pytest.mark.parametrize(
    ("music", "cut", "fault"),
    [
        ("4/4 | (C5h D5) |", '<slur type="stop" number="1"/>', "slur 1 never ends"),
        ("4/4 | (C5h D5) |", '<slur type="start" number="1"/>',
         "slur 1 ends without having begun"),
        ("4/4 | (C5q D5) (E5 F5) |", '<slur type="stop" number="1"/>',
         "slur 1 begins again while open since 1"),
        ("1/4 | 3{C5e D5 E5} |", '<tuplet type="stop" number="1"/>', "tuplet 1 never ends"),
        ("2/4 | < C5q D5 ! |", '<wedge type="stop"/>', "wedge 1 never ends"),
        ("2/4 | 8va C5q D5 loco |", '<octave-shift type="stop" size="8"/>',
         "octave-shift 1 never ends"),
        ("2/4 | C5q~ C5 |", '<tie type="stop"/>', "tie never ends"),
        ("2/4 | C5q~ C5 |", '<tie type="start"/>', "tie ends without having begun"),
        ("2/4 | C5q~ C5 |", '<tied type="start"/>', "tie and tied differ"),
        ("2/4 | ending=1 C5h :|", '<ending number="1" type="stop"/>', "ending never ends"),
    ],
)  # fmt: skip
def test_an_open_end_is_named(music: str, cut: str, fault: str) -> None:
    whole = sketch(music).decode()
    assert spanner_faults(whole.encode()) == []
    assert cut in whole
    found = spanner_faults(whole.replace(cut, "", 1).encode())
    assert f"P1 bar 1: {fault}" in found


@pytest.mark.parametrize(
    ("element", "fault"),
    [
        ("<ornaments><tremolo type='start'>3</tremolo></ornaments>", "tremolo 1 never ends"),
        ("<ornaments><wavy-line type='start'/></ornaments>", "wavy-line 1 never ends"),
        ("<glissando type='stop' number='2'/>", "glissando 2 ends without having begun"),
        ("<slide type='start'/>", "slide 1 never ends"),
    ],
)
def test_what_hangs_on_notes_is_watched(element: str, fault: str) -> None:
    score = sketch("1/4 | C5q^accent |").decode()
    score = score.replace("<articulations>", f"{element}<articulations>")
    assert spanner_faults(score.encode()) == [f"P1 bar 1: {fault}"]


@pytest.mark.parametrize("kind", ["dashes", "bracket", "pedal"])
def test_lines_in_directions_are_watched(kind: str) -> None:
    score = sketch('1/4 | "piu" C5q |').decode()
    score = score.replace("<words>piu</words>", f'<{kind} type="start"/>')
    assert spanner_faults(score.encode()) == [f"P1 bar 1: {kind} 1 never ends"]


def test_beams_are_watched_by_voice_apart_from_grace_notes() -> None:
    first, *rest = sketch("1/4 | C5e `D5s `E5 F5e |").decode().split("</type></note>")
    ends = [f"</type><beam>{beam}</beam></note>" for beam in ("begin", "begin", "end", "end")]
    whole = first + "".join(a + b for a, b in zip(ends, rest, strict=True))
    assert spanner_faults(whole.encode()) == []
    broken = whole.replace("<beam>end</beam>", "", 1)
    assert spanner_faults(broken.encode()) == ["P1 bar 1: beam 1 never ends"]


def test_a_slur_on_one_note_is_no_slur() -> None:
    score = sketch("2/4 | (C5q D5) |").decode()
    stop = '<notations><slur type="stop" number="1"/></notations>'
    both = '<slur type="start" number="1"/><slur type="stop" number="1"/>'
    score = score.replace(stop, "").replace('<slur type="start" number="1"/>', both)
    assert len(spanner_faults(score.encode())) == 2


def test_a_stop_may_stand_before_its_start_where_a_backup_comes_between() -> None:
    score = sketch("2/4 | C5q D5 & E4q F4 |").decode()
    first, second, third, fourth = score.split("</voice>")[:-1]
    rest = score.split("</voice>")[-1]
    slur = '<notations><slur type="{}"/></notations></note>'
    second = second + "</voice>"
    turned = f"{first}</voice>{second}{third}</voice>{fourth}</voice>{rest}"
    places = turned.split("</note>")
    places[1] += slur.format("stop").removesuffix("</note>")
    places[2] += slur.format("start").removesuffix("</note>")
    assert spanner_faults("</note>".join(places).encode()) == []


def test_part_groups_nest_and_close() -> None:
    score = sketch("1/4 | C5q |").decode()
    start = '<part-group type="start" number="{}"/>'
    stop = '<part-group type="stop" number="{}"/>'
    opened = score.replace("<score-part ", start.format(1) + start.format(2) + "<score-part ")
    crossed = opened.replace("</part-list>", stop.format(1) + stop.format(2) + "</part-list>")
    nested = opened.replace("</part-list>", stop.format(2) + stop.format(1) + "</part-list>")
    assert spanner_faults(nested.encode()) == []
    assert spanner_faults(opened.encode()) == [
        "part-group 1 never ends", "part-group 2 never ends"
    ]  # fmt: skip
    assert spanner_faults(crossed.encode())[0] == "part-group 1 ends out of its turn"


def test_voices_fill_their_bars() -> None:
    assert voice_faults(sketch("2/4 | C5h & E4q F4 | `D5e [C5 E5]h |")) == []
    assert voice_faults(sketch("2/4 | C5h & E4q |")) == ["P1 bar 1: voice 2 ends at 1 of 2"]
    assert voice_faults(sketch("2/4 | C5h & E4q |"), filled=False) == []


def test_overlaps_gaps_and_long_chord_notes_are_named() -> None:
    score = sketch("2/4 | C5q D5 & [E4 G4]q F4 |").decode()
    one_voice = score.replace("<voice>2<", "<voice>1<").encode()
    assert "P1 bar 1: voice 1 overlaps itself at 0" in voice_faults(one_voice)
    forward = "<forward><duration>1</duration></forward>"
    assert "P1 bar 1: voice 2 has a gap at 0" in voice_faults(
        score.replace("</backup>", f"</backup>{forward}").encode()
    )
    first, _, second = score.partition("<chord/>")
    longer = f"{first}<chord/>{second.replace('<duration>1<', '<duration>2<', 1)}"
    assert voice_faults(longer.encode()) == ["P1 bar 1: a chord note outlasts the first"]
    before = score.replace("<backup><duration>2<", "<backup><duration>3<").encode()
    assert "P1 bar 1: a backup leaves the bar" in voice_faults(before)


def trilled(*ends: str) -> bytes:
    signs = "".join(f'<wavy-line type="{end}"/>' for end in ends)
    trill = f"<notations><ornaments>{signs}</ornaments></notations></note>"
    return sketch("4/4 | C5q D5 E5 F5 |").replace(b"</note>", trill.encode(), 1)


def test_a_trill_line_may_end_on_the_note_it_begins_on() -> None:
    assert spanner_faults(trilled("start", "stop")) == []
    assert len(spanner_faults(trilled("stop", "start"))) == 2
