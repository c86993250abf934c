"""Names of parts, as scores of four languages and many hands have them."""

import pytest

from rewriter.hearing.families import family_named, family_of_program, family_of_sound
from rewriter.hearing.part_names import named
from rewriter.rulefiles.loading import load_ensemble

SYMPHONIC = load_ensemble()


def read(text):
    found = named(text, SYMPHONIC)
    who = " + ".join(section.key for section in found.sections)
    return " ".join(word for word in ("solo" * found.soloist, who, found.share) if word)


@pytest.mark.parametrize(
    ("meant", "names"),
    [
        # names on covers and first pages of scores; common practice, no source
        (
            "Vn I",
            "Violin 1|Violins I|1st Violins|First Violin|Violin One|VIOLIN I.|Vln. 1|Vn I|Vn1|"
            "Vln I|Violino I.|Violini primi|Violino primo|1mi Violini|Vni I|Vl. 1\u00ba|"
            "Violini 1\u00b0|Erste Violinen|1. Violine|I. Violine|Geige I|1. Geigen|Viol. 1|"
            "Premiers violons|1ers Violons|Violons I|Premier Violon|Vons I|Violin section 1|"
            "1st Vlns|V. I|Violins \u2160|Orchestra: Violins I|Violins I (16)",
        ),
        (
            "Vn II",
            "Violin 2|Violins II|2nd Violins|Second Violin|Vln. 2|VnII|Violino II|"
            "Violini secondi|Zweite Violinen|2. Violine|II. Violinen|Geige II|2ds Violons|"
            "Seconds violons|2es Violons|Deuxi\u00e8mes violons|V.II|2nds Vlns",
        ),
        (
            "Vla",
            "Viola|Violas|Vla.|Va|Viole|Vle|Bratsche|Bratschen|Br.|Alto|Altos|Viola section|"
            "8 Violas|VIOLA.",
        ),
        (
            "Vc",
            "Cello|Cellos|Celli|Violoncello|Violoncellos|Violoncelli|Violoncelle|Violoncelles|"
            "Vc.|Vlc.|Vcl.|V. celli|'cello|Violoncello.",
        ),
        (
            "Db",
            "Double Bass|Double Basses|Double-bass|Contrabass|Contrabasses|Contrabbasso|"
            "Contrabbassi|Kontrabass|Kontrab\u00e4sse|Kb.|Contrebasse|Contrebasses|Cb.|C.B.|"
            "D. B.|Basses|String Bass|Bassi|Upright Bass|Double Bass (5-string)",
        ),
        (
            "Vn I + Vn II",
            "Violins|Violini|Violinen|Violons|Geigen|Vl.|Violins I & II|Violins I/II|"
            "Violini I e II|Violini primi e secondi|1. und 2. Violinen|Violons I et II|"
            "Violini I\u2013II|Violin 1-2|Violins 1+2|Vl. I, II|Violin I and Violin II",
        ),
        (
            "Vc + Db",
            "Cellos and Basses|Violoncello e Contrabbasso|Violoncelli e Bassi|Vc. e Cb.|"
            "Celli u. B\u00e4sse|Vc./Kb.|Violoncelles et Contrebasses|Violoncello & Basso|"
            "Vcl. + Kb.",
        ),
        ("Vla + Vc", "Viole e Violoncelli|Violas, Cellos"),
        ("Vn I a", "Violin 1a|Vn Ia|Violins I (a)|Violini I div. a|Vl. I a"),
        ("Vn II b", "Violin 2b|Vn IIb|Violins II B|Zweite Violinen b"),
        ("Vn I 2", "Violin I.2|Violins I 2|Violini I (div. 2)|1. Violinen 2"),
        ("Vla 1", "Viola 1|Violas I|1. Bratsche|Viole prime|Altos I"),
        (
            "Vla div.",
            "Violas div.|Viole divise|Bratschen geteilt|Altos (div.)|Altos divis\u00e9s",
        ),
        ("Vc 2", "Violoncello 2|Celli II|2nd Cellos|Violoncelli secondi|Vc. 2"),
        ("Vc", "Violoncello 1 & 2|Celli I/II"),
        ("Vn I desk 1", "Violins I, 1st desk|Violins I desk 1|1. Pult Violine I|Vn I (desk 1)"),
        ("Vla desks 1-2", "Violas desks 1-2|Bratschen Pulte 1-2|Altos, pupitres 1-2"),
        ("Vc desk 2", "Celli 2. Pult|Violoncelli 2o leggio|Violoncelles 2e pupitre"),
        (
            "Vn I others",
            "gli altri Violini I|Violini I (gli altri)|Die \u00fcbrigen 1. Violinen",
        ),
        ("solo Vn I + Vn II", "Solo Violin|Violino principale|Violin (solo)|Solovioline"),
        ("solo Vn I", "Solo Violin I|Violino I solo|Violino I concertante"),
        ("solo Vla", "Viola solo|Solo-Bratsche|Alto solo|Solo Viola"),
        ("solo Vc", "Violoncello solo|Solo Cello|Violoncelle principal|Solocello"),
        ("solo Db", "Solo Double Bass|Contrabbasso solo"),
        ("solo", "Solo|Solo Flute|Soli"),
        ("", "|Flute 1|Bassoon|Contrabassoon|Bass Clarinet|Bass Drum|Violin 3|3rd Violins"),
        ("", "Viola da gamba|Alto Saxophone|Violetta|Horn I|Bass Guitar|1|II|a|desk 1|.|&|e"),
        ("", "Strings|Flute and Violin I|Bass Trombone|Basset Horn|Violin IV|Tenor Viola"),
    ],
)
def test_what_a_name_means(meant, names):
    for name in names.split("|"):
        assert read(name) == meant, name


