"""What is cut at a border is whole again on both sides; expected by hand."""

import re

import music21
import pytest

from tests.outside.spans import spanner_faults
from tests.planned import by_layout, by_plan, layout, said
from tests.shorthand import sketch

FIRST = 'bars = "1"\nstack = "Vn I loco"'
SECOND = 'from = "2"\nto = "end"\nstack = "Vla loco"'


def passed_on(music: str, first: str = FIRST, second: str = SECOND) -> tuple[str, str]:
    """What the first violins say, and the violas who go on."""
    score = by_plan(sketch(music), first, second).score
    assert spanner_faults(score) == []
    parts = said(score)
    return parts["Vn I"], parts["Vla"]


def test_a_tie() -> None:
    assert passed_on("4/4 | C5h D5~ | D5h E5 |") == ("C5h D5h | R", "R | D5h E5h")


def test_a_tie_of_a_section_that_plays_on_stays() -> None:
    music = "4/4 | C5h D5~ | D5h E5 |"
    found, _ = passed_on(music, FIRST, 'from = "2"\nto = "end"\nstack = "Vn I loco + Vla"')
    assert found == "C5h D5h~ | D5h E5h"


def test_a_tie_of_a_section_that_changes_its_octave_goes() -> None:
    music = "4/4 | C5h D5~ | D5h E5 |"
    found, _ = passed_on(music, FIRST, 'from = "2"\nto = "end"\nstack = "Vn I 8va / Vla"')
    assert found == "C5h D5h | D6h E6h"


IN_OCTAVES = layout("Vn I 8va / Vn I")


def test_a_tie_into_a_division_is_held_by_the_line_it_is_in() -> None:
    music = "4/4 | F5h G5 | C5h D5~ | D5h E5 | C5w |"
    made = by_plan(
        sketch(music),
        'from = "1"\nto = "2"\nstack = "Vn I loco"',
        'bars = "3"\nlayout = "two.toml"',
        'bars = "4"\nstack = "Vn I loco"',
        two=IN_OCTAVES,
    )
    assert said(made.score)["Vn I"] == (
        'F5h G5h | C5h D5h~ | "div." D6+D5h E6+E5h | "unis." C5w'
    )
    assert made.score.count(b'<tie type="stop"') == made.score.count(b'<tied type="stop"') == 1
    assert spanner_faults(made.score) == []


def test_a_tie_out_of_a_division_is_held_by_all() -> None:
    made = by_plan(
        sketch("4/4 | C5h D5~ | D5h E5 | C5w |"),
        'bars = "1"\nlayout = "two.toml"',
        'from = "2"\nto = "end"\nstack = "Vn I loco"',
        two=IN_OCTAVES,
    )
    assert made.score.count(b'<tie type="stop"') == made.score.count(b'<tie type="start"') == 1
    assert said(made.score)["Vn I"].endswith('| "unis." D5h E5h | C5w')
    assert spanner_faults(made.score) == []


def test_a_tie_of_the_lower_note_of_a_chord_goes_too() -> None:
    """F moves to E while D is held: it alone is tied, and nobody holds it over the border."""
    data = sketch(
        "4/4 | C5w | E5w |", tune="Melody", others={"Pad": "4/4 | [F4 D4]w~ | [E4 D4]w |"}
    )
    pads = {
        name: layout(
            "Vn I loco", "[[with]]", 'from = "Pad"', f'to = "{to}"', 'chords = "divide"'
        )
        for name, to in (("violas", "Vla loco"), ("violins", "Vn II loco"))
    }
    score = by_plan(
        data,
        'bars = "1"\nlayout = "violas.toml"',
        'bars = "2"\nlayout = "violins.toml"',
        **pads,
    ).score
    assert said(score)["Vla"] == '"div." F4+D4w | R'
    assert said(score)["Vn II"] == 'R | "div." E4+D4w'
    assert b"<tie" not in score


def test_a_slur_is_shortened_on_both_sides() -> None:
    assert passed_on("4/4 | C5h (D5q E5 | F5q G5) A5h |") == (
        "C5h (D5q E5q) | R",
        "R | (F5q G5q) A5h",
    )


