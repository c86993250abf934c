"""Edits of whole bars, parts and headings of a score, as a hand would make them."""

from collections.abc import Callable
from copy import deepcopy
from random import Random

from lxml import etree

from rewriter.comparing.contents import contents
from rewriter.scores.events import common_divisions
from rewriter.scores.score import read_score

Element = etree._Element
Shaping = Callable[[Element, Random], bool]


def _bars(root: Element) -> list[list[Element]]:
    return [part.findall("measure") for part in root.findall("part")]


def _number_anew(root: Element) -> None:
    """Printed numbers counted on, as programs do when they save."""
    for bars in _bars(root):
        first = bars[0].get("number", "1")
        number = int(first) if first.isdigit() else 1
        for place, bar in enumerate(bars):
            bar.set("number", str(number + place))


def cut_bars(root: Element, rng: Random) -> bool:
    """One bar or two, not the first: what is said there goes for the bars behind."""
    columns = list(zip(*_bars(root), strict=True))
    if len(columns) < 4:
        return False
    at = rng.randrange(1, len(columns) - 1)
    taken = columns[at : at + rng.randint(1, 2)]
    if any(bar.find("attributes") is not None for column in taken for bar in column):
        return False
    if _crosses(root, at, at + len(taken)):
        return False
    for column in taken:
        for bar in column:
            bar.getparent().remove(bar)  # type: ignore[union-attr]  # in its part
    _number_anew(root)
    return True


def _crosses(root: Element, at: int, behind: int) -> bool:
    """True where something goes on over the beginning of a bar, or over that of another."""
    score = read_score(etree.tostring(root))
    for part in score.parts:
        bars = contents(part, common_divisions(score.parts)).bars
        for bar in bars:
            for thing in bar.things:
                last = thing.until.bar if thing.until else thing.at.bar
                if any(thing.at.bar < edge <= last for edge in (at, behind)):
                    return True
                if "beginning" in thing.what:
                    return True
        for edge in {at, behind} - {0, len(bars)}:
            if any("tie" in note.says for note in bars[edge - 1].notes):
                return True
    return False


def put_bars_in(root: Element, rng: Random) -> bool:
    """One bar or two of music that is nowhere else, in all parts."""
    parts = root.findall("part")
    count = len(parts[0].findall("measure"))
    at = rng.randrange(1, count + 1)
    heights = [rng.randint(2, 6) for _ in range(rng.randint(1, 2))]
    if _tied_over(root, at):
        return False
    for part in parts:
        bars = part.findall("measure")
        divisions, length = _in_force(bars[:at])
        for step, height in enumerate(heights):
            bars[at - 1 + step].addnext(_new_bar(height, length))
            bars = part.findall("measure")
        assert divisions
    _number_anew(root)
    return True


def _tied_over(root: Element, at: int) -> bool:
    return any(bars[at - 1].find(".//tie[@type='start']") is not None for bars in _bars(root))


def _in_force(bars: list[Element]) -> tuple[int, int]:
    """Divisions, and how many of them the last bar has."""
    divisions, length = 1, 0
    for bar in bars:
        divisions = int(bar.findtext("attributes/divisions") or divisions)
    at = longest = 0
    for child in bars[-1]:
        lasts = int(child.findtext("duration") or 0)
        if child.find("chord") is not None or child.find("grace") is not None:
            continue
        at += -lasts if child.tag == "backup" else lasts
        longest = max(longest, at)
    length = longest
    return divisions, length


def _new_bar(height: int, length: int) -> Element:
    bar = etree.Element("measure", number="0", width="123")
    halves = [(length // 2, "A"), (length // 2, "C")]
    sounds = [(length, "A")] if length % 2 else halves
    for lasts, step in sounds:
        bar.append(
            etree.fromstring(
                f"<note><pitch><step>{step}</step><octave>{height}</octave></pitch>"
                f"<duration>{lasts}</duration><voice>1</voice></note>"
            )
        )
    return bar


def take_a_part_out(root: Element, rng: Random) -> bool:
    parts = root.findall("part")
    if len(parts) < 3:
        return False
    part = rng.choice(parts[1:])
    entry = root.find(f"part-list/score-part[@id='{part.get('id')}']")
    entry.getparent().remove(entry)  # type: ignore[union-attr]  # in the list
    root.remove(part)
    return True


def put_a_part_in(root: Element, rng: Random) -> bool:
    """A copy of one, called otherwise, without what stands once in a score."""
    parts = root.findall("part")
    if any(part.get("id") == "Gong" for part in parts):
        return False
    part = rng.choice(parts)
    entry = root.find(f"part-list/score-part[@id='{part.get('id')}']")
    assert entry is not None
    new = etree.fromstring(
        '<score-part id="Gong"><part-name>Water Gong</part-name></score-part>'
    )
    root.find("part-list").append(new)  # type: ignore[union-attr]  # every score has one
    copied = deepcopy(part)
    copied.set("id", "Gong")
    for once in copied.xpath(
        ".//rehearsal|.//metronome|.//repeat|.//ending|.//sound|.//transpose|.//instrument"
    ):
        once.getparent().remove(once)
    for nothing in copied.xpath(".//direction-type[not(*)]"):
        nothing.getparent().remove(nothing)
    for nothing in copied.xpath(".//direction[not(direction-type)]|.//barline[not(*)]"):
        nothing.getparent().remove(nothing)
    parts[-1].addnext(copied)
    return True


def name_a_part(root: Element, rng: Random) -> bool:
    entry = rng.choice(root.findall("part-list/score-part"))
    entry.find("part-name").text = "Fiddles of the harbour"  # type: ignore[union-attr]
    return True


def change_the_title(root: Element, rng: Random) -> bool:
    title = root.find("movement-title")
    if title is None:
        return False
    title.text = rng.choice(("Another Ferry", "The same Ferry & another"))
    return True


SHAPINGS: dict[str, Shaping] = {
    "cut bars": cut_bars,
    "put bars in": put_bars_in,
    "take a part out": take_a_part_out,
    "put a part in": put_a_part_in,
    "name a part": name_a_part,
    "change the title": change_the_title,
}


def shaped(data: bytes, name: str, seed: int) -> bytes | None:
    """A score with one such edit; None where it has nothing to edit so."""
    root = etree.fromstring(data)
    done = SHAPINGS[name](root, Random(seed))  # noqa: S311 - music, not secrets
    return etree.tostring(root) if done else None
