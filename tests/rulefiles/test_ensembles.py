"""Ensembles: the figures that are shipped, the spellings understood, the faults told."""

import pytest

from rewriter.problems import Refused
from rewriter.rulefiles.ensemble_files import ensemble_from_text
from rewriter.rulefiles.loading import load_ensemble, names
from rewriter.theory.pitch import name_of_midi, parse_pitch
from tests.rulefiles.strings import symphonic

KEYS = ["Vn I", "Vn II", "Vla", "Vc", "Db"]


def pitches(text):
    return tuple(parse_pitch(name).midi for name in text.split())


@pytest.mark.parametrize(
    ("name", "players"),
    [
        ("symphonic", [16, 14, 12, 10, 8]),  # Piston, Orchestration (1969), ch. 1
        ("concert", [14, 12, 10, 8, 6]),
        ("studio", [14, 10, 8, 10, 4]),
        ("chamber", [6, 5, 4, 3, 2]),  # from memory
    ],
)
def test_players(name, players):
    sections = load_ensemble(name).sections
    assert [section.key for section in sections] == KEYS
    assert [section.players for section in sections] == players


def test_a_quartet_is_four_players_named_in_the_singular():
    quartet = load_ensemble("quartet")
    assert [(section.key, section.players) for section in quartet.sections] == [
        ("Vn I", 1), ("Vn II", 1), ("Vla", 1), ("Vc", 1),
    ]  # fmt: skip
    names = [section.full_name("it") for section in quartet.sections]
    assert names == ["Violino I", "Violino II", "Viola", "Violoncello"]
    assert quartet.section("Vla").registers == symphonic().section("Vla").registers


def test_a_file_may_leave_sections_out():
    text = 'title = "x"\nbased_on = "symphonic"\nwithout = ["Db", "Vla"]\n'
    read = ensemble_from_text(text, "x.toml", name="x")
    assert [section.key for section in read.sections] == ["Vn I", "Vn II", "Vc"]
    assert faults(text.replace('"Vla"', '"Vlaa"')) == [
        'x.toml:3: without[2]: there is no "Vlaa" to leave out; there is Vn I, Vn II, Vla, Vc'
    ]
    assert faults('without = ["Db"]\n')[0] == (
        'x.toml:1: without[1]: there is no "Db" to leave out; '
        "there is nothing, since there is no based_on"
    )


def test_five_ensembles_are_shipped():
    assert names("ensembles") == ["chamber", "concert", "quartet", "studio", "symphonic"]


@pytest.mark.parametrize(
    ("key", "strings"),
    [
        # A. E. Johnstone, Instruments of the Modern Symphony Orchestra (1917), pp. 8-14
        ("Vn I", "G3 D4 A4 E5"),
        ("Vn II", "G3 D4 A4 E5"),
        ("Vla", "C3 G3 D4 A4"),
        ("Vc", "C2 G2 D3 A3"),
        ("Db", "E1 A1 D2 G2"),
    ],
)
def test_open_strings(key, strings):
    section = symphonic().section(key)
    assert section.strings == pitches(strings)
    assert section.lowest == section.low == section.strings[0]


@pytest.mark.parametrize(
    ("key", "high", "extreme"),
    [
        # Prout, Johnstone, Widor, Rimsky-Korsakov and textbooks, where they agree
        ("Vn I", "E7", "B7"),
        ("Vn II", "E7", "B7"),
        ("Vla", "E6", "A6"),
        ("Vc", "A5", "E6"),
        ("Db", "G3", "G4"),
    ],
)
def test_ranges(key, high, extreme):
    section = symphonic().section(key)
    assert (name_of_midi(section.high), name_of_midi(section.extreme)) == (high, extreme)


@pytest.mark.parametrize(
    ("key", "registers"),
    [
        (
            "Vn I",
            "low G3 0.75 0.5 0.2, middle D4 0.95 0.9 0.8, soprano A4 1.0 1.0 1.0, "
            "high E6 0.4 0.6 0.8, top A6 0.1 0.2 0.4",
        ),
        (
            "Vla",
            "low C3 0.6 0.4 0.3, tenor G3 0.95 0.8 0.75, alto D4 1.0 1.0 1.0, "
            "high A5 0.3 0.5 0.6",
        ),
        ("Vc", "bass C2 0.3 0.2 0.2, tenor C3 1.0 1.0 1.0, soprano C5 0.4 0.5 0.6"),
        ("Db", "all E1 0.0 0.0 0.0"),
    ],
)
def test_registers(key, registers):
    """In soft, plain and full music; common practice, no source."""
    found = ", ".join(
        f"{register.name} {name_of_midi(register.from_midi)} "
        + " ".join(map(str, register.fitness))
        for register in symphonic().section(key).registers
    )
    assert found == registers