def test_a_slur_with_one_note_left_goes() -> None:
    assert passed_on("4/4 | C5h. (D5q | F5q G5) A5h |") == ("C5h. D5q | R", "R | (F5q G5q) A5h")
    assert passed_on("4/4 | C5h (D5q E5 | F5q) G5 A5h |") == (
        "C5h (D5q E5q) | R", "R | F5q G5q A5h",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("music", "wanted"),
    [
        ("4/4 | p C5h < D5 | E5h F5 ! | f G5w |", "R | p < E5h F5h ! | f G5w"),
        ("4/4 | p C5h < D5 | E5h F5 ! f | G5w |", "R | p < E5h F5h ! f | G5w"),
    ],
)
def test_a_hairpin_ends_and_begins_again(music: str, wanted: str) -> None:
    assert passed_on(music) == ("p C5h < D5h ! | R | R", wanted)


def test_a_hairpin_that_ends_at_the_border_does_not_come_over() -> None:
    assert passed_on("4/4 | p C5h < D5 | ! f E5w |") == ("p C5h < D5h ! | R", "R | f E5w")


def test_a_hairpin_that_begins_at_the_border_is_not_begun_before_it() -> None:
    assert passed_on("4/4 | p C5w | < E5h F5 ! |") == ("p C5w | R", "R | p < E5h F5h !")


def test_the_dynamic_in_force_is_restated() -> None:
    assert passed_on("4/4 | mf C5w | E5w |") == ("mf C5w | R", "R | mf E5w")


def test_a_dynamic_at_the_entry_is_not_said_twice() -> None:
    assert passed_on("4/4 | mf C5w | p E5w |") == ("mf C5w | R", "R | p E5w")


@pytest.mark.parametrize(
    ("music", "entering"),
    [
        ("p C5h sfz D5 | E5w", "p E5w"),
        ("p C5h fz D5 | sf E5w", "p sf E5w"),
        ("sfz C5h D5 | E5w", "E5w"),
        ("f C5h fp D5 | E5w", "p E5w"),
        ("f C5h^p D5 | E5w", "p E5w"),
        ("f C5h^p D5^sfz | E5w", "p E5w"),
        ("f C5h D5 | E5w^p", "E5w"),
    ],
)
def test_an_accent_is_not_restated_and_a_note_s_own_dynamic_is(
    music: str, entering: str
) -> None:
    assert passed_on(f"4/4 | {music} |")[1] == f"R | {entering}"


@pytest.mark.parametrize(
    ("sign", "mine", "theirs"),
    [
        ("<words>dim.</words>", '"dim."', ""),
        ("<dynamics><p/></dynamics>", "p", "p"),
        ("<words>dolce</words>", '"dolce"', '"dolce"'),
    ],
)
def test_a_sign_behind_a_note_that_means_it_is_for_who_plays_that(
    sign: str, mine: str, theirs: str
) -> None:
    """Programs write signs behind their note, with an offset back into it."""
    direction = f"<direction><direction-type>{sign}</direction-type><offset>-1</offset>"
    data = sketch("4/4 | C5h D5 | E5w |").decode()
    bars = data.split("</measure>")
    bars[0] += f"{direction}</direction>"
    score = by_plan(
        "</measure>".join(bars).encode(),
        'from = "start"\nto = "1"\nstack = "Vn I loco"',
        'from = "2"\nto = "end"\nstack = "Vla loco"',
    ).score
    parts = said(score)
    assert parts["Vn I"].split() == ["C5h", "D5h", *[mine] * bool(mine), "|", "R"]
    assert parts["Vla"].split() == ["R", "|", *[theirs] * bool(theirs), "E5w"]
    inside = bars[0].replace(f"{direction}</direction>", "").rpartition("<note>")
    bars[0] = f"{inside[0]}{direction}</direction><note>{inside[2]}"
    score = by_plan(
        "</measure>".join(bars).encode(),
        'from = "start"\nto = "1"\nstack = "Vn I loco"',
        'from = "1 beat 3"\nto = "end"\nstack = "Vla loco"',
    ).score
    parts = said(score)
    assert mine in parts["Vn I"]
    assert theirs in parts["Vla"]


