"""Slurs as music21 pairs them, through its normaliser.

music21 pairs ends by number in document order. It hangs the slurs of a chord on the whole
chord, and gives ends it cannot pair to no slur or to one with a single end; those are left out.
A slur's notes do not always stand in order in it, and one may stand twice; the earliest and the
latest are its ends.
"""

import re
from collections import Counter
from fractions import Fraction
from typing import NamedTuple

from tests.outside.reference import score_root


class Slur(NamedTuple):
    """A slur from note to note: bars counted from 0, onsets in quarters from their starts."""

    part: int
    start: tuple[int, Fraction]
    stop: tuple[int, Fraction]


def slurs_by_music21(data: bytes) -> Counter[Slur]:
    """The slurs of every part; staves of one part are put together again."""
    from lxml import etree
    from music21 import converter, spanner, stream

    score = converter.parseData(etree.tostring(score_root(data)), format="musicxml")
    names: list[str] = []
    found = Counter[Slur]()
    for order, part in enumerate(score.parts):
        is_staff = isinstance(part, stream.PartStaff)
        name = re.sub(r"-Staff\d+$", "", str(part.id)) if is_staff else f"{order}"
        if name not in names:
            names.append(name)
        places = {
            id(one): (bar, Fraction(one.offset).limit_denominator(5000))
            for bar, measure in enumerate(part.getElementsByClass(stream.Measure))
            for one in measure.flatten().notes
        }
        for slur in part.recurse().getElementsByClass(spanner.Slur):
            spanned = slur.getSpannedElements()
            ends = sorted(places[id(one)] for one in spanned if id(one) in places)
            if len(ends) > 1:
                found[Slur(names.index(name), ends[0], ends[-1])] += 1
    return found