def test_a_figure_may_be_one_for_all_strengths_or_one_for_each():
    text = """title = "x"
based_on = "symphonic"
registers = "measured"

[[section]]
name = "Vn I"
registers = [
    { name = "low", from = "G3", sings = 0.4 },
    { name = "high", from = "A4", sings = { soft = 1, plain = 0.9, full = 0.8 } },
]
"""
    read = ensemble_from_text(text, "x.toml", name="x")
    low, high = read.section("Vn I").registers
    assert (low.fitness, high.fitness) == ((0.4, 0.4, 0.4), (1, 0.9, 0.8))
    assert (read.registers, symphonic().registers) == ("measured", "singing")
    assert faults(text.replace("plain = 0.9, ", "").replace("measured", "singin")) == [
        'x.toml:3: registers: "singin" is none of singing, measured; did you mean singing?',
        "x.toml:9: section[1].registers[2].sings.plain: this setting is missing",
    ]


def test_cellos_may_go_lower_where_all_octaves_are_there():
    bass, *rest = symphonic().section("Vc").registers
    assert bass.fitness_in_four_levels == (0.45, 0.45, 0.45)
    assert all(register.fitness_in_four_levels is None for register in rest)


@pytest.mark.parametrize(
    ("key", "clefs"),
    [
        # which clefs: Johnstone (1917), pp. 8-14; where they change: common practice, no source
        ("Vn I", [("treble", "G", 2, None, None)]),
        ("Vla", [("alto", "C", 3, None, None), ("treble", "G", 2, "C5", "G4")]),
        (
            "Vc",
            [
                ("bass", "F", 4, None, None),
                ("tenor", "C", 4, "E4", "A3"),
                ("treble", "G", 2, "B4", "G4"),
            ],
        ),
        ("Db", [("bass", "F", 4, None, None)]),
    ],
)
def test_clefs(key, clefs):
    found = [
        (
            use.clef,
            use.sign,
            use.line,
            use.above and name_of_midi(use.above),
            use.back_below and name_of_midi(use.back_below),
        )
        for use in symphonic().section(key).clefs
    ]
    assert found == clefs
    assert symphonic().section(key).clef_stays_bars == 2


def test_only_violins_take_octave_lines():
    lines = {section.key: section.ottava_beyond_leger_lines for section in symphonic().sections}
    assert lines == {"Vn I": 5, "Vn II": 5, "Vla": None, "Vc": None, "Db": None}


def test_how_long_clefs_and_octave_lines_last_is_said_of_each_section():
    for section in symphonic().sections:
        figures = (section.clef_stays_notes, section.readable_leger_lines)
        assert (*figures, section.clef_breaks_slur_beyond_leger_lines) == (2, 4, 5)
        lasts = (section.ottava_stays_bars, section.ottava_stays_notes)
        assert (*lasts, section.ottava_slur_notes) == (1, 4, 5)


@pytest.mark.parametrize(
    ("key", "sound", "program"),
    [
        # sound: W3C MusicXML 4.0, sounds.xml; program: General MIDI 1, counted from 1
        ("Vn I", "strings.violin", 41),
        ("Vn II", "strings.violin", 41),
        ("Vla", "strings.viola", 42),
        ("Vc", "strings.cello", 43),
        ("Db", "strings.contrabass", 44),
    ],
)
def test_sounds(key, sound, program):
    section = symphonic().section(key)
    assert (section.sound, section.program) == (sound, program)
    assert section.written_octave == (1 if key == "Db" else 0)
    assert section.group == "strings"


