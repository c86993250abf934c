"""Composers at work: changes of a sketch of every kind, and which bar is which afterwards."""

from collections import Counter
from collections.abc import Callable
from copy import deepcopy
from random import Random
from typing import NamedTuple

from lxml import etree

Element = etree._Element


class Changed(NamedTuple):
    """A sketch after a change.

    Attributes:
        data: MusicXML.
        was: for each bar the index it had before; None for a new one.
    """

    data: bytes
    was: list[int | None]


_STEPS = "CDEFGAB"
_AWAY = ("sound", "print")


class Bars:
    """The bars of a sketch in all its parts, and where they come from."""

    def __init__(self, root: Element, rng: Random) -> None:
        self.root = root
        self.rng = rng
        parts = [part.findall("measure") for part in root.findall("part")]
        self.columns = [list(column) for column in zip(*parts, strict=True)]
        self.was: list[int | None] = list(range(len(self.columns)))
        self.joints = closed_barlines(self.columns)

    def written(self) -> Changed:
        for place, part in enumerate(self.root.findall("part")):
            for gone in part.findall("measure"):
                part.remove(gone)
            for at, column in enumerate(self.columns):
                column[place].set("number", str(at + 1))
                part.append(column[place])
        return Changed(etree.tostring(self.root), self.was)

    def stretch(self) -> tuple[int, int] | None:
        """Up to eight bars between two barlines over which nothing goes."""
        places = [at for at in self.joints if 0 < at < len(self.columns)]
        ends = [
            (start, stop)
            for start in places
            for stop in places
            if 0 < stop - start <= 8 and not any(map(_states, self.columns[start:stop]))
        ]
        return self.rng.choice(ends) if ends else None

    def joint(self) -> int | None:
        places = [at for at in self.joints if 0 < at <= len(self.columns)]
        return self.rng.choice(places) if places else None

    def put(self, at: int, columns: list[list[Element]], was: list[int | None]) -> None:
        self.columns[at:at] = columns
        self.was[at:at] = was

    def take(self, start: int, stop: int) -> None:
        del self.columns[start:stop]
        del self.was[start:stop]


def closed_barlines(columns: list[list[Element]]) -> list[int]:
    """Barlines, by the bar behind, over which no tie, slur, hairpin or ending goes."""
    found = []
    begun: Counter[str] = Counter()
    for at, column in enumerate(columns):
        if not any(begun.values()):
            found.append(at)
        for bar in column:
            for tag in (
                "tie",
                "slur",
                "wedge",
                "octave-shift",
                "dashes",
                "bracket",
                "wavy-line",
            ):
                for sign in bar.iter(tag):
                    ended = sign.get("type") == "stop"
                    begun[tag] += -1 if ended else sign.get("type") != "continue"
            for tag in ("ending", "repeat"):
                begun[tag] += len(list(bar.iter(tag)))  # within repeats nothing is cut
    return [*found, len(columns)] if not any(begun.values()) else found


def _states(column: list[Element]) -> bool:
    return any(bar.find("attributes") is not None for bar in column)


def insert_bars(bars: Bars) -> bool:
    """Music that is nowhere else, as long as the bars before it."""
    at = bars.joint()
    if at is None:
        return False
    count = bars.rng.randint(1, 8)
    columns = []
    for _ in range(count):
        column = [_plain_copy(bar) for bar in bars.columns[at - 1]]
        for bar in column:
            _compose(bar, bars.rng)
        columns.append(column)
    bars.put(at, columns, [None] * count)
    return True


def _plain_copy(bar: Element) -> Element:
    copied = deepcopy(bar)
    for child in list(copied):
        if child.tag not in {"note", "backup", "forward"}:
            copied.remove(child)
    for name in ("notations", "tie", "lyric"):
        for gone in list(copied.iter(name)):
            if gone.getparent() is not None:
                gone.getparent().remove(gone)
    for note in copied.findall("note"):
        if note.find("time-modification") is not None:
            note.remove(note.find("time-modification"))  # type: ignore[arg-type]
    return copied


