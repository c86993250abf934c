"""Which part of a score is which section, by what is said of it and of its neighbours."""

import pytest

from rewriter.hearing.sections import said_sections, sections_of
from rewriter.problems import Refused
from rewriter.rulefiles.loading import load_ensemble
from tests.hearing.listed import Listed, listed, told_apart

SYMPHONIC, QUARTET = load_ensemble(), load_ensemble("quartet")


def apart(*parts, ensemble=SYMPHONIC, groups=(), told=()):
    return told_apart(sections_of(listed(*parts, groups=groups), ensemble, told))


def known(*parts, ensemble=SYMPHONIC, groups=(), told=()):
    players = sections_of(listed(*parts, groups=groups), ensemble, told)
    return [one.known_by for one in players]


def test_the_name_comes_first_then_the_abbreviation_then_the_sound():
    parts = (
        Listed("Violas", "Vc.", "strings.violin"),
        Listed("MusicXML Part", "Vc.", "strings.viola"),
        Listed("Part 3", "", "strings.contrabass"),
        Listed("Orion", "", "", "Violoncello"),
        Listed("Staff 5", "", "", "", 42),
    )
    assert apart(*parts) == ["Vla", "Vc", "Db", "Vc", "Vla"]
    assert known(*parts) == ["name", "abbreviation", "sound", "sound", "sound"]


def test_the_printed_name_counts_where_the_listed_one_is_made_up():
    part = Listed("MusicXML Part", printed="Violini II")
    assert (apart(part), known(part)) == (["Vn II"], ["name"])


@pytest.mark.parametrize(
    ("group", "names", "sections"),
    [
        ("Violins I", ["1", "2"], ["Vn I 1", "Vn I 2"]),
        ("Violins", ["I", "II"], ["Vn I", "Vn II"]),
        ("Violini", ["primi", "secondi"], ["Vn I", "Vn II"]),
        ("Violins I", ["desk 1", "gli altri"], ["Vn I desk 1", "Vn I others"]),
        ("Violoncelli", ["", "Part 2"], ["Vc", "Vc"]),
        ("Bratschen", ["a", "b"], ["Vla a", "Vla b"]),
        ("Soloists", ["Violin", "Cello"], ["solo strings", "solo strings"]),
        ("Flutes", ["1", "2"], ["wind", "wind"]),
    ],
)
def test_what_a_group_says(group, names, sections):
    assert apart(*names, groups=[(1, 2, group)]) == sections


def test_a_group_within_a_group_is_closer():
    groups = [(1, 4, "Strings"), (1, 2, "Violins II")]
    parts = ("1", "2", "Viola", "Part 4")
    assert apart(*parts, groups=groups) == ["Vn II 1", "Vn II 2", "Vla", "strings"]
    assert known(*parts, groups=groups) == ["group", "group", "name", "group"]


def test_strings_that_are_said_to_be_strings_may_be_known_by_sound():
    parts = (Listed("Strings", sound="strings.cello"), Listed("Strings", sound="strings.group"))
    assert apart(*parts) == ["Vc", "strings"]


def test_a_sound_that_all_parts_have_says_nothing():
    parts = [Listed(name, sound="strings.violin", program=41) for name in ("", "Viola", "Horn")]
    assert apart(*parts) == ["other", "Vla", "brass"]
    assert apart(*[Listed(sound="strings.viola")] * 2) == ["Vla", "Vla"]


