"""Clefs and 8va lines of written parts, counted from the MusicXML alone by other arithmetic.

``python -m tests.corpus.clefs`` expands every part of the corpus, high and low, and prints how
many leger lines a note needs and how often clefs change; and whatever breaks a law:

- no clef within a slur or under a beam, unless the slur needs more than five leger lines in
  every clef of its section; none for a single note (common practice, no source; clefs of viola
  and cello by phrase: A. E. Johnstone, Instruments of the Modern Symphony Orchestra (1917),
  pp. 10, 12, and the aim of saving leger lines: K. W. Gehrkens, Music Notation and
  Terminology, section 17);
- no 8va line for three written notes or fewer, nor for less than a bar unless it covers five
  notes under one slur (common practice, no source).
"""

import argparse
import sys
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from lxml import etree

import rewriter
from rewriter.problems import Refused
from tests.corpus.trying import Line, lines_of, pieces

LAYOUTS = ("Vn I 15ma / Vla / Vc", "Vla 8va + Vc 8va", "Vn I 8va / Vn II + Vla / Vc", "Vc loco")
MIDDLE = {"G": 34, "C": 28, "F": 22}
"""Middle line of treble, alto and bass clef, in steps from C0: B4, C4, D3."""
USUAL = {"G": 2, "C": 3, "F": 4}
OF_SECTION = {"Vla": [("C", 3), ("G", 2)], "Vc": [("F", 4), ("C", 4), ("G", 2)]}


class Seen(NamedTuple):
    """A written note: when, its step from C0, its clef, spans that are open before it."""

    bar: int
    start: Fraction
    end: Fraction
    step: int
    clef: tuple[str, int]
    voice: str
    tied: bool
    slurs: frozenset[str]
    beamed: bool
    lowered: int
    """8va line it stands under, counted from 1; 0 for none."""


def lines_needed(step: int, clef: tuple[str, int]) -> int:
    """Leger lines of a note; positions from the middle line, 5 is the space above the staff."""
    sign, line = clef
    away = abs(step - (MIDDLE[sign] + 2 * (USUAL[sign] - line)))
    return max(away - 4, 0) // 2


class Part(NamedTuple):
    """What a part shows: its notes in order of time, lengths of its bars."""

    name: str
    notes: list[Seen]
    bars: list[Fraction]


def parts_of(data: bytes) -> Iterator[Part]:
    """The parts of a score, read without the tool."""
    root = etree.fromstring(data)
    names = {p.get("id"): p.findtext("part-abbreviation") for p in root.iter("score-part")}
    for part in root.findall("part"):
        yield Part(names[part.get("id")] or "", *_notes(part))


def _notes(part: etree._Element) -> tuple[list[Seen], list[Fraction]]:
    seen: list[Seen] = []
    bars: list[Fraction] = []
    divisions, begin, ottava, count = 1, Fraction(0), 0, 0
    clef = ("G", 2)
    slurs: set[str] = set()
    for bar, measure in enumerate(part.findall("measure")):
        now = longest = last = Fraction(0)
        for child in measure:
            if child.tag == "attributes":
                divisions = int(child.findtext("divisions") or divisions)
                if child.find("clef") is not None:
                    clef = (child.findtext("clef/sign"), int(child.findtext("clef/line")))
            elif child.tag == "direction" and child.find(".//octave-shift") is not None:
                kind = child.find(".//octave-shift").get("type")
                count += kind == "down"
                ottava = count if kind == "down" else 0
            length = Fraction(int(child.findtext("duration") or 0), divisions)
            if child.tag in {"backup", "forward"}:
                now += length if child.tag == "forward" else -length
            elif child.tag == "note":
                onset = last if child.find("chord") is not None else now
                if child.find("pitch") is not None:
                    step = "CDEFGAB".index(child.findtext("pitch/step"))
                    step += 7 * (int(child.findtext("pitch/octave")) - bool(ottava))
                    beams = {beam.text for beam in child.findall("beam[@number='1']")}
                    tied = child.find("tie[@type='stop']") is not None
                    start, voice = begin + onset, child.findtext("voice", "1")
                    inside = bool(beams & {"continue", "end"})
                    when = (bar, start, start + length)
                    spans = (tied, frozenset(slurs), inside, ottava)
                    seen.append(Seen(*when, step, clef, voice, *spans))
                ends = child.findall("notations/slur")
                slurs -= {end.get("number", "1") for end in ends if end.get("type") == "stop"}
                slurs |= {end.get("number", "1") for end in ends if end.get("type") == "start"}
                if child.find("chord") is None:
                    last, now = now, now + length
            longest = max(longest, now)
        begin += longest
        bars.append(longest)
    return seen, bars


