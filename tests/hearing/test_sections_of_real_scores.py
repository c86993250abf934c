"""Sections of scores that others have made: quartets, orchestral movements, and one opinion.

Orchestral movements: OpenScore Orchestra (scores CC0 1.0), by way of the Hauptstimme
annotations; what is expected of each was written by hand from its part list.
"""

from pathlib import Path

import pytest
from music21 import corpus, exceptions21, instrument
from music21.musicxml.m21ToXml import GeneralObjectExporter

from rewriter.hearing.families import family_named
from rewriter.hearing.part_names import named
from rewriter.hearing.sections import sections_of
from rewriter.rulefiles.loading import load_ensemble
from rewriter.scores.score import read_score
from tests.hearing.listed import told_apart

ORCHESTRA = Path(__file__).parents[3] / "shared" / "data" / "orchestra"
STRINGS = "Vn I, Vn II, Vla, Vc, Db"
WINDS = "wind 8, brass 4, percussion 1"
EXPECTED = {
    "Beethoven_Op.67_1": (WINDS, STRINGS),
    "Beethoven_Op.67_2": (WINDS, STRINGS),
    "Beethoven_Op.67_3": (WINDS, STRINGS),
    "Beethoven_Op.67_4": ("wind 10, brass 7, percussion 1", STRINGS),
    "Beethoven_Op.92_1": (WINDS, STRINGS),
    "Beethoven_Op.92_2": (WINDS, "Vn I, Vn II, Vla, Vc 1, Vc 2, Db"),
    "Beethoven_Op.92_3": (WINDS, STRINGS),
    "Beethoven_Op.92_4": (WINDS, STRINGS),
    "Bruckner_WAB.105_2": ("wind 8, brass 10, percussion 1", STRINGS),
    "Schubert_D.485_1": ("wind 5, brass 2", STRINGS),
}
COMPOSERS = ("beethoven", "haydn", "mozart", "schumann_robert")
CALLED = {
    "Violin": ["Vn I", "Vn II"],
    "Viola": ["Vla"],
    "Violoncello": ["Vc"],
    "Contrabass": ["Db"],
}
FAMILIES = {
    "WoodwindInstrument": "wind",
    "BrassInstrument": "brass",
    "Percussion": "percussion",
    "KeyboardInstrument": "keyboard",
    "Organ": "keyboard",
    "Vocalist": "voice",
}
SEEN_OTHERWISE = {
    # by themselves these are string sections here; beside a soprano or a tenor they sing
    "Alt.", "Alto", "Alto I", "Alto II", "Bass", "Basso",
    # a bass that no choir has, and a V for which music21 hears a voice
    "C Bass", "D Bass", "String Bass", "Upright Bass", "V Celli", "V I", "V II",
    # a bass part of a cantata: an organ or harpsichord plays it, and music21 hears a singer
    "Bass Continuo",
    # several instruments at once, of which each takes another one
    "Soprano Oboe 1 Violin1", "Soprano Oboe 1,2 Violin1", "Violone e Organo",
    # a slip of the pen (Viloin), by which nothing is known here
    "Alto Viloin 2",
    # a tenor in short, which one letter is too little for
    "T",
}  # fmt: skip


def quartets():
    """Every MusicXML file of four parts among the composers of quartets in the corpus."""
    paths = [
        path
        for composer in COMPOSERS
        for path in corpus.getComposer(composer)
        if path.suffix in {".mxl", ".xml"}
    ]
    scores = [read_score(path) for path in sorted(set(paths))]
    return [score for score in scores if len(score.parts) == 4]


@pytest.mark.parametrize("name", EXPECTED)
def test_every_part_of_an_orchestra(name):
    path = ORCHESTRA / f"{name}.mxl"
    if not path.exists():
        pytest.skip("the orchestral movements are not on this machine")
    players = sections_of(read_score(path), load_ensemble())
    others, strings = EXPECTED[name]
    rows = told_apart(players)
    families = [family for family in rows if family in {"wind", "brass", "percussion"}]
    counted = ", ".join(f"{one} {families.count(one)}" for one in dict.fromkeys(families))
    assert (counted, ", ".join(rows[len(families) :])) == (others, strings)
    assert {one.known_by for one in players} == {"name"}


def test_every_part_of_every_quartet():
    scores = quartets()
    assert len(scores) == 51
    for ensemble in (load_ensemble("quartet"), load_ensemble()):
        for score in scores:
            rows = told_apart(sections_of(score, ensemble))
            assert rows == ["Vn I", "Vn II", "Vla", "Vc"], score.name


def test_two_violins_without_a_number_are_first_and_second():
    """As Humdrum has them, converted by music21."""
    path = next(path for path in corpus.getComposer("beethoven") if path.suffix == ".krn")
    score = read_score(GeneralObjectExporter(corpus.parse(path)).parse())
    assert [part.name for part in score.parts] == ["Violin", "Violin", "Viola", "Violoncello"]
    players = sections_of(score, load_ensemble("quartet"))
    assert told_apart(players) == ["Vn I", "Vn II", "Vla", "Vc"]
    assert [one.known_by for one in players] == ["order", "order", "name", "name"]


def test_quartets_without_any_name_are_known_by_their_clefs():
    """Every part of them begins in its section's own clef."""
    for score in quartets():
        for part in score.parts:
            part.listed = False
            for child in list(part.entry):
                part.entry.remove(child)
        players = sections_of(score, load_ensemble("quartet"))
        assert told_apart(players) == ["Vn I", "Vn II", "Vla", "Vc"], score.name
        assert {one.known_by for one in players} == {"order"}


def opinion(name):
    """What music21 takes a name for: sections it may be, or a family; None for no idea."""
    try:
        found = instrument.fromString(name)
    except exceptions21.InstrumentException:
        return None
    if type(found).__name__ in CALLED:
        return CALLED[type(found).__name__]
    kinds = [kind.__name__ for kind in type(found).__mro__]
    return next((FAMILIES[kind] for kind in kinds if kind in FAMILIES), None)


def names():
    """Of the parts of every tenth piece of the corpus, of quartets, and of the ensemble."""
    paths = sorted(path for path in corpus.getPaths() if path.suffix in {".mxl", ".xml"})
    scores = [read_score(path) for path in paths[::10]]
    said = {part.full_name for score in scores + quartets() for part in score.parts}
    for section in load_ensemble().sections:
        said |= {one for names in section.names.every for one in (names.singular, names.plural)}
        said |= {names.abbreviation for names in section.names.every} | {*section.spellings}
    return sorted(said - {""})


def test_what_music21_takes_names_for():
    agreed, otherwise = 0, set()
    for name in names():
        theirs = opinion(name)
        if theirs is None:
            continue
        ours = [section.key for section in named(name, load_ensemble()).sections]
        if (ours and set(ours) <= set(theirs)) or theirs == family_named(name):
            agreed += 1
        else:
            otherwise.add(name)
    assert agreed > 70
    assert otherwise <= SEEN_OTHERWISE
