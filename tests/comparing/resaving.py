"""A score saved again as notation programs do: the same music, everything else different.

What it changes is what programs were seen to change: ids, divisions, numbers of voices and of
slurs, order of voices and signs, stems and positions, rests, defaults said or left out, white
space, signs moved by a little, sorted by bars instead of parts.
"""

from collections.abc import Iterator
from copy import deepcopy
from fractions import Fraction
from math import lcm
from random import Random
from typing import NamedTuple

from lxml import etree

Element = etree._Element


class Item(NamedTuple):
    """Something in a bar at its time, both in quarters."""

    onset: Fraction
    length: Fraction
    elements: list[Element]


def resaved(data: bytes, seed: int, *, timewise: bool = False) -> bytes:
    """The same music, saved by somebody else's program.

    Args:
        data: a partwise score.
        seed: what is changed, and how.
        timewise: sorted by bars.
    """
    rng = Random(seed)  # noqa: S311 - music, not secrets
    root = etree.fromstring(data)
    divisions = _divisions(root) * rng.choice((1, 2, 4, 7))
    for place, part in enumerate(root.findall("part")):
        _rename(root, part, f"Part-{place}-{rng.randint(10, 99)}")
        _save_part(part, divisions, rng)
    if timewise:
        root = _sorted_by_bars(root)
    etree.indent(root, space="\t")
    return etree.tostring(root, encoding="UTF-16" if rng.random() < 0.3 else "UTF-8")


def _divisions(root: Element) -> int:
    """Enough to hold all lengths, and halves of them."""
    said = [Fraction((one.text or "1").strip()) for one in root.iter("divisions")]
    return 2 * lcm(*(int(one) for one in said))


def _rename(root: Element, part: Element, name: str) -> None:
    for entry in root.iterfind("part-list/score-part"):
        if entry.get("id") == part.get("id"):
            entry.set("id", name)
    part.set("id", name)


def _save_part(part: Element, divisions: int, rng: Random) -> None:
    scale = Fraction(1)
    names: dict[str, str] = {}
    taken = iter(rng.sample(range(1, 30), 20))
    shift = rng.randint(0, 3)
    for place, bar in enumerate(part.findall("measure")):
        bar.set("id", f"m{rng.randint(0, 10**9)}-{place}")
        bar.set("width", f"{rng.uniform(100, 300):.2f}")
        items, others, scale = _read(bar, scale)
        for child in list(bar):
            bar.remove(child)
        if rng.random() < 0.3:
            bar.append(etree.fromstring('<print new-system="yes"/>'))
        bar.extend(one for one in others if one.get("location") == "left")
        _write(bar, items, divisions, rng, first=place == 0)
        bar.extend(one for one in others if one.get("location") != "left")
        for note in bar.iter("note"):
            _disguise(note, names, taken, rng)
        for sign in bar.iter("slur", "wedge", "glissando", "slide", "octave-shift"):
            sign.set("number", str(int(sign.get("number", "1")) + shift))
        for direction in bar.iter("direction"):
            _disguise_direction(direction, rng)


def _read(
    bar: Element, scale: Fraction
) -> tuple[dict[str, list[Item]], list[Element], Fraction]:
    """Items by voice, signs under an empty name; barlines; quarters for a division."""
    at = onset = Fraction(0)
    items: dict[str, list[Item]] = {"": []}
    others: list[Element] = []
    for child in list(bar):
        length = Fraction((child.findtext("duration") or "0").strip()) * scale
        if child.tag == "note":
            voice = items.setdefault((child.findtext("voice") or "1").strip(), [])
            if child.find("chord") is not None:
                voice[-1].elements.append(child)
                continue
            onset = at
            if child.find("grace") is not None:
                length = Fraction(0)
            voice.append(Item(onset, length, [child]))
            at += length
        elif child.tag in {"backup", "forward"}:
            at += length if child.tag == "forward" else -length
        elif child.tag == "barline":
            others.append(child)
        else:
            if (said := child.findtext("divisions")) is not None:
                scale = 1 / Fraction(said.strip())
            if (offset := child.find("offset")) is not None:
                offset.text = str(Fraction((offset.text or "0").strip()) * scale)
            items[""].append(Item(at, Fraction(0), [child]))
    items["end"] = [Item(_end(items), Fraction(0), [])]
    return items, others, scale


def _end(items: dict[str, list[Item]]) -> Fraction:
    ends = [one.onset + one.length for voice in items.values() for one in voice]
    return max(ends, default=Fraction(0))


def _write(
    bar: Element, items: dict[str, list[Item]], divisions: int, rng: Random, *, first: bool
) -> None:
    """All items, voices in any order, signs between them."""
    if first:
        bar.append(
            etree.fromstring(f"<attributes><divisions>{divisions}</divisions></attributes>")
        )
    end = items.pop("end")
    signs = items.pop("")
    attributes = [one for one in signs if one.elements[0].tag == "attributes"]
    signs = [one for one in signs if one.elements[0].tag != "attributes"]
    for one in attributes:
        _restate(one.elements[0], rng)
    voices = list(items.values())
    rng.shuffle(voices)
    rng.shuffle(signs)
    at = Fraction(0)
    for stream in [attributes, *_mixed(voices, signs, rng), end]:
        for item in stream:
            hidden = rng.random() < 0.3 and _is_mere_rest(item)
            if hidden:
                continue
            at = _move(bar, at, item.onset, divisions)
            for element in _split_rest(item, rng):
                _set_length(element, divisions, item.length, rng)
                bar.append(element)
                if element.find("chord") is None and element.tag == "note":
                    at += Fraction(element.findtext("duration") or "0") / divisions


