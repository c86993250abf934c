"""What music21, partitura and verovio read in a score, each through its normaliser.

All three give, part by part in the order the parts stand, the notes as our own reference
reader gives them: sounding MIDI numbers, tied runs as one note, grace, cue and unpitched notes
left out, repeats not unfolded. The bar a note stands in and its place in that bar are the
reader's own finding; where each bar begins is taken from the file by ``bar_starts``, since the
readers disagree about bars that are not full, and so do programs.

What each reader gets wrong and what its normaliser does about it stands in its docstring; the
tests beside this module show each misreading, so that one notices when a release mends it. All
three take a printed sign for the sound where ``<alter>`` is missing; the standard does not.
"""

import io
import re
import warnings
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from lxml import etree

from tests.outside.reference import (
    Clock,
    Found,
    Heard,
    bar_starts,
    score_root,
    ties_merged,
)

MEI = "{http://www.music-encoding.org/ns/mei}"
XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
SIGNS = ("accid.ges", "accid")
STEPS = {"c": 0, "d": 2, "e": 4, "f": 5, "g": 7, "a": 9, "b": 11}
ALTERS = {
    "n": 0, "s": 1, "f": -1, "ss": 2, "x": 2, "ff": -2, "xs": 3, "ts": 3, "tf": -3,
    "su": 1.5, "sd": 0.5, "fu": -0.5, "fd": -1.5,
    "1qs": 0.5, "3qs": 1.5, "1qf": -0.5, "3qf": -1.5,
}  # fmt: skip


def heard_by_music21(data: bytes) -> list[list[Heard]]:
    """Notes as music21 reads them.

    The staves of one part come as parts of their own and are put together again. It knows no
    cue notes, so they are made rests in the file it is given. It stops at a transposition with
    ``<octave-change>`` and no ``<diatonic>``, which the standard allows.
    """
    from music21 import converter, stream

    score = converter.parseData(_silenced(data), format="musicxml")
    starts, parts = bar_starts(data), dict[str, list[Found]]()
    for number, part in enumerate(score.parts):
        part.toSoundingPitch(inPlace=True)
        name = re.sub(r"-Staff\d+$", "", str(part.id))
        is_staff = isinstance(part, stream.PartStaff)
        notes = parts.setdefault(name if is_staff else str(number), [])
        for bar, measure in enumerate(part.getElementsByClass(stream.Measure)):
            notes += _of_music21(measure, bar, starts[bar])
    return [ties_merged(notes) for notes in parts.values()]


def _of_music21(measure: Any, bar: int, start: Fraction) -> Iterator[Found]:
    from music21 import chord, harmony

    for one in measure.flatten().notes:
        if isinstance(one, harmony.Harmony) or one.duration.isGrace:
            continue
        onset, length = _exact(one.offset), _exact(one.quarterLength)
        for head in one.notes if isinstance(one, chord.Chord) else (one,):
            kind = head.tie.type if head.tie else ""
            ties = frozenset(("start", "stop") if kind == "continue" else (kind,))
            heard = Heard(start + onset, length, head.pitch.ps)
            yield Found(heard, ties, bar, onset == 0, closes_bar=True)


def heard_by_partitura(data: bytes) -> list[list[Heard]]:
    """Notes as partitura reads them.

    It reads cue notes as full notes and stops at unpitched notes without a line, so both are
    made rests in the file it is given; it drops ``<octave-change>`` from a transposition, so
    that is added from the file. Quarter tones it cuts off, and stops at their printed signs:
    nothing can be done about that.
    """
    root, score = score_root(data), load_by_partitura(_silenced(data))
    found = []
    for part, element in zip(score.parts, root.findall("part"), strict=True):
        found.append(_of_partitura(part, _octave_changes(element), bar_starts(data)))
    return found


def load_by_partitura(data: bytes) -> Any:
    """The score as partitura reads it, without the warnings of the modules it imports."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import partitura

        return partitura.load_musicxml(io.BytesIO(data))


def _silenced(data: bytes) -> bytes:
    """The score with its cue and unpitched notes made rests; chord members of such go."""
    root = etree.fromstring(etree.tostring(score_root(data)))
    for note in list(root.iter("note")):
        if note.find("cue") is None and note.find("unpitched") is None:
            continue
        if note.find("grace") is not None or note.find("chord") is not None:
            note.getparent().remove(note)
            continue
        for child in list(note):
            if child.tag in {"pitch", "unpitched"}:
                note.replace(child, etree.Element("rest"))
            elif child.tag in {"cue", "tie", "notations", "beam"}:
                note.remove(child)
    return etree.tostring(root)


def _octave_changes(part: etree._Element) -> list[int]:
    """Semitones of ``<octave-change>`` in force at the end of each bar's attributes."""
    changes, now = [], 0
    for measure in part.findall("measure"):
        for transpose in measure.iter("transpose"):
            now = 12 * int(transpose.findtext("octave-change", "0"))
        changes.append(now)
    return changes