@pytest.mark.parametrize("stands_before", [0, 1, 2])
@pytest.mark.parametrize(
    ("sign", "said_as"),
    [
        ("<words>dim.</words>", '"dim."'),
        ("<dynamics><p/></dynamics>", "p"),
        ("<words>pizz.</words>", '"pizz."'),
    ],
)
def test_a_sign_ahead_of_its_moment_is_for_who_plays_then(
    sign: str, said_as: str, stands_before: int
) -> None:
    """An offset may lead over several notes; source: W3C MusicXML 4.0, ``<offset>``."""
    offset = f"<offset>{3 - stands_before}</offset>"
    direction = f"<direction><direction-type>{sign}</direction-type>{offset}</direction>"
    notes = sketch("4/4 | C5q D5 E5 F5 |").decode().split("<note>")
    notes[stands_before] += direction
    score = by_plan(
        "<note>".join(notes).encode(),
        'from = "start"\nto = "1 beat 3"\nstack = "Vn I loco"',
        'from = "1 beat 4"\nto = "end"\nstack = "Vla loco"',
    ).score
    parts = said(score)
    assert parts["Vn I"] == "C5q D5q E5q rq"
    assert parts["Vla"].endswith(f"{said_as} F5q")
    assert not re.search(r"<offset>[^0]", score.decode())


def test_a_dynamic_within_a_note_holds_behind_that_of_the_note() -> None:
    direction = "<direction><direction-type><dynamics><f/></dynamics></direction-type>"
    notes = sketch("4/4 | C5w^p | E5w |").decode().split("<note>")
    notes[0] += f"{direction}<offset>2</offset></direction>"
    parts = said(by_plan("<note>".join(notes).encode(), FIRST, SECOND).score)
    assert parts["Vla"] == "R | f E5w"


@pytest.mark.parametrize("entry", ["sfz E5w", "E5w^sfz"])
def test_an_accent_at_an_entry_follows_the_dynamic_in_force_in_one_direction(
    entry: str,
) -> None:
    """Two directions at one moment would be drawn over each other."""
    made = by_plan(sketch(f"4/4 | p C5w | {entry} |"), FIRST, SECOND).score
    violas = made.split(b"</part>")[2]
    assert len(re.findall(b"<direction[ >]", violas)) == violas.count(b"</direction>") == 1
    assert re.findall(rb"<dynamics><(\w+)/></dynamics>", violas) == [b"p", b"sfz"]
    assert said(made)["Vla"] == "R | p sfz E5w"
    score = music21.converter.parseData(made.decode(), format="musicxml")
    marks = score.parts[2].recurse().getElementsByClass(music21.dynamics.Dynamic)
    assert [(one.value, one.getOffsetInHierarchy(score)) for one in marks] == [
        ("p", 4.0),
        ("sfz", 4.0),
    ]


def test_a_dynamic_of_another_name_is_restated_as_it_is_written() -> None:
    data = sketch("4/4 | pp C5w | E5w |").replace(
        b"<pp/>", b"<other-dynamics>sempre pp</other-dynamics>"
    )
    made = by_plan(data, FIRST, SECOND).score
    assert made.count(b"<other-dynamics>sempre pp</other-dynamics>") == 2


@pytest.mark.parametrize(("dynamic", "wanted"), [("-1", "p"), ("ff", "")])
def test_a_line_s_own_dynamic_holds_for_those_of_notes(dynamic: str, wanted: str) -> None:
    text = layout("Vla loco", '[line."Vla"]', f'dynamic = "{dynamic}"')
    made = by_plan(
        sketch("4/4 | C5w | E5h F5^mp |"), FIRST, 'bars = "2"\nlayout = "own.toml"', own=text
    )
    violas = made.score.decode().split("</part>")[2]
    assert re.findall(r"<notations><dynamics><(\w+)/>", violas) == [wanted] * bool(wanted)


