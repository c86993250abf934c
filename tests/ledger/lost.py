"""Whether what the sketch says is carried, dropped by a named kind, or reported."""

import re
from collections import Counter
from collections.abc import Iterator

from tests.ledger.entries import Entry, Moment
from tests.ledger.section import Section, Sides, Stretch
from tests.ledger.voice import Voice

DROPPED = {
    "lyric": "lyrics", "harmony": "chord symbols", "figured-bass": "figured bass",
    "print": "", "clef": "clefs", "staff-details": "staff details",
    "fingering": "fingerings", "thumb-position": "fingerings", "pluck": "fingerings",
    "hammer-on": "fingerings", "pull-off": "fingerings", "string": "string numbers",
    "fret": "string numbers", "octave-shift": "8va lines", "pedal": "pedal marks",
    "harp-pedals": "pedal marks", "accordion-registration": "accordion registrations",
    "cue": "cue notes", "unpitched": "unpitched notes",
}  # fmt: skip
"""Kinds that are left behind, by the name the report has for them; pages have several."""

NAMED_OPEN = {
    "slur": "slur", "tied": "tie", "tuplet": "tuplet", "glissando": "glissando",
    "slide": "slide", "wavy-line": "trill", "tremolo": "tremolo", "wedge": "hairpin",
    "dashes": "dashed", "bracket": "bracket", "other-notation": "line",
}  # fmt: skip
"""How a finding names what has one end only."""

_OF_PEDALS = re.compile(r"sound (damper|soft|sostenuto)-pedal=")
_OF_BARS = re.compile("(left|right|middle|time) ")
_OF_CHORDS = {"arpeggiate", "non-arpeggiate"}
_LOUDNESS = {"dynamics", "wedge", "sound"}
_OF_THEIR_BAR = {"overlap-in-sketch", "mended-in-sketch"}
_UNTRUE = {"harmonic": "a harmonic", "open-string": "an open string sign"}


def lost(section: Section, sides: Sides) -> Iterator[Entry]:
    """What the voices of its lines say and nothing accounts for."""
    top = {(one.kind, one.at) for one in sides.top.entries}
    speeds = {(one.kind, one.at.bar) for one in sides.top.entries if _is_speed(one)}
    untrue = _said_untrue(section, sides)
    for line in dict.fromkeys(section.lines):
        start, stop, voice = line[:3]
        for entry in voice.entries:
            key = (entry.kind, entry.at)
            inside = start <= Moment(entry.at.bar, entry.at.onset) < stop
            if not inside or is_dropped(entry) or key in section.there or key in top:
                continue
            if not _is_expected(entry, line, section) or _is_of_own_line(entry, line, section):
                continue
            if _is_speed(entry) and (entry.kind, entry.at.bar) in speeds:
                continue  # staves that say the same put it at moments of their own
            sign = entry.kind.rstrip(".,;")  # as findings quote words
            if untrue[sign]:
                untrue[sign] -= 1
            elif not (
                _is_reported(entry, sides) or _is_cut_or_moved(entry, voice, section, sides)
            ):
                yield entry


_SPEED = re.compile(
    r"metronome |words .*\b(tempo|più|meno|poco|rit|rall|accel|string)", re.IGNORECASE
)
"""What is for everybody and said once in a bar."""


def _is_speed(entry: Entry) -> bool:
    return bool(_SPEED.match(entry.kind))


def _said_untrue(section: Section, sides: Sides) -> Counter[str]:
    """How many signs of each kind findings say are not true for the section."""
    found = Counter[str]()
    for one in sides.report["findings"]:
        if one["rule"] != "not-true-here" or one["place"]["section"] != section.name:
            continue
        more = re.search(r", and (\d+) more like it,", one["text"])
        times = 1 + (int(more[1]) if more else 0)
        kinds = [kind for kind, name in _UNTRUE.items() if one["text"].startswith(name)]
        quoted = re.match(r'"([^"]*)"', one["text"])
        found[f"words {quoted[1]}" if quoted else kinds[0]] += times
        if "harmonic" in kinds:
            found["notehead"] += times
    return found


