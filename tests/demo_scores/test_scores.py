"""The demo scores are what they claim: valid, full bars, and every feature named is there."""

import re
from collections import Counter
from itertools import pairwise
from pathlib import Path

import music21
import pytest
from lxml import etree

from tests.demo_scores.corrected import CORRECTED
from tests.outside.schema import assert_valid

SCORES = Path(__file__).resolve().parents[2] / "scores"
NAMES = ["harbour-thaws", "ice-pilots-song", "last-ferry", "under-the-ice"]

OTHERS = ("ferrymans-lamp", "last-ferry-longer")
"""With tests of their own."""


def read(name: str) -> etree._Element:
    return etree.parse(SCORES / f"{name}.musicxml").getroot()


def opened(name: str) -> music21.stream.Score:
    score = music21.converter.parse(SCORES / f"{name}.musicxml", forceSource=True)
    assert isinstance(score, music21.stream.Score)
    return score


def compass(part: music21.stream.Part) -> tuple[str, str]:
    """Lowest and highest sounding pitch; chord symbols sound nothing."""
    pitches = [
        pitch
        for note in part.recurse().notes
        if not isinstance(note, music21.harmony.Harmony)
        for pitch in note.pitches
    ]
    return min(pitches).nameWithOctave, max(pitches).nameWithOctave


def count(name: str, path: str) -> int:
    found = read(name).xpath(f"count({path})")
    assert isinstance(found, float)
    return int(found)


def widest_leap(name: str) -> int:
    """Semitones between neighbouring notes of the first part, across rests too."""
    notes = [
        note.pitches[0].midi
        for note in opened(name).parts[0].recurse().notes
        if not isinstance(note, music21.harmony.Harmony)
    ]
    return max(abs(after - before) for before, after in pairwise(notes))


def words(name: str) -> list[str]:
    return [element.text or "" for element in read(name).iter("words")]


def test_the_folder_holds_these_scores_and_no_others() -> None:
    names = [f"{name}.musicxml" for name in (*NAMES, *OTHERS)]
    assert sorted(path.name for path in SCORES.iterdir()) == sorted([*names, CORRECTED.name])


@pytest.mark.parametrize("name", NAMES)
def test_valid_against_the_musicxml_4_0_schema(name: str) -> None:
    assert_valid((SCORES / f"{name}.musicxml").read_bytes())
    assert read(name).get("version") == "4.0"


@pytest.mark.parametrize("name", NAMES)
def test_every_bar_is_full_as_music21_reads_it(name: str) -> None:
    for part in opened(name).parts:
        for bar in part.getElementsByClass(music21.stream.Measure):
            lengths = [voice.highestTime for voice in bar.voices] or [bar.highestTime]
            wanted = bar.barDuration.quarterLength
            if bar.number == 0:
                assert 0 < lengths[0] < wanted
            else:
                assert lengths == [wanted] * len(lengths), f"{part.partName}, bar {bar.number}"


@pytest.mark.parametrize("name", NAMES)
def test_every_tie_slur_hairpin_and_line_that_opens_closes(name: str) -> None:
    for part in read(name).iter("part"):
        for kind in ("tie", "tied", "slur", "wedge", "tuplet", "octave-shift"):
            types = Counter(
                "stop" if element.get("type") == "stop" else "start"
                for element in part.iter(kind)
            )
            assert types["start"] == types["stop"], kind


@pytest.mark.parametrize("name", NAMES)
def test_slurs_that_overlap_have_different_numbers(name: str) -> None:
    """In the order of the file, as the standard's page of <slur> has it."""
    for part in read(name).iter("part"):
        opened_slurs: set[str] = set()
        for slur in part.iter("slur"):
            number = str(slur.get("number"))
            assert (number in opened_slurs) == (slur.get("type") == "stop")
            opened_slurs ^= {number}


@pytest.mark.parametrize("name", NAMES)
def test_printed_accidentals_and_courtesies_are_the_ones_music21_would_print(name: str) -> None:
    score = opened(name)
    printed = _printed(score)
    for part in score.parts:
        for note in part.recurse().notes:
            for pitch in note.pitches:
                if pitch.accidental is not None:
                    pitch.accidental.displayStatus = None
        part.makeAccidentals(
            inPlace=True,
            overrideStatus=True,
            cautionaryPitchClass=False,
            cautionaryAll=False,
            cautionaryNotImmediateRepeat=False,
        )
    assert _printed(score) == printed