def test_who_plays_on_is_told_nothing_again() -> None:
    music = "4/4 | mf C5w | E5w |"
    found, entering = passed_on(
        music, FIRST, 'from = "2"\nto = "end"\nstack = "Vn I loco + Vla"'
    )
    assert (found, entering) == ("mf C5w | E5w", "R | mf E5w")


@pytest.mark.parametrize(
    ("music", "entering"),
    [
        ('4/4 | "pizz." C5w | E5w |', 'R | "pizz." E5w'),
        ('4/4 | "con sord." C5w | E5w |', 'R | "con sord." E5w'),
        ('4/4 | "pizz." C5w | "arco" E5w |', 'R | "arco" E5w'),
        # A default that contradicts nothing is not restated.
        ('4/4 | "pizz." C5h "arco" D5 | E5w |', "R | E5w"),
        ('4/4 | "con sord." C5h "senza sord." D5 | E5w |', "R | E5w"),
        ('4/4 | "pizz." "con sord." C5h "arco" D5 | E5w |', 'R | "con sord." E5w'),
    ],
)
def test_the_technique_in_force_is_restated(music: str, entering: str) -> None:
    assert passed_on(music)[1] == entering


@pytest.mark.parametrize(
    ("music", "entering"),
    [
        ('4/4 | "con anima" C5w | E5w |', 'R | "con anima" E5w'),
        ('4/4 | p "molto espr." C5w | E5w |', 'R | p "molto espr." E5w'),
        ('4/4 | "espr." C5h "dolce" D5 | E5w |', 'R | "dolce" E5w'),
        ('4/4 | "espr." C5w | "dolce" E5w |', 'R | "dolce" E5w'),
        ('4/4 | "dim. e dolce" C5w | E5w |', 'R | "dolce" E5w'),
        # a tempo, in words or figures, or a double bar ends it
        ('4/4 | "espr." C5h "Più mosso" D5 | E5w |', "R | E5w"),
        ('4/4 | "espr." C5h tempo=96 D5 | E5w |', "R | E5w"),
        ('4/4 | tempo=96 "espr." C5w | E5w |', 'R | "espr." E5w'),
        ('4/4 | "espr." C5w :| E5w |', "R | E5w"),
        # words for a moment govern nothing
        ('4/4 | "sempre pp" C5w | E5w |', "R | E5w"),
        ('4/4 | "cresc." C5w | E5w |', "R | E5w"),
    ],
)
def test_the_expression_in_force_is_restated(music: str, entering: str) -> None:
    assert passed_on(music)[1] == entering


@pytest.mark.parametrize(
    ("music", "first", "found"),
    [
        (
            'p "dolce" C5w | E5h D5 |',
            "half Vn I loco",
            'p "dolce" "half" C5w | "tutti" p "dolce" E5h D5h',
        ),
        # who has it before him already is told nothing: the others played it an octave lower
        (
            'p "dolce" C5w | E5h D5 |',
            "half Vn I loco / half Vn I",
            '"div." p "dolce" C5+C4w | "unis." E5h D5h',
        ),
        # what the sketch says itself stands once; within a hairpin no dynamic is true
        ("p C5w | f E5w |", "half Vn I loco", 'p "half" C5w | f "tutti" E5w'),
        ("p < C5w | E5w ! |", "half Vn I loco", 'p < "half" C5w | "tutti" E5w !'),
        ("C5w | E5w |", "half Vn I loco", '"half" C5w | "tutti" E5w'),
    ],
)
def test_who_joins_a_line_that_goes_on_is_told(music: str, first: str, found: str) -> None:
    first, second = f'bars = "1"\nstack = "{first}"', 'bars = "2"\nstack = "Vn I loco"'
    assert passed_on("4/4 | " + music, first, second)[0] == found