@pytest.mark.parametrize(
    ("names", "sections"),
    [
        ("Violin|Violin|Viola|Cello", "Vn I|Vn II|Vla|Vc"),
        ("Violins|Violins|Violas", "Vn I|Vn II|Vla"),
        ("Violin A|Violin B|Viola|Cello", "Vn I|Vn II|Vla|Vc"),
        ("Violin|Viola|Cello", "Vn I + Vn II|Vla|Vc"),
        ("Violin I|Violin|Viola", "Vn I|Vn II|Vla"),
        ("Violin|Violin II|Viola", "Vn I|Vn II|Vla"),
        ("Violin|Piano", "Vn I + Vn II|keyboard"),
        # a concerto: the soloist above the orchestra's strings
        ("Violin|Flute|Violins I|Violins II|Violas", "solo strings|wind|Vn I|Vn II|Vla"),
        ("Violin|Flute|Violin|Violin|Viola", "solo strings|wind|Vn I|Vn II|Vla"),
        ("Cello|Violin I|Violin II|Viola|Cello", "solo strings|Vn I|Vn II|Vla|Vc"),
        ("Viola|Oboe|Violins|Violas|Cellos", "solo strings|wind|Vn I + Vn II|Vla|Vc"),
        ("Violin I|Violin II|Viola|Violoncello solo|Violoncello|Basso",
         "Vn I|Vn II|Vla|solo strings|Vc|Db"),
        ("Violino principale|Violini I|Violini II|Viole|Bassi",
         "solo strings|Vn I|Vn II|Vla|Vc + Db"),
        ("Solo Flute|Violins", "solo wind|Vn I + Vn II"),
        # two violas are one section
        ("Violin 1|Violin 2|Viola 1|Viola 2|Cello", "Vn I|Vn II|Vla 1|Vla 2|Vc"),
        ("Celli b|Viole|Celli a", "Vc b|Vla|Vc a"),
        ("Violini I|Violini II|Viole|Viole|Violoncelli", "Vn I|Vn II|Vla|Vla|Vc"),
        ("Violin 1|Violin 2|Violin 3|Bassi", "Vn I|Vn II|strings|Vc + Db"),
        ("Violini I|Violini II|Violoncello|Bassi", "Vn I|Vn II|Vc|Db"),
        # who sings
        ("Soprano|Alto|Tenor|Bass", "voice|voice|voice|voice"),
        ("Canto|Alto|Tenor|Basso", "voice|voice|voice|voice"),
        ("Soprano|Alto|Tenor|Bass|Violin I|Violin II|Viola|Bass",
         "voice|voice|voice|voice|Vn I|Vn II|Vla|Db"),
        ("Violon I|Violon II|Alto|Violoncelle", "Vn I|Vn II|Vla|Vc"),
    ],
)  # fmt: skip
def test_what_parts_say_together(names, sections):
    assert "|".join(apart(*names.split("|"))) == sections


@pytest.mark.parametrize("language", ["en", "it", "de", "fr"])
@pytest.mark.parametrize("ensemble", [SYMPHONIC, QUARTET])
def test_what_the_tool_itself_prints_is_known(ensemble, language):
    for name in ("full_name", "short_name"):
        sections = ensemble.sections
        names = [getattr(section, name)(language) for section in sections]
        assert apart(*names, ensemble=ensemble) == [section.key for section in sections]


def test_an_alto_or_a_bass_with_a_voice_or_a_bass_guitar_for_a_sound():
    parts = (Listed("Alto", sound="voice.alto"), Listed("Bass", program=34), "Bass")
    assert apart(*parts) == ["voice", "other", "Db"]


@pytest.mark.parametrize(
    ("clefs", "names", "sections", "how"),
    [
        ("treble treble alto bass", "|||", "Vn I|Vn II|Vla|Vc", "order|order|order|order"),
        ("treble treble alto bass", "||Viola|Cello", "Vn I|Vn II|Vla|Vc",
         "order|order|name|name"),
        ("treble treble alto bass", "Violin I||Viola|Cello", "Vn I|Vn II|Vla|Vc",
         "name|order|name|name"),
        ("treble treble bass bass", "|||", "other|other|other|other", "|||"),
        ("treble treble alto bass", "|||Organ", "other|other|other|keyboard", "|||name"),
        ("treble treble", "|", "other|other", "|"),
        ("treble treble alto bass bass", "||||", "Vn I|Vn II|Vla|Vc|Db",
         "order|order|order|order|order"),
    ],
)  # fmt: skip
def test_parts_without_a_name_are_known_by_their_place_if_their_clefs_fit(
    clefs, names, sections, how
):
    parts = [
        Listed(name, clef=clef)
        for name, clef in zip(names.split("|"), clefs.split(), strict=True)
    ]
    assert "|".join(apart(*parts)) == sections
    assert "|".join(known(*parts)) == how