def _compose(bar: Element, rng: Random) -> None:
    for pitch in bar.iterfind("note/pitch"):
        pitch.find("step").text = rng.choice(_STEPS)  # type: ignore[union-attr]
        for gone in pitch.findall("alter"):
            pitch.remove(gone)
    for gone in bar.xpath("note/accidental"):
        gone.getparent().remove(gone)


def delete_bars(bars: Bars) -> bool:
    found = bars.stretch()
    if found is None or found[1] - found[0] > len(bars.columns) // 3:
        return False
    bars.take(*found)
    return True


def repeat_bars(bars: Bars) -> bool:
    """Bars said twice; the first of them are those that were there."""
    found = bars.stretch()
    if found is None:
        return False
    start, stop = found
    again = deepcopy(bars.columns[start:stop])
    bars.put(stop, again, [None] * (stop - start))
    return True


def move_bars(bars: Bars) -> bool:
    found = bars.stretch()
    if found is None:
        return False
    start, stop = found
    columns, was = bars.columns[start:stop], bars.was[start:stop]
    bars.take(start, stop)
    places = [at for at in bars.joints if 0 < at < start] or [start]
    bars.put(bars.rng.choice(places), columns, was)
    return True


def alter_notes(bars: Bars) -> bool:
    """One bar in twenty has another note."""
    for at in range(len(bars.columns)):
        if bars.rng.random() < 0.05:
            _alter(bars.columns[at], bars.rng)
    return True


def _alter(column: list[Element], rng: Random) -> None:
    notes = [
        note
        for bar in column
        for note in bar.findall("note")
        if note.find("pitch") is not None and note.find("tie") is None
    ]
    if notes:
        pitch = rng.choice(notes).find("pitch")
        at = _STEPS.index(pitch.findtext("step")) + rng.choice((1, 2, -1))  # type: ignore[union-attr, arg-type]
        pitch.find("step").text = _STEPS[at % 7]  # type: ignore[union-attr]


def alter_rhythm(bars: Bars) -> bool:
    """A note struck twice, half as long, in a few bars."""
    done = False
    for column in bars.columns:
        for bar in column:
            for note in bar.findall("note"):
                if bars.rng.random() < 0.02:
                    done |= _halve(note)
    return done


