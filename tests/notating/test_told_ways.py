"""Who has to be told again how to play, and in which words: a copyist's work at entries."""

import pytest

from tests.planned import by_layout, by_plan, layout, said
from tests.shorthand import sketch


def passages(*stacks: str) -> list[str]:
    """A bar for each stack; a bar without one rests."""
    return [
        f'bars = "{bar}"\nstack = "{stack}"' for bar, stack in enumerate(stacks, 1) if stack
    ]


def told(music: str, *stacks: str) -> str:
    """What the cellos read."""
    return said(by_plan(sketch(f"4/4 | {music} |"), *passages(*stacks)).score)["Vc"]


VC, VLA, HALF = "Vc 8vb", "Vla loco", "half Vc 8vb"


def test_who_was_left_plucking_is_told_to_bow() -> None:
    music = '"pizz." C5w | D5w | "arco" E5w | F5w | G5w'
    assert told(music, VC, VC, VLA, VLA, VC) == '"pizz." C4w | D4w | R | R | "arco" G4w'


def test_who_plucked_and_still_plucks_is_told_nothing() -> None:
    assert told('"pizz." C5w | D5w | E5w', VC, VLA, VC) == '"pizz." C4w | R | E4w'


def test_who_comes_in_under_a_pizzicato_is_told() -> None:
    assert told('"pizz." C5w | D5w | E5w', VLA, VLA, VC) == 'R | R | "pizz." E4w'


def test_a_default_that_contradicts_nothing_is_not_said() -> None:
    assert told('"pizz." C5w | "arco" D5w | E5w', VLA, VLA, VC) == "R | R | E4w"


def test_the_other_half_is_told_where_all_come_in() -> None:
    """The front half plucks already; the half behind has to be told."""
    found = told('"pizz." C5w | D5w | E5w', HALF, HALF, VC)
    assert found == '"pizz." "half" C4w | D4w | "tutti" "pizz." E4w'


def test_half_a_section_plucks_while_the_other_half_bows() -> None:
    data = sketch(
        "4/4 | C5q D5 E5 F5 | G5w | A5w |",
        tune="Melody",
        others={"Bass": '4/4 | "pizz." C3h F3 | G3w | A3w |'},
    )
    both = layout("half Vc loco", "[[with]]", 'from = "Bass"', 'to = "half Vc loco"')
    alone = layout("Vla loco", "[[with]]", 'from = "Bass"', 'to = "Vc loco"')
    made = by_plan(
        data, 'bars = "1"\nlayout = "both.toml"', 'bars = "2"\nstack = "Vc loco"',
        'bars = "3"\nlayout = "alone.toml"', both=both, alone=alone,
    )  # fmt: skip
    cellos = "".join(text for name, text in said(made.score).items() if name.startswith("Vc"))
    assert '| "unis." "arco" G5w | "pizz." A3w' in cellos


def test_a_voice_that_never_says_it_is_bowed_all_the_same() -> None:
    """The bass was plucked; the tune, which the cellos have next, says nothing of it."""
    data = sketch(
        "4/4 | C5w | D5w |", tune="Melody", others={"Bass": '4/4 | "pizz." C3w | D3w |'}
    )
    bass = layout("Vla loco", "[[with]]", 'from = "Bass"', 'to = "Vc loco"')
    made = by_plan(
        data, 'bars = "1"\nlayout = "bass.toml"', 'bars = "2"\nstack = "Vc 8vb"', bass=bass
    )
    assert said(made.score)["Vc"] == '"pizz." C3w | "arco" D4w'


@pytest.mark.parametrize(
    ("language", "word"),
    [("en", "senza sord."), ("it", "senza sord."), ("de", "ohne Dämpfer"),
     ("fr", "sans sourdines")],
)  # fmt: skip
def test_mutes_come_off_in_the_language_of_the_parts(language: str, word: str) -> None:
    data = sketch(
        "4/4 | C5w | D5w |", tune="Melody", others={"Bass": '4/4 | "con sord." C3w | R |'}
    )
    text = layout(
        "Vla loco", '[line."Vla"]', 'handover = { above = "C5", to = "Vc", at = "bar" }',
        "[[with]]", 'from = "Bass"', 'to = "Vc loco"',
    )  # fmt: skip
    made = by_layout(data, text, language=language)
    assert said(made.score)["Vc"] == f'"con sord." C3w | "{word}" D5w'


def test_solo_and_tutti_of_the_sketch_are_no_ways_of_playing() -> None:
    assert told('"Solo" C5w | D5w | E5w', VLA, VLA, VC) == "R | R | E4w"


def test_words_of_tremolo_over_strokes_are_not_said_again() -> None:
    data = '"trem." C5w^3 | D5w | E5w'
    assert told(data, VLA, VLA, VC) == "R | R | E4w"
    assert told(data.replace("^3", ""), VLA, VLA, VC) == 'R | R | "trem." E4w'


def test_ord_takes_the_bow_off_the_wood() -> None:
    music = '"col legno" C5w | "ord." D5w | E5w'
    assert told(music, VC, VLA, VC) == '"col legno" C4w | R | "arco" E4w'


def test_only_the_words_of_the_technique_are_said_again() -> None:
    assert told('"pizz., dolce" C5w | D5w | E5w', VLA, VLA, VC) == (
        'R | R | "pizz." "dolce" E4w'
    )