def _printed(score: music21.stream.Score) -> list[str]:
    return [
        f"{part.partName}, bar {note.measureNumber}: {pitch.nameWithOctave}"
        for part in score.parts
        for note in part.recurse().notes
        if not isinstance(note, music21.harmony.Harmony)
        for pitch in note.pitches
        if pitch.accidental is not None and pitch.accidental.displayStatus
    ]


@pytest.mark.parametrize("name", NAMES)
def test_page_staff_size_credits_and_what_it_shows_are_given(name: str) -> None:
    root = read(name)
    title = root.findtext("movement-title")
    assert title
    assert root.findtext("credit[credit-type='title']/credit-words") == title
    assert root.findtext("credit[credit-type='composer']/credit-words") == "rewriter demo"
    assert root.findtext("identification/creator[@type='composer']") == "rewriter demo"
    assert root.findtext("defaults/scaling/millimeters") == "7"
    assert root.findtext("defaults/page-layout/page-width") == "1200"
    assert root.findtext(".//miscellaneous-field[@name='shows']")
    assert all(part.findtext("part-name") for part in root.iter("score-part"))
    assert all(part.findtext(".//instrument-sound") for part in root.iter("score-part"))
    assert float(root.xpath("string(.//sound/@tempo)")) > 0


@pytest.mark.parametrize(
    ("name", "bars", "low", "high", "key"),
    [
        ("last-ferry", 24, "C4", "A5", "F major"),
        ("harbour-thaws", 36, "G3", "D5", "g minor"),
        ("ice-pilots-song", 26, "B-3", "E-5", "E- major"),
        ("under-the-ice", 30, "G3", "D6", "g minor"),
    ],
)
def test_length_sounding_compass_and_key(
    name: str, bars: int, low: str, high: str, key: str
) -> None:
    score = opened(name)
    score.toSoundingPitch(inPlace=True)
    tune = score.parts[0]
    assert tune.getElementsByClass(music21.stream.Measure)[-1].number == bars
    assert compass(tune) == (low, high)
    assert str(score.analyze("key")) == key


SLUR_OVER_BARLINE = (
    "//measure[count(.//slur[@type='start']) > count(.//slur[@type='stop'])"
    " + count(preceding-sibling::measure//slur[@type='stop'])"
    " - count(preceding-sibling::measure//slur[@type='start'])]"
)
TIE_OVER_BARLINE = "//measure/note[not(following-sibling::note)][tie/@type='start']"

FEATURES = {
    "an upbeat": "//measure[@number='0'][@implicit='yes']",
    "ties over barlines": TIE_OVER_BARLINE,
    "slurs over barlines": SLUR_OVER_BARLINE,
    "triplets": "//note[time-modification/actual-notes='3']",
    "a quintuplet": "//note[time-modification/actual-notes='5']",
    "quarter triplets": "//note[time-modification][type='quarter']",
    "grace notes": "//note/grace",
    "a trill": "//trill-mark",
    "tenuto": "//tenuto",
    "accents": "//accent",
    "staccato": "//staccato",
    "a courtesy accidental": "//accidental[@cautionary='yes']",
    "a fermata": "//fermata",
    "a breath mark": "//breath-mark",
    "hairpins": "//wedge[@type='crescendo']",
    "dynamics": "//dynamics",
    "tempo words": "//direction[sound/@tempo]//words",
    "rehearsal marks": "//rehearsal",
    "a key change": "//measure[position() > 1]/attributes/key",
    "a time change": "//measure[position() > 1]/attributes/time",
    "a repeat": "//repeat[@direction='backward']",
    "a first ending": "//ending[@number='1'][@type='start']",
    "a second ending": "//ending[@number='2'][@type='start']",
    "a transposing staff": "//transpose[diatonic='-4'][chromatic='-7']",
    "an accompaniment on two staves": "//part[2]//attributes[staves='2']",
    "chord symbols": "//harmony",
    "two verses": "//lyric[@number='2']",
    "tremolo": "//tremolo[@type='single'][.='3']",
    "pizz.": "//sound[@pizzicato='yes']",
    "arco": "//sound[@pizzicato='no']",
    "an 8va line": "//octave-shift[@type='down'][@size='8']",
}
EVERYWHERE = [
    "slurs over barlines",
    "grace notes",
    "accents",
    "a fermata",
    "a breath mark",
    "hairpins",
    "dynamics",
    "tempo words",
    "rehearsal marks",
]
SHOWN = {
    "last-ferry": [
        "a courtesy accidental",
        "an upbeat",
        "ties over barlines",
        "a quintuplet",
        "a trill",
        "tenuto",
    ],
    "harbour-thaws": [
        "ties over barlines",
        "triplets",
        "a quintuplet",
        "quarter triplets",
        "tenuto",
        "a key change",
        "an accompaniment on two staves",
    ],
    "ice-pilots-song": [
        "an upbeat",
        "ties over barlines",
        "tenuto",
        "staccato",
        "a repeat",
        "a first ending",
        "a second ending",
        "a transposing staff",
        "chord symbols",
        "two verses",
    ],
    "under-the-ice": [
        "a courtesy accidental",
        "ties over barlines",
        "triplets",
        "quarter triplets",
        "a time change",
        "tremolo",
        "pizz.",
        "arco",
        "an 8va line",
    ],
}