def test_one_instrument_or_several():
    """What is the same in one language and several in another is not in the singular."""
    one = {name for name in ("Violin", "Violins", "Viola", "Violas", "Viole", "Alto", "Cello",
                             "Violino", "Violini", "Violin 1", "Violoncello", "Celli")
           if named(name, SYMPHONIC).one}  # fmt: skip
    assert one == {"Violin", "Viola", "Alto", "Violino", "Violoncello"}


@pytest.mark.parametrize(
    ("family", "names"),
    [
        (
            "wind",
            "Flute 1|Fl\u00f6ten|Flauti|Fl\u00fbte|Piccolo|Oboe 2|Hautbois|Englischhorn|"
            "Cor anglais|Corno inglese|Bb Clarinet|Klarinette in A|Clarinetti|Bass Clarinet|"
            "Bassoons|Fagotte|Fagotti|Basson|Contrabassoon|Kontrafagott|Alto Saxophone|Ob.|Fg.",
        ),
        (
            "brass",
            "Horn in F 1|H\u00f6rner|Corni|Cors|Trumpet|Trompete in C|Trombe|Trompettes|"
            "Trombone|Posaunen|Tromboni|Bass Trombone|Bassposaune|Tuba|Hn. 3|Tbn.",
        ),
        (
            "percussion",
            "Timpani|Pauken|Timbales|C, G Timpani|Bass Drum|Grosse Trommel|Becken|Piatti|"
            "Triangle|Glockenspiel|Percussion 1|Schlagzeug",
        ),
        (
            "voice",
            "Soprano|Sopran|Mezzosoprano|Tenor|T\u00e9nors|Bariton|Chor|Coro|Choeur|Voice|"
            "Singstimme|Canto|Cantus|Gesang",
        ),
        (
            "keyboard",
            "Piano|Klavier|Pianoforte|Organ|Orgel|Cembalo|Clavecin|Celesta|Basso continuo",
        ),
        ("other", "Harp|Harfe|Arpa|Electric Bass|Bass Guitar|Guitar"),
        ("strings", "Viola da gamba|Strings|Violin 3|Archi|Violone"),
        (None, "|Melody|Tune|Part 1|Orion"),
    ],
)
def test_families_by_name(family, names):
    for name in names.split("|"):
        assert family_named(name) == family, name


@pytest.mark.parametrize(
    ("family", "sounds", "programs"),
    [
        # W3C MusicXML 4.0, sounds.xml; General MIDI 1, counted from 1
        ("strings", "strings.violin strings.group", [41, 46, 49]),
        ("wind", "wind.flutes.flute wind.reed.oboe", [65, 69, 74, 80]),
        ("brass", "brass.french-horn brass.trumpet.c", [57, 61, 64]),
        (
            "percussion",
            "drum.timpani metal.cymbal.crash pitched-percussion.xylophone",
            [48, 14],
        ),
        ("voice", "voice.alto", [53, 55]),
        ("keyboard", "keyboard.piano", [1, 7, 20]),
        ("other", "pluck.harp pluck.bass.electric synth.pad", [25, 34, 47]),
        (None, "no-such.sound", [0, 129]),
    ],
)
def test_families_by_sound(family, sounds, programs):
    assert {family_of_sound(sound) for sound in sounds.split()} == {family}
    assert {family_of_program(program) for program in programs} == {family}