def _halve(note: Element) -> bool:
    names = {"whole": "half", "half": "quarter", "quarter": "eighth"}
    kind, duration = note.find("type"), note.find("duration")
    after = note.getnext()
    if (
        kind is None or kind.text not in names or duration is None or note.find("pitch") is None
        or int(duration.text or 0) % 2 or note.find("notations") is not None
        or note.find("tie") is not None or note.find("dot") is not None
        or note.find("time-modification") is not None or note.find("chord") is not None
        or (after is not None and after.find("chord") is not None)
    ):  # fmt: skip
        return False
    duration.text = str(int(duration.text or 0) // 2)
    kind.text = names[kind.text]
    other = deepcopy(note)
    for gone in other.findall("lyric"):
        other.remove(gone)
    note.addnext(other)
    return True


def change_slurs(bars: Bars) -> bool:
    """All slurs of a few bars are gone."""
    done = False
    for start, stop in zip(bars.joints, bars.joints[1:], strict=False):
        if bars.rng.random() < 0.3:
            for column in bars.columns[start:stop]:
                for bar in column:
                    for slur in list(bar.iter("slur")):
                        slur.getparent().remove(slur)  # type: ignore[union-attr]
                        done = True
    return done


def change_dynamics(bars: Bars) -> bool:
    found = [one for column in bars.columns for bar in column for one in bar.iter("dynamics")]
    for one in found:
        if bars.rng.random() < 0.5:
            one[:] = [etree.Element(bars.rng.choice(("pp", "mf", "ff")))]
    return bool(found)


def change_words(bars: Bars) -> bool:
    notes = [note for column in bars.columns for note in column[0].findall("note")]
    notes = [
        note for note in notes if note.find("chord") is None and note.find("grace") is None
    ]
    said = "<direction><direction-type><words>another word</words></direction-type></direction>"
    bars.rng.choice(notes).addprevious(etree.fromstring(said))
    return True


def change_metre(bars: Bars) -> bool:
    """Four quarters as two halves: another metre of the same length."""
    found = [time for column in bars.columns for bar in column for time in bar.iter("time")]
    found = [time for time in found if [one.text for one in time][:2] == ["4", "4"]]
    for time in found:
        time.find("beats").text, time.find("beat-type").text = "2", "2"  # type: ignore[union-attr]
        time.attrib.pop("symbol", None)
    return bool(found)


def add_a_pickup(bars: Bars) -> bool:
    """A beat before the first bar, which has had none."""
    if bars.columns[0][0].get("implicit") == "yes":
        return False
    column = []
    for bar in bars.columns[0]:
        new = etree.Element("measure", number="0", implicit="yes")
        attributes = bar.find("attributes")
        if attributes is not None:
            new.append(attributes)
        divisions = int(new.findtext("attributes/divisions") or 1)
        new.append(
            etree.fromstring(
                "<note><pitch><step>B</step><octave>4</octave></pitch>"
                f"<duration>{divisions}</duration><voice>1</voice><type>quarter</type></note>"
            )
        )
        column.append(new)
    bars.put(0, [column], [None])
    return True


def change_mode(bars: Bars) -> bool:
    """Three flats more, in the signature and on every third, sixth and seventh."""
    keys = [key for column in bars.columns for bar in column for key in bar.iter("key")]
    if not keys or any(int(key.findtext("fifths") or 0) < -3 for key in keys):
        return False
    fifths = int(keys[0].findtext("fifths") or 0)
    order = "FCGDAEB"
    letters = {order[(1 + fifths - back) % 7] for back in (1, 2, 3)}
    for key in keys:
        key.find("fifths").text = str(int(key.findtext("fifths") or 0) - 3)  # type: ignore[union-attr]
    for column in bars.columns:
        for bar in column:
            for pitch in bar.iterfind("note/pitch"):
                if pitch.findtext("step") in letters and abs(_alter_of(pitch) - 1) < 2:
                    _set_alter(pitch, _alter_of(pitch) - 1)
            for gone in bar.xpath("note/accidental"):
                gone.getparent().remove(gone)
    return True


def _alter_of(pitch: Element) -> int:
    return int(float(pitch.findtext("alter") or 0))


def _set_alter(pitch: Element, alter: int) -> None:
    for gone in pitch.findall("alter"):
        pitch.remove(gone)
    if alter:
        new = etree.Element("alter")
        new.text = str(alter)
        pitch.find("step").addnext(new)  # type: ignore[union-attr]


SOURCES: dict[str, Callable[[Bars], bool]] = {
    "nothing": lambda _: True,
    "insert bars": insert_bars,
    "delete bars": delete_bars,
    "repeat bars": repeat_bars,
    "move bars": move_bars,
    "alter notes": alter_notes,
    "alter rhythm": alter_rhythm,
    "change slurs": change_slurs,
    "change dynamics": change_dynamics,
    "change words": change_words,
    "change metre": change_metre,
    "add a pickup": add_a_pickup,
    "change mode": change_mode,
}


def changed(data: bytes, names: list[str], seed: int) -> Changed | None:
    """A sketch after some changes; None where it has nothing to change so."""
    rng = Random(seed)  # noqa: S311 - music, not secrets
    bars = Bars(etree.fromstring(data), rng)
    for name in names:
        if not SOURCES[name](bars):
            return None
        bars.joints = closed_barlines(bars.columns)
    return bars.written()
