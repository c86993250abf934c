"""The stack notation: what it means, and what each mistake is told."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from rewriter.rulefiles.loading import load_ensemble
from rewriter.rulefiles.stack import parse_stack
from rewriter.rulefiles.stack_lines import Member, Share, Stack, octave_word
from rewriter.rulefiles.stack_text import StackFault
from tests.rulefiles.strings import symphonic


def read(text: str) -> Stack:
    return parse_stack(text, symphonic())


def lines(text: str) -> list[str]:
    """Each line as ``octaves below the top: words``."""
    return [
        f"{level.depth}: {member.text}"
        for level in read(text).levels
        for member in level.members
    ]


def strengths(text: str) -> list[float]:
    stack = read(text)
    return [
        stack.players_of(member, symphonic().section(member.section))
        for member in stack.members
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Vn I / Vn II + Vla / Vc", ["0: Vn I", "1: Vn II", "1: Vla", "2: Vc"]),
        ("Vn I+Vn II/Vla/half Vc", ["0: Vn I", "0: Vn II", "1: Vla", "2: half Vc"]),
        ("Vn I // Vc", ["0: Vn I", "2: Vc"]),
        ("Vn I / / Vc", ["0: Vn I", "2: Vc"]),
        ("Vn I /// Vc", ["0: Vn I", "3: Vc"]),
        ("Vn / Vc", ["0: Vn I", "0: Vn II", "1: Vc"]),
        ("half Vn / Vc", ["0: half Vn I", "0: half Vn II", "1: Vc"]),
        ("desk 1 Vn I / others Vn I", ["0: desk 1 Vn I", "1: others Vn I"]),
        ("desks 1-2 Vn I / Vc", ["0: desks 1-2 Vn I", "1: Vc"]),
        ("desks 1 \u2013 2 2nd Violins / Vc", ["0: desks 1-2 Vn II", "1: Vc"]),
        ("Third Vc / SOLO vla", ["0: third Vc", "1: solo Vla"]),
        ('"Vn I" / Vc', ["0: Vn I", "1: Vc"]),
        ("Cello / D. Bass", ["0: Vc", "1: Db"]),
    ],
)
def test_levels_and_members(text, expected):
    assert lines(text) == expected


@pytest.mark.parametrize(
    ("text", "top"),
    [
        ("Vn I / Vc", None),
        ("Vn I 8va / Vn II + Vla / Vc", 1),
        ("Vn I / Vn II + Vla loco / Vc", 1),
        ("Vn I / Vn II loco + Vla / Vc", 1),
        ("Vla loco + Vc loco", 0),
        ("Vn I // Vc 8VB", 1),
        ("Vn I 15ma / Vn II 8va / Vla loco / Vc 8vb / Db 15mb", 2),
        ("Vn I octave +2 / Vc", 2),
        ("Vn I octave 2 / Vc", 2),
        ("Vn I octave+2+Vc", 2),
        ("Vc octave -1", -1),
        ("Vc octave \u22121", -1),
    ],
)
def test_octave_words_anchor_the_top_level(text, top):
    assert read(text).top_octave == top


@pytest.mark.parametrize(
    ("text", "players"),
    [
        ("Vn I / Vc", [16, 10]),
        ("Vn I / Vn I", [8, 8]),
        ("Vn I / Vn I / Vn I + Vc", [16 / 3, 16 / 3, 16 / 3, 10]),
        ("half Vc / half Vc", [5, 5]),
        ("third Vla / others Vla", [4, 8]),
        ("desk 1 Vn I / others Vn I", [2, 14]),
        ("desks 1-2 Vn I / desk 3 Vn I / others Vn I", [4, 2, 10]),
        ("solo Vc / others Vc", [1, 9]),
        ("others Vc", [10]),
    ],
)
def test_strengths(text, players):
    assert strengths(text) == pytest.approx(players)


def test_the_last_desk_of_an_odd_section_is_one_player():
    assert Share("desk", 3, 3).players(5) == 1
    assert Share("desks", 2, 3).players(5) == 3


def nine(text: str) -> Stack:
    """Read for nine cellos, of whom half are four and a half."""
    nine_cellos = tuple(
        replace(section, players=9) if section.key == "Vc" else section
        for section in symphonic().sections
    )
    return parse_stack(text, replace(symphonic(), sections=nine_cellos))


def test_half_a_player_too_many_is_what_halves_come_to():
    """4 1/2 + 4 + 1 is 9 1/2: somebody's half is four."""
    assert len(nine("half Vc / desks 1-2 Vc / desk 5 Vc").members) == 3
    with pytest.raises(StackFault, match="add up to more than its 9 players"):
        nine("half Vc / desks 1-2 Vc / desk 3 Vc")


def test_half_a_player_is_enough_for_the_others():
    assert len(nine("half Vc / desks 1-2 Vc / others Vc").members) == 3
    with pytest.raises(StackFault, match="nobody of Vc is left for the others"):
        nine("half Vc / desks 1-2 Vc / desk 5 Vc / others Vc")