def _of_partitura(part: Any, octaves: list[int], starts: list[Fraction]) -> list[Heard]:
    from partitura import score

    measures = list(part.measures)
    quarter = part.quarter_map
    moves = [(one.start.t, one.chromatic) for one in part.iter_all(score.Transposition)]
    found = []
    for note in part.notes_tied:
        if isinstance(note, score.GraceNote):
            continue
        bar = max(n for n, one in enumerate(measures) if one.start.t <= note.start.t)
        onset = _exact(float(quarter(note.start.t) - quarter(measures[bar].start.t)))
        length = sum(
            _exact(float(quarter(one.end.t) - quarter(one.start.t)))
            for one in (note, *note.tie_next_notes)
        )
        steps = ([steps for time, steps in moves if time <= note.start.t] or [0])[-1]
        midi = note.midi_pitch + steps + octaves[bar]
        found.append(Heard(starts[bar] + onset, Fraction(length), midi))
    return sorted(found)


def heard_by_verovio(data: bytes) -> list[list[Heard]]:
    """Notes as verovio reads them, from the MEI it makes.

    A length is its ``dur.ppq`` by the divisions the file has at the start of the bar, since
    the MEI tells of a change of divisions without saying whose. It drops a transposition that
    changes within the piece, and gives one meant for a single staff to all staves of the
    part. A printed quarter-tone sharp it holds for three quarter tones: the sign is taken.
    Music without metre in the midst of several parts ends its process: the mark is left out.
    """
    root = score_root(data)
    mei = mei_of(data)
    ends, starts = _mei_ties(mei), bar_starts(data)
    staves = list(mei.iter(f"{MEI}staffDef"))
    measures = list(mei.iter(f"{MEI}measure"))
    found, first = [], 0
    for part in root.findall("part"):
        count = max((int(one.text or "1") for one in part.iter("staves")), default=1)
        steps = {
            one.get("n"): float(one.get("trans.semi", "0"))
            for one in staves[first : first + count]
        }
        first += count
        notes = []
        for bar, divisions in enumerate(_divisions(part)):
            for staff, (onset, length, note) in _of_measure(measures[bar], set(steps)):
                midi = _mei_midi(note) + steps[staff]
                heard = Heard(starts[bar] + onset / divisions, length / divisions, midi)
                ties = ends.get(note.get(XML_ID), frozenset())
                notes.append(Found(heard, ties, bar, onset == 0, closes_bar=True))
        found.append(ties_merged(notes))
    return found


def mei_of(data: bytes) -> etree._Element:
    """The MEI verovio makes of a score."""
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.setOptions({"breaks": "none"})
    root = etree.fromstring(etree.tostring(score_root(data)))
    for free in list(root.iterfind(".//time/senza-misura/..")):
        free.getparent().remove(free)
    assert toolkit.loadData(etree.tostring(root, encoding="unicode"))
    return etree.fromstring(toolkit.getMEI().encode())


def _mei_ties(mei: etree._Element) -> dict[str | None, frozenset[str]]:
    """Which ends of ties hang on which note, by its id."""
    ends = dict[str | None, frozenset[str]]()
    for tie in mei.iter(f"{MEI}tie"):
        for kind, name in (("start", "startid"), ("stop", "endid")):
            note = tie.get(name, "")[1:]
            ends[note] = ends.get(note, frozenset()) | {kind}
    return ends


def _of_measure(
    measure: etree._Element, staves: set[str | None]
) -> Iterator[tuple[str | None, tuple[Fraction, Fraction, etree._Element]]]:
    for staff in measure.findall(f"{MEI}staff"):
        if staff.get("n") in staves:
            for layer in staff.findall(f"{MEI}layer"):
                for note in _of_layer(layer):
                    yield staff.get("n"), note


def _divisions(part: etree._Element) -> list[Fraction]:
    """Divisions in force at the start of each bar, its own attributes included."""
    clock, found = Clock(), []
    for measure in part.findall("measure"):
        for event in clock.events(measure):
            if event.element.tag in {"note", "forward"} or event.element is measure:
                break
        found.append(clock.divisions)
        list(clock.events(measure))
    return found


def _of_layer(layer: etree._Element) -> Iterator[tuple[Fraction, Fraction, etree._Element]]:
    """Onset and length in divisions, and the MEI note, of all that sounds in one layer."""
    now = Fraction(0)
    for one in layer.iter(f"{MEI}note", f"{MEI}chord", f"{MEI}rest", f"{MEI}space"):
        if one.getparent().tag == f"{MEI}chord" or one.get("grace"):
            continue
        length = Fraction(one.get("dur.ppq", "0"))
        for note in one.iter(f"{MEI}note"):
            if note.get("pname") and one.get("cue") != "true" and note.get("cue") != "true":
                yield now, length, note
        now += length


def _mei_midi(note: etree._Element) -> float:
    inner = note.find(f"{MEI}accid")
    signs = [one.get(name) for one in (note, inner) if one is not None for name in SIGNS]
    sign = "1qs" if "1qs" in signs else next((one for one in signs if one), "n")
    octave = int(note.get("oct.ges", note.get("oct", "4")))
    return 12 * (octave + 1) + STEPS[note.get("pname", "")] + ALTERS[sign]


def _exact(quarters: float | Fraction) -> Fraction:
    return Fraction(quarters).limit_denominator(5000)