def test_an_expression_is_restated_on_the_side_where_it_stands() -> None:
    below = sketch('4/4 | "dolce" C5w | E5w |').replace(
        b"<direction>", b'<direction placement="below">'
    )
    for data, side in ((below, b"below"), (sketch('4/4 | "dolce" C5w | E5w |'), b"above")):
        restated = by_plan(data, FIRST, SECOND).score.split(b'<part id="P3">')[1]
        assert b'<direction placement="%b"><direction-type><words' % side in restated


def test_a_word_before_a_rest_goes_with_who_plays_behind_it() -> None:
    """The cellos give away all that follows: nothing is said under their silence."""
    handing = ['[line."Vc"]', 'handover = { above = "B4", to = "Vn II" }']
    data = sketch('4/4 | p A4w | "dolce" rh C5 | C5w | A4w |')
    parts = said(by_layout(data, layout("Vc loco", *handing)).score)
    assert parts["Vc"].startswith("p A4w | R | R")
    assert parts["Vn II"].startswith('R | rh p "dolce" C5h | C5w')


def test_a_hairpin_that_ends_on_a_rest_does_not_part_a_silence() -> None:
    """The sketch rests for a quarter before the pickup; who does not play that has one rest."""
    music = "6/8 p > | F5e G5 F5 ! rq Bb4e | E5h. |"
    first = 'from = "1"\nto = "1 beat 5"\nstack = "Vn I loco"'
    second = 'from = "1 beat 6"\nto = "end"\nstack = "Vla loco"'
    assert passed_on(music, first, second)[0] == "p > F5e G5e F5e ! rq. | R"


@pytest.mark.parametrize(
    ("music", "found"),
    [
        # an eighth, a quarter and a half of silence where a note is out of range
        ('4/4 | p "dolce" C5w | A5q C8e A5 B5h |', 'p "dolce" C5w | A5q re A5e B5h'),
        ("4/4 | p C5w | B5q C8 B5 C8 | B5w |", "p C5w | B5q rq B5q rq | B5w"),
        ("4/4 | p C5w | B5h C8 | f B5w |", "p C5w | B5h rh | f B5w"),
        # what has changed meanwhile is said, and only that
        ('4/4 | p "dolce" A5q f C8 A5h |', 'p "dolce" A5q rq f A5h'),
        # after a bar a player asks again
        ("4/4 | p B5h C8 | C8h B5 |", "p B5h rh | rh p B5h"),
    ],
)
def test_a_line_that_stops_for_a_moment_is_not_told_again(music: str, found: str) -> None:
    text = layout("Vn I loco", "[limits]", 'out_of_range = "rest"')
    assert said(by_layout(sketch(music), text).score)["Vn I"] == found


def test_steps_of_dynamics_hold_for_the_restated_one_too() -> None:
    text = layout("Vla loco", '[line."Vla"]', 'dynamic = "-1"')
    made = by_plan(
        sketch("4/4 | f C5w | E5h p F5 |"), FIRST, 'bars = "2"\nlayout = "soft.toml"', soft=text
    )
    assert said(made.score)["Vla"] == "R | mf E5h pp F5h"


def lined(tag: str) -> list[list[str]]:
    """Letters and ends of a line over four notes of two bars, in violins and violas."""
    data = sketch("4/4 | C5h D5 | E5h F5 |").decode().split("</note>")
    data[0] += f"<notations>{tag.format('start')}</notations>"
    data[3] += f"<notations>{tag.format('stop')}</notations>"
    score = by_plan("</note>".join(data).encode(), FIRST, SECOND).score
    assert spanner_faults(score) == []
    parts = [part.partition("<measure")[2] for part in score.decode().split("</part>")]
    return [re.findall(r"(?<=<step>).|start|stop", parts[place]) for place in (0, 2)]


def test_a_trill_line_is_shortened_like_a_slur() -> None:
    assert lined('<ornaments><wavy-line type="{}" number="1"/></ornaments>') == [
        ["C", "start", "D", "stop"],
        ["E", "start", "F", "stop"],
    ]