def test_plain_names_on_several_levels_divide_equally():
    assert read("Vn I / Vn I + Vc").members == (
        Member("Vn I", Share("equal")),
        Member("Vn I", Share("equal")),
        Member("Vc", Share("whole")),
    )


@pytest.mark.parametrize(
    ("text", "top", "written"),
    [
        ("Vn I/Vn II+Vla/Vc", 1, "Vn I 8va / Vn II + Vla / Vc"),
        ("Vn // half Cello", 2, "Vn I + Vn II 15ma // half Vc"),
        ("Vn I 8va / Vc", None, "Vn I / Vc"),
        ("Vc", -3, "Vc octave -3"),
    ],
)
def test_a_stack_is_written_with_the_octave_on_its_top_level(text, top, written):
    assert read(text).written(top) == written


@pytest.mark.parametrize(
    "text", ["\u201cVn I\u201d 8va / Vc", "\u201eVn I\u201c 8va / Vc", '"Vn I" 8va / Vc']
)
def test_curly_quotes_are_quotes(text):
    assert read(text).written(1) == "Vn I 8va / Vc"


def test_names_with_reserved_words_are_written_in_quotes():
    assert Member("Vc solo", Share("half")).text == 'half "Vc solo"'


LEVELS = 'write "/" for an octave lower, "+" for the same octave'

MISTAKES = [
    # stack, what is said, where the mistake stands
    ("", "the stack is empty; write it like Vn I / Vc", "^"),
    (" / ", "the stack is empty; write it like Vn I / Vc", " ^"),
    ("/ Vc", 'nothing stands above this "/"', "^"),
    ("Vc /", 'nothing stands below this "/"', "   ^"),
    ("Vc //", 'nothing stands below this "/"', "    ^"),
    (
        "Vn I / Vnn II",
        'no section is called "Vnn II" in symphonic; did you mean Vn II?',
        "       ^^^^^^",
    ),
    (
        "Xyzzy / Vc",
        'no section is called "Xyzzy" in symphonic; there are Vn I, Vn II, Vla, Vc, Db',
        "^^^^^",
    ),
    ("Vn I Vla / Vc", 'no "/" or "+" stands between "Vn I" and "Vla"', "     ^^^"),
    ("Vn I 8va Vla", 'no "/" or "+" stands before "Vla"', "         ^^^"),
    ('Vn I "Vla"', 'no "/" or "+" stands before "Vla"', "     ^^^^^"),
    ("+ Vc", 'no section stands before this "+"', "^"),
    ("Vn I + / Vc", 'no section stands after this "+"', "     ^"),
    ("Vn I + + Vc", 'no section stands before this "+"', "       ^"),
    ("half / Vc", 'no section stands after "half"', "^^^^"),
    ("Vn I / desk 1", 'no section stands after "1"', "            ^"),
    ("Vn I half / Vc", '"half" stands after its section; write half Vn I', "     ^^^^"),
    ("8va Vn I", '"8va" stands before a section; write it after the section', "^^^"),
    (
        "Vn I 8va + Vn II loco",
        '"loco" contradicts "8va"; by that word this level is 8va; one octave word is enough',
        "                 ^^^^",
    ),
    (
        "Vn I 8va / Vc 8va",
        '"8va" contradicts "8va"; by that word this level is loco; one octave word is enough',
        "              ^^^",
    ),
    ("Vn I 8 va / Vc", '"8 va" is no octave word; write 8va', "     ^^^^"),
    ("Vn I 15vb", '"15vb" is no octave word; write 15mb', "     ^^^^"),
    ("Vn I 16va", '"16va" is no octave word; write 15ma', "     ^^^^"),
    ("Vn I / Vc 8ba", '"8ba" is no octave word; write 8vb', "          ^^^"),
    ("Vn I 8va.", '"8va." is no octave word; write 8va', "     ^^^^"),
    ("Vn I 8va bassa / Vc", '"8va bassa" is no octave word; write 8vb', "     ^^^^^^^^^"),
    ("Vn I | Vla", f'"|" says nothing in a stack; {LEVELS}', "     ^"),
    ("Vn I|Vla", f'"|" says nothing in a stack; {LEVELS}', "   ^^^^^"),
    ("Vn I, Vla / Vc", f'"," says nothing in a stack; {LEVELS}', "   ^^"),
    ("Vn I 8va, Vla", f'"," says nothing in a stack; {LEVELS}', "     ^^^^"),
    ("Vn I 8va | Vla", f'"|" says nothing in a stack; {LEVELS}', "         ^"),
    ("Vn I and Vla", f'"and" says nothing in a stack; {LEVELS}', "     ^^^"),
    ("Vn I \N{EN DASH} Vc", f'"\N{EN DASH}" says nothing in a stack; {LEVELS}', "     ^"),
    (
        "Vn I div. / Vc",
        '"div." says nothing in a stack; '
        "name the section on two levels, or half, third or desks of it",
        "     ^^^^",
    ),
    (
        "tutti Vn I",
        '"tutti" says nothing in a stack; leave it out: a name is the whole section',
        "^^^^^",
    ),
    ("Vn I octave / Vc", '"octave" has no number; write it like octave +2', "     ^^^^^^"),
    (
        "Vc octave +12",
        "+12 octaves are out of hearing; 8 up or down are the most",
        "   ^^^^^^^^^^",
    ),
    ('"Vn I / Vc', "this quote never closes", "^^^^^^^^^^"),
    ("desk Vn I", '"desk" has no number; write it like desk 1 or desks 1-2', "^^^^"),
    ("desk 0 Vn I", '"desk" has no number; write it like desk 1 or desks 1-2', "^^^^"),
    ("desks 1 Vn I", '"desks" has no first and last number; write desks 1-2', "^^^^^"),
    ("desks 3-1 Vn I", "desks 3-1 run backwards; write desks 1-3", "^^^^^"),
    ("desk 9 Vn I", "Vn I has no desk 9; it has 8", "^^^^^^^^^^^"),
    (
        "Vla + Vc + Vla",
        "Vla stands twice on one level; name it once on a level",
        "           ^^^",
    ),
    ("Vn + Vn II", "Vn II stands twice on one level; name it once on a level", "     ^^^^^"),
    (
        "Vc / half Vc",
        "Vc and half Vc are more than the section; write others Vc for the rest",
        "     ^^^^^^^",
    ),
    (
        "half Vc / half Vc / third Vc",
        "the shares of Vc add up to more than its 10 players",
        "                    ^^^^^^^^",
    ),
    (
        "half Vc / half Vc / others Vc",
        "nobody of Vc is left for the others",
        "                    ^^^^^^^^^",
    ),
    (
        "others Vc / others Vc",
        "others Vc stands twice; say which others play on which level",
        "            ^^^^^^^^^",
    ),
    (
        "desk 2 Vn I / desks 1-3 Vn I",
        "desk 2 of Vn I is named twice",
        "              ^^^^^^^^^^^^^^",
    ),
]