@pytest.mark.parametrize(
    ("key", "spellings"),
    [
        (
            "Vn I",
            "Vn I, Vn-I, vn 1, VnI, Vln 1, Vln. I, Violin 1, Violins I, Vl. I, 1. Violinen",
        ),
        (
            "Vn I",
            "Violini I, Violini primi, Violons I, 1st Violins, First Violin, Erste Violinen",
        ),
        (
            "Vn II",
            "Vn II, VnII, Vln 2, Violin II, violinii, Vl. II, 2nd violins, Violini secondi",
        ),
        ("Vla", "Vla, Va, Viola, Violas, Viole, Vle, Br., Bratsche, BRATSCHEN, Alto, Altos"),
        ("Vc", "Vc, Vc., Vlc, Cello, Cellos, Celli, Violoncello, Violoncelli, Violoncelles"),
        (
            "Db",
            "Db, Cb, Kb, Bass, Basses, Double Basses, Contrabass, Kontrabass, Contrebasse",
        ),
    ],
)
def test_spellings(key, spellings):
    for spelling in spellings.split(", "):
        assert [section.key for section in symphonic().find(spelling)] == [key], spelling


@pytest.mark.parametrize("bare", ["Vn", "vns", "Violins", "Violini", "Vl.", "Geigen"])
def test_a_bare_name_means_both_violins(bare):
    assert [section.key for section in symphonic().find(bare)] == ["Vn I", "Vn II"]


@pytest.mark.parametrize("name", ["", "Vnn II", "Flute", "I", "3rd Violins", "Vn III", "."])
def test_names_that_mean_nothing(name):
    assert symphonic().find(name) == ()


@pytest.mark.parametrize(
    ("name", "near"),
    [
        ("Vnn II", "Vn II"),
        ("Violn 1", "Vn I"),
        ("Celo", "Vc"),
        ("viloa", "Vla"),
        ("Flute", None),
    ],
)
def test_nearest(name, near):
    assert symphonic().nearest(name) == near


@pytest.mark.parametrize(
    ("language", "full", "short"),
    [
        ("en", "Violins I, Violins II, Violas, Violoncellos, Double Basses", "Vn I, Vla, Db"),
        ("it", "Violini I, Violini II, Viole, Violoncelli, Contrabbassi", "Vl. I, Vle, Cb."),
        (
            "de",
            "Violinen I, Violinen II, Bratschen, Violoncelli, Kontrabässe",
            "Vl. I, Br., Kb.",
        ),
        ("fr", "Violons I, Violons II, Altos, Violoncelles, Contrebasses", "Vl. I, Alt., Cb."),
    ],
)
def test_names_in_four_languages(language, full, short):
    sections = symphonic().sections
    assert ", ".join(section.full_name(language) for section in sections) == full
    found = [symphonic().section(key).short_name(language) for key in ("Vn I", "Vla", "Db")]
    assert ", ".join(found) == short


def test_the_language_of_the_file_is_the_default():
    german = ensemble_from_text(
        'title = "x"\nlanguage = "de"\nbased_on = "symphonic"\n', "x.toml", name="x"
    )
    assert german.section("Vla").full_name() == "Bratschen"
    assert german.section("Vla").full_name("fr") == "Altos"
    assert symphonic().section("Vla").full_name() == "Violas"


def test_a_file_may_say_only_what_differs():
    text = """
title = "With extensions"
based_on = "symphonic"
[[section]]
name = "Db"
lowest = "C1"
low = "C1"
registers = [{ name = "all", from = "C1", sings = 0.0 }]
"""
    basses = ensemble_from_text(text, "x.toml", name="x").section("Db")
    assert (basses.lowest, basses.strings[0], basses.players) == (24, 28, 8)


def faults(text):
    with pytest.raises(Refused) as caught:
        ensemble_from_text(text, "x.toml", name="x")
    return str(caught.value).split("\n")