def is_dropped(entry: Entry) -> bool:
    """True for what is left behind by a named kind, and for words that say who plays."""
    tag = entry.kind.partition(" ")[0]
    return (
        tag in DROPPED
        or bool(_OF_PEDALS.match(entry.kind))
        or entry.kind.startswith("words [")
        or ("wavy-line" in entry.kind and not entry.on_note)
        or entry.kind.endswith(" continue")
    )


def _is_expected(entry: Entry, line: Stretch, section: Section) -> bool:
    """True when it stands on or before a note the section plays, or is all parts'."""
    if entry.kind.startswith("of others"):
        return False
    if _OF_BARS.match(entry.kind):
        return not line.giver
    voice = line.voice
    chord = voice.covering(entry.at)
    if entry.on_note:
        chord = next((one for one in voice.chords if one.at == entry.at), None)
    if chord is None:
        return False
    if chord.pitches:
        return section.plays(line, chord)
    if entry.on_note and entry.kind.startswith("tuplet"):
        return False  # rests are set anew where notes beside them go
    around = voice.around(entry.at)
    return all(one is None or section.plays(line, one) for one in around)


def _is_of_own_line(entry: Entry, line: Stretch, section: Section) -> bool:
    """True where a section has what is handed over to it in a line of its own, too."""
    if not line.giver:
        return False
    return any(
        own.voice is line.voice and own.start[:2] <= entry.at[:2] < own.stop[:2]
        for own in section.lines
        if not own.giver
    )


def _is_reported(entry: Entry, sides: Sides) -> bool:
    """True when a finding speaks of it."""
    name = NAMED_OPEN.get(entry.kind.partition(" ")[0], "-")
    return any(
        one["rule"] in _OF_THEIR_BAR
        or (one["rule"] == "open-in-sketch" and name in one["text"])
        for one in sides.report["findings"]
        if one.get("place", {}).get("bar_counted", 0) == entry.at.bar + 1
    )


def _is_cut_or_moved(entry: Entry, voice: Voice, section: Section, sides: Sides) -> bool:
    """True where the layout cuts it, or puts it where the section begins to play."""
    tag, _, says = entry.kind.partition(" ")
    if tag in _OF_CHORDS and "arpeggios" in sides.report["dropped"]:
        return True  # one note of the chord is played
    if tag in _LOUDNESS:
        chord = voice.covering(entry.at)
        if section.own_dynamics or (chord is not None and not chord.pitches):
            return True
    if tag == "tied":
        return _is_cut_tie(entry, voice, section, 1 if says == "start" else -1)
    partner = voice.partner(entry)
    if partner is None:
        return False
    if tag == "wedge" and not _sounds_within(entry, partner, voice):
        return True
    return _is_cut(entry, partner, voice, section)


def _sounds_within(entry: Entry, partner: Entry, voice: Voice) -> bool:
    """True when a note sounds under a hairpin; else it goes and is counted."""
    first, last = sorted((entry.at, partner.at))
    covering = voice.covering(first)
    inside = [one for one in voice.between(first, last) if one.at[:2] < last[:2]]
    return bool(inside or (covering and covering.pitches))


def _is_cut(entry: Entry, partner: Entry, voice: Voice, section: Section) -> bool:
    """True when not all between the two ends is played by one line at one octave."""
    first, last = sorted((entry.at, partner.at))
    if section.has_border(first, last):
        return True
    between = voice.between(first, last)
    for at in (first, last):
        chord = voice.covering(at)
        if chord is not None and chord.pitches:
            between.append(chord)
    if not entry.on_note:  # a direction stands between notes
        sides = (voice.around(first)[0], voice.around(last)[1])
        between += [one for one in sides if one is not None]
    shifts = {section.shift(one) for one in between}
    return None in shifts or len(shifts) > 1


def _is_cut_tie(entry: Entry, voice: Voice, section: Section, step: int) -> bool:
    """True when the note it goes to is not played so, or either is a chord."""
    place = next(n for n, one in enumerate(voice.chords) if one.at == entry.at)
    here = voice.chords[place]
    other = voice.chords[place + step] if 0 <= place + step < len(voice.chords) else None
    if other is None or not other.pitches or len(here.pitches) > 1:
        return True
    if section.has_border(*sorted((here.at, other.at))):
        return True
    return section.shift(other) != section.shift(here)