@pytest.mark.parametrize(("text", "said", "carets"), MISTAKES)
def test_mistakes(text, said, carets):
    with pytest.raises(StackFault) as caught:
        read(text)
    fault = caught.value
    assert str(fault) == said
    assert fault.quotation == f"{text}\n{carets.replace('^', '~')}"
    assert (fault.position, fault.length) == (carets.index("^"), carets.count("^"))


@pytest.mark.parametrize(
    ("text", "carets"),
    [
        ("Vla / half Vc", "      ^^^^^^^"),
        ("Vc / others Vc", "     ^^^^^^^^^"),
        ("Vc 8va / Vla / Vc", "               ^^"),
        ("solo Vc / third Vc", "          ^^^^^^^^"),
    ],
)
def test_one_player_is_not_divided(text, carets):
    quartet = load_ensemble("quartet")
    with pytest.raises(StackFault) as caught:
        parse_stack(text, quartet)
    said = "Vc is one player and cannot be divided; name it once, without a share"
    assert str(caught.value) == said
    assert caught.value.quotation == f"{text}\n{carets.replace('^', '~')}"
    assert parse_stack("Vla / solo Vc", quartet).levels


KEYS = ["Vn I", "Vn II", "Vla", "Vc", "Db"]


@st.composite
def stacks(draw):
    """Levels of sections, each on one level, with empty octaves between."""
    order = draw(st.permutations(KEYS))[: draw(st.integers(1, 5))]
    text = order[0]
    for key in order[1:]:
        text += draw(st.sampled_from([" + ", " / ", " // "])) + key
    return text


@given(stacks(), st.integers(-4, 4))
def test_what_is_written_is_read_back(text, octave):
    stack = read(text)
    again = read(stack.written(octave))
    assert again.levels == stack.levels
    assert again.top_octave == octave
    assert read(stack.written(None)).top_octave is None


@given(st.text(alphabet='/+ "-\u22121208avlocoVnIhfdeskrt', max_size=30) | st.text(max_size=20))
def test_any_text_is_read_or_told_where_it_goes_wrong(text):
    fault = None
    try:
        stack = read(text)
    except StackFault as caught:
        fault = caught
    if fault is None:
        assert stack.levels[0].depth == 0
    else:
        assert 0 <= fault.position <= len(text)
        assert fault.quotation.count("\n") == 1
        assert str(fault).isprintable()


@pytest.mark.parametrize(
    ("octave", "word"),
    [(2, "15ma"), (1, "8va"), (0, "loco"), (-1, "8vb"), (-2, "15mb"), (3, "octave +3")],
)
def test_octave_words(octave, word):
    assert octave_word(octave) == word
    assert read(f"Vc {word}").top_octave == octave