def test_every_fault_is_told_with_its_line():
    text = """title = "x"
sumary = "y"
based_on = "symphonic"

[[section]]
name = "Vn I"
players = "ten"   # not a number
registers = [
    { name = "low", from = "H3", sings = 0.4 },
    { name = "low", fram = "G3", sings = 1.2 },
]

[[section]]
names.en.singula = "v"
"""
    assert faults(text) == [
        "x.toml:2: sumary: no such setting here; did you mean summary?",
        'x.toml:7: section[1].players: "ten" stands where a whole number is wanted',
        'x.toml:9: section[1].registers[1].from: "H3" is no pitch; write it like F#4 or Bb3',
        "x.toml:10: section[1].registers[2].fram: no such setting here; did you mean from?",
        "x.toml:10: section[1].registers[2].sings: 1.2 is outside 0 to 1",
        'x.toml:10: section[1].registers[2].from: this setting is missing; write from = "..."',
        'x.toml:13: section[2].name: this setting is missing; write name = "..."',
        "x.toml:14: section[2].names.en.singula: no such setting here; did you mean singular?",
        "x.toml:14: section[2].names.en.singular: this setting is missing; "
        'write singular = "..."',
        'x.toml:14: section[2].names.en.plural: this setting is missing; write plural = "..."',
        "x.toml:14: section[2].names.en.abbreviation: this setting is missing; "
        'write abbreviation = "..."',
        "x.toml:14: section[2].names.it: this setting is missing",
        "x.toml:14: section[2].names.de: this setting is missing",
        "x.toml:14: section[2].names.fr: this setting is missing",
    ]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ('low = "B1"', "x.toml:5: section[1].low: B1 is below the lowest note (C2)"),
        (
            'extreme = "G5"',
            "x.toml:5: section[1].extreme: G5 is below the high end of the range (A5)",
        ),
        (
            'registers = [{ name = "a", from = "D2", sings = 1 }]',
            "x.toml:5: section[1].registers: the registers do not climb from C2; "
            "list them lowest first, from the range's low end",
        ),
        ("clefs = []", "x.toml:5: section[1].clefs: there is no clef; name at least one"),
        (
            'strings = ["A3", "D3"]',
            "x.toml:3: section[1].low: C2 is below the lowest note (D3)",
        ),
        (
            'clefs = [{ clef = "tenro" }]',
            'x.toml:5: section[1].clefs[1].clef: "tenro" is none of treble, alto, tenor, bass; '
            "did you mean tenor?",
        ),
    ],
)
def test_figures_that_cannot_be(change, said):
    text = f'title = "x"\nbased_on = "symphonic"\n[[section]]\nname = "Vc"\n{change}\n'
    assert said in faults(text)


def test_what_is_missing_is_named():
    text = 'title = "x"\n[[section]]\nname = "Gusli"\nplayers = 3\n'
    assert faults(text)[0] == "x.toml:2: section[1].names: this setting is missing for Gusli"


def test_no_section_at_all():
    assert faults('title = "x"\n') == [
        "x.toml:1: section: there is no section; add one, or name one in based_on"
    ]


def test_an_unknown_base():
    assert faults('title = "x"\nbased_on = "symphonik"\n') == [
        'x.toml:2: based_on: there is no ensemble called "symphonik"; did you mean symphonic?'
    ]


def test_an_ensemble_based_on_itself(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "rules" / "ensembles"
    folder.mkdir(parents=True)
    (folder / "one.toml").write_text('title = "x"\nbased_on = "two"\n')
    (folder / "two.toml").write_text('title = "x"\nbased_on = "one"\n')
    with pytest.raises(Refused) as caught:
        load_ensemble("one")
    assert str(caught.value) == 'rules/ensembles/two.toml:2: based_on: "one" is based on itself'


def test_a_project_may_base_an_ensemble_on_the_shipped_one_of_its_name(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "rules" / "ensembles"
    folder.mkdir(parents=True)
    text = 'based_on = "chamber"\n[[section]]\nname = "Vc"\nplayers = 5\n'
    (folder / "chamber.toml").write_text(text)
    for name in ("chamber", "rules/ensembles/chamber.toml", str(folder / "chamber.toml")):
        ensemble = load_ensemble(name)
        assert [section.players for section in ensemble.sections] == [6, 5, 4, 5, 2]
        assert (ensemble.name, ensemble.title) == ("chamber", "chamber")


def test_what_a_shipped_ensemble_is_based_on_may_be_the_projects(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "rules" / "ensembles"
    folder.mkdir(parents=True)
    text = 'based_on = "symphonic"\n[[section]]\nname = "Vc"\nextreme = "B5"\n'
    (folder / "symphonic.toml").write_text(text)
    assert load_ensemble("studio").section("Vc").extreme == 83


def test_an_ensemble_of_a_name_that_nothing_else_has_is_based_on_itself(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "rules" / "ensembles"
    folder.mkdir(parents=True)
    (folder / "one.toml").write_text('based_on = "one"\n')
    with pytest.raises(Refused) as caught:
        load_ensemble("one")
    assert str(caught.value) == 'rules/ensembles/one.toml:1: based_on: "one" is based on itself'
