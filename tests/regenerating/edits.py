"""Hands at work: edits of every kind in any part of a score, beside those of ``comparing``."""

from collections.abc import Callable
from copy import deepcopy
from itertools import pairwise
from random import Random

from lxml import etree

from tests.comparing import editing
from tests.comparing.editing import Element, Place, heard, notations, places, plain
from tests.merging import shaping

Hand = Callable[[Element, Random], bool]
"""Edits a score in place; False where it has nothing to edit so."""

_STEPS = "CDEFGAB"


def _sign(family: str, sign: str) -> Hand:
    def put(root: Element, rng: Random) -> bool:
        notes = plain(root)
        if not notes:
            return False
        notation = notations(rng.choice(notes).element)
        group = notation.find(family)
        if group is None:
            group = etree.SubElement(notation, family)
        group.append(etree.fromstring(sign))
        return True

    return put


def change_a_step(root: Element, rng: Random) -> bool:
    """A note a step higher or lower, natural."""
    notes = [one for one in heard(root) if one.element.find("tie") is None]
    if not notes:
        return False
    note = rng.choice(notes).element
    pitch = note.find("pitch")
    at = _STEPS.index(pitch.findtext("step")) + rng.choice((1, -1))  # type: ignore[union-attr, arg-type]
    pitch.find("step").text = _STEPS[at % 7]  # type: ignore[union-attr]
    for gone in [*pitch.findall("alter"), *note.findall("accidental")]:  # type: ignore[union-attr]
        gone.getparent().remove(gone)
    return True


def silence_a_note(root: Element, rng: Random) -> bool:
    """A rest in the place of a note on which nothing hangs."""
    notes = [one for one in plain(root) if _is_bare(one.element)]
    if not notes:
        return False
    note = rng.choice(notes).element
    note.replace(note.find("pitch"), etree.Element("rest"))  # type: ignore[arg-type]
    for name in ("accidental", "stem", "notehead", "beam"):
        for gone in note.findall(name):
            note.remove(gone)
    return True


def _is_bare(note: Element) -> bool:
    after = note.getnext()
    return (
        note.find("notations") is None and note.find("tie") is None
        and note.find("lyric") is None and (after is None or after.find("chord") is None)
    )  # fmt: skip


def sound_a_rest(root: Element, rng: Random) -> bool:
    """A note in the place of a rest."""
    rests = [one.element for one in places(root) if one.element.find("rest") is not None]
    rests = [one for one in rests if one.find("notations") is None and one.find("cue") is None]
    if not rests:
        return False
    _sound(rng.choice(rests), rng)
    return True


def _sound(rest: Element, rng: Random) -> None:
    step, octave = rng.choice(_STEPS), rng.randint(3, 5)
    pitch = f"<pitch><step>{step}</step><octave>{octave}</octave></pitch>"
    rest.replace(rest.find("rest"), etree.fromstring(pitch))  # type: ignore[arg-type]


def put_cue_notes_in(root: Element, rng: Random) -> bool:
    rests = [
        one.element for one in places(root) if one.element.find("rest[@measure]") is not None
    ]
    if not rests:
        return False
    rest = rng.choice(rests)
    _sound(rest, rng)
    rest.insert(0, etree.Element("cue"))
    return True


def add_to_a_chord(root: Element, rng: Random) -> bool:
    notes = [one.element for one in plain(root) if one.element.find("tie") is None]
    if not notes:
        return False
    note = rng.choice(notes)
    other = deepcopy(note)
    for name in ("notations", "lyric", "accidental", "beam"):
        for gone in other.findall(name):
            other.remove(gone)
    other.insert(0, etree.Element("chord"))
    octave = other.find("pitch/octave")
    octave.text = str(int(octave.text) - 1)  # type: ignore[union-attr, arg-type]
    note.addnext(other)
    return True