def test_what_is_told_to_be_none_is_not_known_by_its_place():
    parts = [Listed(clef=clef) for clef in ("treble", "treble", "alto", "bass")]
    assert apart(*parts, told=["P2=none"]) == ["other"] * 4


def test_in_a_quartet_each_is_one_player():
    names = ("Violin", "Violin", "Viola", "Cello")
    assert apart(*names, ensemble=QUARTET) == ["Vn I", "Vn II", "Vla", "Vc"]
    assert apart("Solo Violin I", "Violin II solo", ensemble=QUARTET) == ["Vn I", "Vn II"]
    assert apart("Violin", "Viola", "Cello", ensemble=QUARTET) == ["Vn I", "Vla", "Vc"]
    assert apart("Double Bass", ensemble=QUARTET) == ["strings"]


def test_what_is_told_stays():
    parts = ("Violin", "Violin", "Low strings", "Melody", "Cello", "Orion")
    told = ("P1=Vn II", '"Low strings"=Vc+Db', "melody=Vla a", "P5=solo", "P6=none")
    assert apart(*parts, told=told) == [
        "Vn II",
        "Vn I",
        "Vc + Db",
        "Vla a",
        "solo strings",
        "other",
    ]
    assert known(*parts, told=told) == ["told", "order", "told", "told", "told", "told"]


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ("P9=Vla", 'no part is called "P9"; '
                   'there are "Violin" (P1), "Viola" (P2), "Viola" (P3)'),
        ("Violn=Vn I", 'no part is called "Violn"; did you mean Violin?'),
        ("Viola=Vla", '2 parts are called "Viola"; choose one of P2, P3'),
        ("P1=Vnn II", 'no section is called "Vnn II"; did you mean Vn II?'),
        ("P1=Vla+Flute", 'no section is called "Flute"; '
                         "there are Vn I, Vn II, Vla, Vc, Db, solo, none"),
    ],
)  # fmt: skip
def test_what_is_told_of_nothing_is_refused(told, said):
    with pytest.raises(Refused) as refused:
        sections_of(listed("Violin", "Viola", "Viola"), SYMPHONIC, [told])
    assert str(refused.value) == f'sketch: --section: "{told}": {said}'


@pytest.mark.parametrize("told", ["P1", "=Vla", "P1=", ""])
def test_what_tells_nothing_is_refused(told):
    with pytest.raises(Refused) as refused:
        sections_of(listed("Violin"), SYMPHONIC, [told])
    said = f'sketch: --section: "{told}" does not say what a part is; write it like P3=Vla'
    assert str(refused.value) == said


def test_telling_twice_is_refused():
    with pytest.raises(Refused) as refused:
        sections_of(listed("Violin"), SYMPHONIC, ["P1=Vla", "Violin=Vc"])
    assert str(refused.value) == (
        'sketch: --section: "Violin=Vc" is told of a part that was told of before'
    )


def test_what_was_taken_for_what_in_one_row():
    parts = ("Flute", "Solo Violin", "Violin", "Violin", Listed("", "Vla"), "Violin 3", "Bassi")
    score = listed(*parts)
    assert said_sections(score, sections_of(score, SYMPHONIC, ["P5=Vla a"])) == (
        "soloist: Solo Violin; Vn I: Violin (by its place); Vn II: Violin (by its place); "
        'Vla a: P5 (told); no section: "Violin 3" (P6), to be told with --section "P6=..."; '
        "Vc + Db: Bassi; 1 part is no strings"
    )
