"""Whatever parts are called: what is said of them holds together, and capitals say nothing."""

from hypothesis import given
from hypothesis import strategies as st

from rewriter.hearing.sections import said_sections, sections_of
from rewriter.rulefiles.loading import load_ensemble
from tests.hearing.listed import Listed, listed

WORDS = st.sampled_from((
    "Violin", "Violini", "Violas", "Viola", "Celli", "Bassi", "Alto", "Tenor", "Flute",
    "solo", "div.", "I", "II", "1", "2", "3", "a", "b", "desk", "desks", "1-2", "e", "&",
    "/", "(", ")", "gli", "altri", "premiers", "zweite", "Strings", "Part", "Solovioline",
    "16", "IV",
))  # fmt: skip
NAMES = st.lists(WORDS, max_size=5).map(" ".join) | st.text(
    st.characters(categories=("L", "N", "P", "Zs")), max_size=12
)
CLEFS = st.sampled_from(("treble", "alto", "bass"))
PART = st.builds(lambda name, short, clef: Listed(name, short, clef=clef), NAMES, NAMES, CLEFS)
PARTS = st.lists(PART, min_size=1, max_size=6)


@given(PARTS, st.sampled_from(("symphonic", "quartet")))
def test_what_is_said_holds_together(parts, ensemble):
    read = load_ensemble(ensemble)
    score = listed(*parts)
    players = sections_of(score, read)
    assert [one.part for one in players] == list(range(len(parts)))
    for one in players:
        places = [read.sections.index(section) for section in one.sections]
        assert places == sorted(set(places))
        assert not (one.sections and (one.soloist or one.family != "strings"))
        assert one.known_by or not one.sections
    assert said_sections(score, players).isprintable()


@given(PARTS)
def test_a_part_that_is_told_is_what_is_told(parts):
    players = sections_of(listed(*parts), load_ensemble(), ["P1=Vc + Db"])
    assert [section.key for section in players[0].sections] == ["Vc", "Db"]
    assert players[0].known_by == "told"