def add_a_tie(root: Element, rng: Random) -> bool:
    """Between two notes of one pitch that follow each other."""
    pairs = [
        (one, two)
        for one, two in pairwise(plain(root))
        if one.voice == two.voice and _pitch(one.element) == _pitch(two.element)
        and one.element.find("tie") is None and two.element.find("tie") is None
        and _follow(one, two)
    ]  # fmt: skip
    if not pairs:
        return False
    for place, end in zip(rng.choice(pairs), ("start", "stop"), strict=True):
        note = place.element
        note.find("duration").addnext(etree.Element("tie", type=end))  # type: ignore[union-attr]
        notations(note).insert(0, etree.Element("tied", type=end))
    return True


def _pitch(note: Element) -> str:
    return "".join("".join(note.xpath("pitch//text()")).split())


def _follow(one: Place, two: Place) -> bool:
    after = one.element.getnext()
    while after is not None and after.tag == "direction":
        after = after.getnext()
    return after is two.element


def add_a_voice(root: Element, rng: Random) -> bool:
    """A second voice of one long note under a bar that sounds."""
    bars = [one.element.getparent() for one in plain(root) if one.voice == "1"]
    bars = [bar for bar in bars if bar is not None and bar.find("backup") is None]
    bars = [bar for bar in bars if bar.find("note/staff") is None]
    if not bars:
        return False
    bar = rng.choice(bars)
    length = sum(
        int(note.findtext("duration") or 0)
        for note in bar.findall("note")
        if note.find("chord") is None and note.find("grace") is None
    )
    last = bar.findall("note")[-1]
    move = etree.fromstring(f"<backup><duration>{length}</duration></backup>")
    note = etree.fromstring(
        f"<note><rest/><duration>{length}</duration><voice>7</voice></note>"
    )
    _sound(note, rng)
    last.addnext(move)
    move.addnext(note)
    return True


def add_an_octave_line(root: Element, rng: Random) -> bool:
    """Over the notes of a bar."""
    bars = [one for one in plain(root) if one.voice == "1" and not _within_grace(one.element)]
    if not bars:
        return False
    note = rng.choice(bars)
    start, stop = (
        etree.fromstring(
            f'<direction><direction-type><octave-shift type="{way}" size="8" number="3"/>'
            "</direction-type></direction>"
        )
        for way in ("down", "stop")
    )
    note.element.addprevious(start)
    after = note.element
    while (behind := after.getnext()) is not None and behind.find("chord") is not None:
        after = behind
    after.addnext(stop)
    return True


def _within_grace(note: Element) -> bool:
    before = note.getprevious()
    return before is not None and before.find("grace") is not None


def _words(*texts: str) -> Hand:
    def put(root: Element, rng: Random) -> bool:
        notes = [one for one in plain(root) if not _within_grace(one.element)]
        if not notes:
            return False
        said = f"<direction><direction-type><words>{rng.choice(texts)}</words></direction-type>"
        rng.choice(notes).element.addprevious(etree.fromstring(said + "</direction>"))
        return True

    return put


def _without(inside: str) -> Hand:
    """Takes one direction out that says nothing else."""

    def take(root: Element, rng: Random) -> bool:
        found = [
            one.element
            for one in places(root, "direction")
            if one.element.find(f"direction-type/{inside}") is not None
            and len(one.element.findall("direction-type/*")) == 1
            and one.element.find("sound") is None
        ]
        if not found:
            return False
        gone = rng.choice(found)
        gone.getparent().remove(gone)  # type: ignore[union-attr]
        return True

    return take


def change_a_dynamic(root: Element, rng: Random) -> bool:
    found = list(root.find("part").iterfind("measure/direction/direction-type/dynamics"))  # type: ignore[union-attr]
    if not found:
        return False
    one = rng.choice(found)
    one[:] = [etree.Element(rng.choice(("ppp", "sfz", "fff")))]
    return True