@pytest.mark.parametrize("tag", ["slide", "glissando"])
def test_a_glissando_across_the_border_goes(tag: str) -> None:
    """What is left of it would slide to another note."""
    assert lined(f'<{tag} type="{{}}" number="1"/>') == [["C", "D"], ["E", "F"]]


def test_a_slur_continued_where_it_is_cut_begins_there() -> None:
    data = sketch("4/4 | C5h (D5q E5 | F5q G5) A5h |").decode().split("</note>")
    data[3] += '<notations><slur type="continue" number="1"/></notations>'
    score = by_plan("</note>".join(data).encode(), FIRST, SECOND).score.decode()
    assert re.findall(r'<slur type="(\w+)"', score) == ["start", "stop", "start", "stop"]


@pytest.mark.parametrize(
    ("music", "entering"),
    [
        ("4/4 | p C5h < D5 ! | E5w |", "R | mp E5w"),
        ("4/4 | f C5h > D5 ! | E5w |", "R | mf E5w"),
        # up and down again
        ("4/4 | p C5q < D5 ! > E5 F5 ! | E5w |", "R | p E5w"),
        # twice up is one step all the same: nobody can say how far it went
        ("4/4 | p C5q < D5 ! < E5 F5 ! | E5w |", "R | mp E5w"),
        # a mark behind it says what it came to
        ("4/4 | p C5q < D5 ! f E5h | E5w |", "R | f E5w"),
    ],
)
def test_a_hairpin_before_an_entry_changes_the_restated_dynamic(
    music: str, entering: str
) -> None:
    assert passed_on(music)[1] == entering


def test_a_hairpin_told_to_go_on_before_the_border_is_still_open_there() -> None:
    """It goes on at bar 2, as on a new system, and is cut before bar 3."""
    goes_on = '<direction><direction-type><wedge type="continue"/></direction-type></direction>'
    bars = (
        sketch("4/4 | p C5h < D5 | E5h F5 | G5h A5 ! |").decode().split('<measure number="2">')
    )
    data = goes_on.join((f'{bars[0]}<measure number="2">', bars[1]))
    score = by_plan(
        data.encode(),
        'bars = "1-2"\nstack = "Vn I loco"',
        'from = "3"\nto = "end"\nstack = "Vla loco"',
    ).score
    assert spanner_faults(score) == []
    parts = [part.partition("<measure")[2] for part in score.decode().split("</part>")]
    found = [re.findall(r'(?<=<step>).|(?<=wedge type=")\w+', parts[place]) for place in (0, 2)]
    assert [[each for each in part if each != "continue"] for part in found] == [
        ["C", "crescendo", "D", "E", "F", "stop"],
        ["crescendo", "G", "A", "stop"],
    ]


def test_a_hairpin_that_begins_and_ends_at_the_border_is_not_left_open() -> None:
    found, _ = passed_on(
        "4/4 | p C5h < ! D5h | E5w |",
        'from = "1"\nto = "1 beat 3"\nstack = "Vn I loco"',
        'from = "1 beat 3"\nto = "end"\nstack = "Vla loco"',
    )
    assert found == "p C5h rh | R"


def test_a_hairpin_at_a_border_within_the_bar_of_a_line_with_its_own_dynamic() -> None:
    """Found by made-up plans: the hairpin begins where the dynamic of the line changes."""
    text = layout("Vn I loco", '[line."Vn I"]', 'dynamic = "-1"')
    made = by_plan(
        sketch("4/4 | C5h < D5q E5 ! | p F5w |"),
        'bars = "1"\nstack = "Vn I loco"',
        'from = "1 beat 3"\nto = "end"\nlayout = "soft.toml"',
        soft=text,
    )
    assert spanner_faults(made.score) == []
    assert said(made.score)["Vn I"] == "C5h < D5q E5q ! | pp F5w"


def test_a_slur_does_not_begin_or_end_on_a_rest() -> None:
    assert passed_on("4/4 | C5q (D5 E5 rq | rq F5 G5) A5 |") == (
        "C5q (D5q E5q) rq | R",
        "R | rq (F5q G5q) A5q",
    )