def _mixed(voices: list[list[Item]], signs: list[Item], rng: Random) -> Iterator[list[Item]]:
    """Voices, and after each some of the signs."""
    for voice in voices:
        share = rng.randint(0, len(signs))
        yield signs[:share]
        signs = signs[share:]
        yield voice
    yield signs


def _is_mere_rest(item: Item) -> bool:
    if not item.elements:
        return False
    one = item.elements[0]
    return (
        one.tag == "note" and one.find("rest") is not None and one.find("notations") is None
        and one.find("lyric") is None and one.find("beam") is None
    )  # fmt: skip


def _split_rest(item: Item, rng: Random) -> list[Element]:
    if _is_mere_rest(item) and rng.random() < 0.5:
        halves = [deepcopy(item.elements[0]) for _ in range(2)]
        for half in halves:
            half.set("half", "yes")
            half.find("rest").attrib.pop("measure", None)  # type: ignore[union-attr]  # it is a rest
        return halves
    return item.elements


def _move(bar: Element, at: Fraction, to: Fraction, divisions: int) -> Fraction:
    if to != at:
        tag = "forward" if to > at else "backup"
        move = etree.SubElement(bar, tag)
        etree.SubElement(move, "duration").text = str(int(abs(to - at) * divisions))
    return to


def _set_length(element: Element, divisions: int, length: Fraction, rng: Random) -> None:
    duration = element.find("duration")
    if duration is not None:
        halved = element.attrib.pop("half", None) is not None
        duration.text = f" {int(length * divisions / (2 if halved else 1))} "
    offset = element.find("offset")
    if offset is not None:
        offset.text = str(int(Fraction(offset.text or "0") * divisions))
    elif element.tag == "direction" and rng.random() < 0.3:
        _add_offset(element, divisions // 8)


def _add_offset(direction: Element, divisions: int) -> None:
    """A sign a little later: less than half of any beat made-up music has."""
    offset = etree.Element("offset")
    offset.text = str(divisions)
    types = direction.findall("direction-type")
    types[-1].addnext(offset)


def _disguise(note: Element, names: dict[str, str], taken: Iterator[int], rng: Random) -> None:
    note.set("default-x", f"{rng.uniform(0, 200):.2f}")
    voice = note.find("voice")
    if voice is None:
        voice = etree.Element("voice")
        before = [
            one for one in note if one.tag in {"duration", "tie", "grace", "pitch", "rest"}
        ]
        before[-1].addnext(voice)
    said = (voice.text or "1").strip()
    voice.text = names.setdefault(said, str(next(taken)) if said not in names else "")
    for stem in note.findall("stem"):
        note.remove(stem)
    if rng.random() < 0.5 and note.find("type") is not None and note.find("rest") is None:
        note.find("type").addnext(etree.fromstring("<stem>up</stem>"))  # type: ignore[union-attr]
    for sign in note.iterfind("notations//*"):
        if sign.tag in {"slur", "tied", "staccato", "accent"}:
            sign.set("placement", "below")
        sign.set("default-y", "12")
    for text in note.iterfind("lyric/text"):
        text.text = f" {text.text or ''} "
    for kind in ("articulations", "ornaments"):
        for family in note.iterfind(f"notations/{kind}"):
            if family.find("accidental-mark") is None:
                family[:] = reversed(list(family))


def _disguise_direction(direction: Element, rng: Random) -> None:
    direction.set("placement", rng.choice(("above", "below")))
    direction.set("id", f"d{rng.randint(0, 10**9)}")
    for words in direction.iterfind("direction-type/words"):
        words.text = f"\n  {words.text} "
        words.set("font-style", "italic")
    for minute in direction.iter("per-minute"):
        if (minute.text or "").isdigit():
            minute.text = f"{minute.text}.0"


def _restate(attributes: Element, rng: Random) -> None:
    """Defaults said: an octave of nothing, a mode, a line of the usual clef."""
    for divisions in attributes.findall("divisions"):
        attributes.remove(divisions)
    for clef in attributes.iterfind("clef"):
        if clef.find("clef-octave-change") is None:
            etree.SubElement(clef, "clef-octave-change").text = "0"
    for key in attributes.iterfind("key"):
        if key.find("mode") is None and key.find("fifths") is not None and rng.random() < 0.5:
            key.find("fifths").addnext(etree.fromstring("<mode>major</mode>"))  # type: ignore[union-attr]


def _sorted_by_bars(root: Element) -> Element:
    whole = etree.Element("score-timewise", dict(root.attrib))
    parts = root.findall("part")
    whole.extend(child for child in list(root) if child.tag != "part")
    for bars in zip(*(part.findall("measure") for part in parts), strict=True):
        column = etree.SubElement(whole, "measure", dict(bars[0].attrib))
        for part, bar in zip(parts, bars, strict=True):
            own = etree.SubElement(column, "part", id=part.get("id", ""))
            own.extend(list(bar))
    return whole