def change_words(root: Element, rng: Random) -> bool:
    found = list(root.find("part").iterfind("measure/direction/direction-type/words"))  # type: ignore[union-attr]
    if not found:
        return False
    rng.choice(found).text = rng.choice(("as from afar", "without haste", "grey"))
    return True


def repeat_some_bars(root: Element, rng: Random) -> bool:
    """A repeat in all parts, of bars that have none."""
    parts = [part.findall("measure") for part in root.findall("part")]
    if any(True for _ in root.iter("repeat", "ending")) or len(parts[0]) < 3:
        return False
    at = rng.randrange(1, len(parts[0]) - 1)
    for bars in parts:
        for gone in bars[at].findall("barline"):
            bars[at].remove(gone)
        bars[at].append(
            etree.fromstring(
                '<barline location="right"><bar-style>light-heavy</bar-style>'
                '<repeat direction="backward"/></barline>'
            )
        )
    return True


def change_the_composer(root: Element, rng: Random) -> bool:
    creators = root.findall("identification/creator")
    if not creators:
        return False
    rng.choice(creators).text = rng.choice(("A. Hand", "Somebody Else"))
    return True


def _of_comparing(name: str) -> Hand:
    def do(root: Element, rng: Random) -> bool:
        return editing.EDITS[name](root, rng) is not None

    return do


OF_A_PART: dict[str, Hand] = {
    **{name: _of_comparing(name) for name in editing.EDITS},
    "change a step": change_a_step,
    "silence a note": silence_a_note,
    "sound a rest": sound_a_rest,
    "put cue notes in": put_cue_notes_in,
    "add to a chord": add_to_a_chord,
    "add a tie": add_a_tie,
    "add a voice": add_a_voice,
    "add an octave line": add_an_octave_line,
    "add a bowing": _sign("technical", "<up-bow/>"),
    "add a string": _sign("technical", "<string>2</string>"),
    "add a harmonic": _sign("technical", "<open-string/>"),
    "add an ornament": _sign("ornaments", "<trill-mark/>"),
    "add a technique": _words("sul ponticello", "pizz.", "con sord."),
    "divide": _words("div.", "unis.", "div. a 3"),
    "remove words": _without("words"),
    "remove a dynamic": _without("dynamics"),
    "change a dynamic": change_a_dynamic,
    "change words": change_words,
}
"""Edits of one part."""

OF_THE_SCORE: dict[str, Hand] = {
    **shaping.SHAPINGS,
    "repeat some bars": repeat_some_bars,
    "change the composer": change_the_composer,
}
"""Edits of all parts, of bars and of headings."""

HANDS = OF_A_PART | OF_THE_SCORE


def worked_on(data: bytes, names: list[str], seed: int, *, marks: bool = False) -> bytes:
    """A score with such edits one after the other, as far as it has anything for them.

    Args:
        data: a score.
        names: of :data:`HANDS`.
        seed: where they are made.
        marks: bars get the index they have as an id, so that they are known again.
    """
    root = etree.fromstring(data)
    if marks:
        name_bars(root, "was")
    for step, name in enumerate(names):
        by_hand(root, name, Random(seed * 1000 + step))  # noqa: S311 - music, not secrets
    return etree.tostring(root)


def by_hand(root: Element, name: str, rng: Random) -> bool:
    """One edit, in any part."""
    if name in OF_THE_SCORE:
        return OF_THE_SCORE[name](root, rng)
    parts = [
        part for part in root.findall("part") if part.find("measure/note/pitch") is not None
    ]
    if not parts:
        return False
    part = rng.choice(parts)
    alone = etree.Element(root.tag)
    at = root.index(part)
    alone.append(part)
    done = OF_A_PART[name](alone, rng)
    root.insert(at, part)
    return done


def name_bars(root: Element, name: str) -> None:
    """Give each bar an id that says its index."""
    for part in root.findall("part"):
        for place, bar in enumerate(part.findall("measure")):
            bar.set("id", f"{name}-{part.get('id')}-{place}")
