"""What parts say together: who sings, who is the soloist, who comes first and second."""

from __future__ import annotations

import re
from itertools import groupby
from typing import TYPE_CHECKING, Final

from rewriter.hearing.part_names import Named
from rewriter.hearing.recognising import Recognised

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.hearing.part_entries import PartEntry
    from rewriter.rulefiles.ensembles import Ensemble, Section

_CELLOS_TOO: Final = re.compile(r"bass[io]", re.IGNORECASE)


def settle(
    found: Sequence[Recognised], entries: Sequence[PartEntry], ensemble: Ensemble
) -> list[Recognised]:
    """Parts recognised one by one, seen together.

    Args:
        found: in score order; what was told stays.
        entries: what the part list says of each.
        ensemble: whose sections there are.
    """
    settled = _singers(list(found))
    _bass_line(settled, entries, ensemble)
    _soloists(settled, ensemble)
    _bare_names(settled)
    _by_order(settled, entries, ensemble)
    return settled


def _singers(found: list[Recognised]) -> list[Recognised]:
    """An alto or bass that stands with a soprano or tenor sings; alone it plays."""
    settled: list[Recognised] = []
    for sings, parts in groupby(found, lambda one: one.voice_too or one.family == "voice"):
        run = list(parts)
        if sings and any(one.family == "voice" for one in run):
            run = [
                one._replace(read=Named(soloist=one.read.soloist), family="voice")
                for one in run
            ]
        settled += run
    return settled


def _bass_line(
    found: list[Recognised], entries: Sequence[PartEntry], ensemble: Ensemble
) -> None:
    """Where no part has the cellos, the Italian *bassi* are they and the basses."""
    cellos, basses = ensemble.find("Violoncelli"), ensemble.find("Contrabbassi")
    if any(set(cellos) & set(one.sections) for one in found):
        return
    for place, one in enumerate(found):
        label = next(iter(entries[place].names + entries[place].abbreviations), "")
        if one.sections == basses != () and _CELLOS_TOO.fullmatch(label.strip(". ")):
            found[place] = one._replace(read=one.read._replace(sections=cellos + basses))


def _soloists(found: list[Recognised], ensemble: Ensemble) -> None:
    """A section's part above a higher section, or alone in the singular, is one player's.

    Only where another part has the section itself.
    """
    for place, one in enumerate(found):
        named_otherwise = one.known_by == "told" or one.read.soloist or one.read.share
        if named_otherwise or len(one.sections) != 1:
            continue
        rest = [p for p, other in enumerate(found) if p != place and _alike(one, other)]
        several = any(not found[p].read.one for p in rest if abs(p - place) > 1)
        if (one.read.one and several) or (rest and _above_a_higher(found, place, ensemble)):
            found[place] = _alone(one)


def _alike(one: Recognised, other: Recognised) -> bool:
    return one.sections == other.sections and not other.read.soloist


def _above_a_higher(found: Sequence[Recognised], place: int, ensemble: Ensemble) -> bool:
    """True for a part that stands above the highest of the other sections, and is lower."""
    order = ensemble.sections.index
    others = [
        (order(one.sections[0]), p)
        for p, one in enumerate(found)
        if p != place and _section_parts(one)
    ]
    highest, first = min(others, default=(0, 0))
    return place < first and order(found[place].sections[0]) > highest


def _section_parts(one: Recognised) -> bool:
    return bool(one.sections) and not one.read.soloist


def _alone(one: Recognised) -> Recognised:
    return one._replace(read=one.read._replace(soloist=True), known_by="order")


def _bare_names(found: list[Recognised]) -> None:
    """Parts that are called violins without a number: one has both, two have one each."""
    bare = [
        place
        for place, one in enumerate(found)
        if one.read.bare and not one.read.soloist and one.known_by != "told"
    ]
    if not bare:
        return
    meant = found[bare[0]].sections
    taken = {
        section.key
        for place, one in enumerate(found)
        if place not in bare and not one.read.soloist
        for section in one.sections
    }
    free = [section for section in meant if section.key not in taken]
    while len(bare) > len(free) and found[bare[0]].read.one and _apart(bare):
        found[bare[0]] = _alone(found[bare[0]])
        bare = bare[1:]
    one_each = any(section.players == 1 for section in meant)
    if len(bare) == 1 and len(free) == len(meant) and not one_each:
        return
    for number, place in enumerate(bare):
        if free:
            given = (free[number],) if number < len(free) else ()
            found[place] = _ordered(found[place], given)


def _apart(places: Sequence[int]) -> bool:
    """True where the first stands by itself."""
    return len(places) == 1 or places[1] - places[0] > 1


def _ordered(one: Recognised, given: tuple[Section, ...]) -> Recognised:
    read = one.read._replace(sections=given, share="", bare=False)
    return one._replace(read=read, known_by="order" if given else "")


def _by_order(
    found: list[Recognised], entries: Sequence[PartEntry], ensemble: Ensemble
) -> None:
    """Parts nothing is said of, between parts that are known, by place and first clef.

    As many as there are sections missing between them; below the last, the lowest may be
    missing altogether.
    """
    unknown = [one.family is None and one.known_by != "told" for one in found]
    strings = list(ensemble.sections)
    place = 0
    for nothing, run in groupby(unknown):
        length = len(list(run))
        above = [strings.index(s) for s in _played(found[:place])]
        below = [strings.index(s) for s in _played(found[place + length :])]
        if nothing and (length > 1 or (above and below)):
            missing = strings[max(above, default=-1) + 1 : min(below, default=len(strings))]
            _fill(found, entries, range(place, place + length), missing, last=not below)
        place += length


def _played(found: Sequence[Recognised]) -> list[Section]:
    return [section for one in found if _section_parts(one) for section in one.sections]


def _fill(
    found: list[Recognised],
    entries: Sequence[PartEntry],
    places: range,
    missing: Sequence[Section],
    *,
    last: bool,
) -> None:
    if last and len(missing) == len(places) + 1:
        missing = missing[:-1]
    if len(missing) != len(places):
        return
    at_home = all(
        entries[place].clef == f"{section.clefs[0].sign}{section.clefs[0].line}"
        for place, section in zip(places, missing, strict=True)
    )
    if at_home:
        for place, section in zip(places, missing, strict=True):
            read = Named((section,))
            found[place] = Recognised(read, "strings", "order")