def broken(part: Part) -> Iterator[str]:
    """What breaks a law in a part of one voice."""
    notes = part.notes
    if len({note.voice for note in notes}) > 1:
        return  # spans of two voices are not told apart here
    since = None
    for at, (before, note) in enumerate(pairwise(notes), start=1):
        if before.clef == note.clef:
            continue
        if note.beamed and before.bar == note.bar:
            yield f"bar {note.bar + 1}: clef under a beam"
        if note.tied:
            yield f"bar {note.bar + 1}: clef within a tie"
        if note.slurs and not _unreadable(notes, at, OF_SECTION.get(part.name, [])):
            yield f"bar {note.bar + 1}: clef within a slur"
        if since is not None and sum(not one.tied for one in notes[since:at]) < 2:
            yield f"bar {note.bar + 1}: clef for a single note"
        since = at
    for line in {note.lowered for note in notes if note.lowered}:
        under = [note for note in notes if note.lowered == line]
        first, last = under[0], under[-1]
        slurred = all(note.slurs for note in under[1:]) and len(under) >= 5
        if len(under) <= 3 or (last.end - first.start < part.bars[first.bar] and not slurred):
            yield f"bar {first.bar + 1}: 8va for {len(under)} notes"


def _unreadable(notes: list[Seen], at: int, clefs: list[tuple[str, int]]) -> bool:
    """True when the slurred notes around one need more than five lines in every clef."""
    first = last = at
    while first and notes[first].slurs:
        first -= 1
    while last + 1 < len(notes) and notes[last + 1].slurs:
        last += 1
    steps = [note.step for note in notes[first : last + 1]]
    return all(max(lines_needed(step, clef) for step in steps) > 5 for clef in clefs)


def looked_at(
    data: bytes, line: Line, layout: str
) -> tuple[dict[str, Counter[str]], list[str]]:
    """Counts by section, and what breaks a law."""
    counts: dict[str, Counter[str]] = {}
    found: list[str] = []
    try:
        result = rewriter.expand(data, layout, tune=line.tune)
    except Refused:
        return counts, found
    for part in parts_of(result.score):
        if not part.notes:
            continue
        count = counts.setdefault(part.name, Counter())
        count["parts"] += 1
        count["bars"] += len(part.bars)
        count["notes"] += len(part.notes)
        pairs = pairwise(part.notes)
        count["changes"] += sum(one.clef != other.clef for one, other in pairs)
        count["8va"] += len({note.lowered for note in part.notes if note.lowered})
        for note in part.notes:
            needed = lines_needed(note.step, note.clef)
            count["lines"] += needed
            count["more than 4"] += needed > 4
        found += [f"{part.name}, {what}" for what in broken(part)]
    return counts, found


def main() -> None:
    """Print what is counted."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=10, help="one piece in so many")
    every = parser.parse_args().every
    total: dict[str, Counter[str]] = {}
    for path in pieces()[::every]:
        data = path.read_bytes()
        try:
            lines = list(lines_of(data))
        except (etree.XMLSyntaxError, Refused):
            continue
        for place, line in enumerate(lines):
            counts, found = looked_at(data, line, LAYOUTS[place % len(LAYOUTS)])
            for name, count in counts.items():
                total.setdefault(name, Counter()).update(count)
            for what in found:
                layout = LAYOUTS[place % len(LAYOUTS)]
                sys.stdout.write(f"{path.name} {line.tune} {layout}: {what}\n")
    for name, count in sorted(total.items()):
        sys.stdout.write(
            f"{name:6} parts {count['parts']:5} bars {count['bars']:7} "
            f"leger lines a note {count['lines'] / count['notes']:.2f} "
            f"past four {100 * count['more than 4'] / count['notes']:.2f} % "
            f"changes in 100 bars {100 * count['changes'] / count['bars']:.2f} "
            f"8va {count['8va']}\n"
        )


if __name__ == "__main__":
    main()