@pytest.mark.parametrize(
    ("name", "feature"),
    [(name, feature) for name in NAMES for feature in EVERYWHERE + SHOWN[name]],
)
def test_shows(name: str, feature: str) -> None:
    assert count(name, FEATURES[feature]), f"{name} does not show {feature}"


def test_every_feature_is_shown_by_some_score() -> None:
    assert set(FEATURES) == {
        *EVERYWHERE,
        *(feature for one in SHOWN.values() for feature in one),
    }


def test_the_ferry_widens_its_leap_from_phrase_to_phrase() -> None:
    """Each phrase's upbeat leaps up to the barline: a sixth, a seventh, an octave, a tenth."""
    notes = list(opened("last-ferry").parts[0].recurse().notes)
    leaps = {}
    for before, after in pairwise(notes):
        if after.measureNumber in (1, 5, 9, 17) and after.offset == 0:
            leaps[after.measureNumber] = music21.interval.Interval(before, after).name
    assert leaps == {1: "M6", 5: "m7", 9: "P8", 17: "M10"}


@pytest.mark.parametrize(
    ("name", "semitones"),
    [("last-ferry", 16), ("harbour-thaws", 16), ("ice-pilots-song", 15)],
)
def test_the_widest_leap(name: str, semitones: int) -> None:
    assert widest_leap(name) == semitones


def test_the_thaw_states_its_theme_a_whole_tone_lower() -> None:
    tune = opened("harbour-thaws").parts[0]
    first, second = (
        [note.pitch for note in tune.measures(start, start + 2).recurse().notes]
        for start in (5, 13)
    )
    assert len(first) == 11
    assert [pitch.transpose("-M2").nameWithOctave for pitch in first] == [
        pitch.nameWithOctave for pitch in second
    ]


def test_the_thaw_is_loudest_about_two_thirds_through() -> None:
    tune = read("harbour-thaws").find("part")
    assert tune is not None
    loud = [bar.get("number") for bar in tune.iter("measure") if bar.find(".//ff") is not None]
    assert loud == ["25"]


def test_the_thaws_left_hand_can_be_played_by_half_the_cellos_and_the_basses() -> None:
    """One note at a time, from E2: the basses an octave below then still have their open E1."""
    left = opened("harbour-thaws").parts[2]
    assert compass(left) == ("E2", "F3")
    assert all(len(note.pitches) == 1 for note in left.recurse().notes)


def test_the_thaws_right_hand_is_chords_of_three_or_four() -> None:
    right = opened("harbour-thaws").parts[1]
    assert {len(note.pitches) for note in right.recurse().notes} == {3, 4}


def test_the_horn_is_written_a_fifth_above_its_sound() -> None:
    score = opened("ice-pilots-song")
    written = compass(score.parts[0])
    key = score.parts[0].recurse().getElementsByClass(music21.key.KeySignature)[0]
    assert (written, key.sharps) == (("F4", "B-5"), -2)


def test_the_soundings_keep_to_the_g_string_until_the_echo() -> None:
    score = opened("under-the-ice")
    tune = score.parts[0]
    assert compass(tune.measures(1, 26)) == ("G3", "A4")
    assert compass(tune.measures(27, 30)) == ("G5", "D6")
    assert [text for text in words("under-the-ice") if re.match("sul |pizz|arco", text)] == [
        "sul G",
        "pizz.",
        "arco",
        "sul G",
        "sul E",
    ]


@pytest.mark.parametrize("name", NAMES)
def test_syllables_join_up(name: str) -> None:
    """Within a verse, begin and middle are followed by middle or end, and nothing else is."""
    root = read(name)
    verses = {str(lyric.get("number")) for lyric in root.iter("lyric")}
    for verse in sorted(verses):
        inside = False
        for lyric in root.iterfind(f".//lyric[@number='{verse}']"):
            syllabic = lyric.findtext("syllabic")
            assert (syllabic in ("middle", "end")) == inside, lyric.findtext("text")
            inside = syllabic in ("begin", "middle")
        assert not inside
