"""Which part of a finished score is which string section."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.hearing.part_entries import part_entries
from rewriter.hearing.recognising import recognise
from rewriter.hearing.settling import settle
from rewriter.hearing.telling import told_parts
from rewriter.problems import Refused
from rewriter.scores.naming import said_part

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.hearing.families import Family
    from rewriter.hearing.recognising import KnownBy, Recognised
    from rewriter.rulefiles.ensembles import Ensemble, Section
    from rewriter.scores.score import Part, Score

_SAID: Final = {
    "abbreviation": "by its abbreviation",
    "group": "by its group",
    "sound": "by its sound",
    "order": "by its place",
    "told": "told",
}
"""How a part was recognised; by its name, unless it is said."""


class PartPlayers(NamedTuple):
    """Who plays a part.

    Basses that have one part with the cellos sound as it sounds: an octave lower only where
    its transposition says that it is doubled.

    Attributes:
        part: index in score order.
        sections: of the ensemble, highest first; several where one part holds them all;
            empty for what is no string section, a soloist too.
        share: of the section: ``desk 1``, ``a``, ``2``, ``others``, ``div.``; empty where
            nothing is said of one.
        soloist: True where one player plays who is no section.
        family: of the instrument.
        known_by: what told: ``order`` is its place among the parts; empty for nothing.
    """

    part: int
    sections: tuple[Section, ...]
    share: str
    soloist: bool
    family: Family
    known_by: KnownBy


def sections_of(
    score: Score, ensemble: Ensemble, told: Sequence[str] = ()
) -> list[PartPlayers]:
    """Who plays each part, in score order.

    By the part's name, then its abbreviation, then its group, then its instrument's sound,
    each alone; then by what parts say together, and last by their order.

    Args:
        score: any score.
        ensemble: whose sections there are, and how they are spelled.
        told: what is so, whatever the score says: ``P3=Vla``, ``Low strings=Vc+Db``.

    Raises:
        Refused: something told names no part, or no section, with the score named.
    """
    said = _told(score, ensemble, told)
    entries = part_entries(score)
    found = [
        said.get(place) or recognise(entry, ensemble) for place, entry in enumerate(entries)
    ]
    settled = settle(found, entries, ensemble)
    return [_players(place, one, ensemble) for place, one in enumerate(settled)]


def parts_of_section(
    players: Sequence[PartPlayers], ensemble: Ensemble, name: str
) -> list[int]:
    """The parts a section plays, in score order; several for violins without a number.

    Args:
        players: from :func:`sections_of`.
        ensemble: whose sections there are.
        name: of the section, in any of its spellings.
    """
    keys = {section.key for section in ensemble.find(name)}
    return [one.part for one in players if keys & {own.key for own in one.sections}]


def _told(score: Score, ensemble: Ensemble, told: Sequence[str]) -> dict[int, Recognised]:
    try:
        return told_parts(score.parts, ensemble, told)
    except Refused as refusal:
        raise refusal.within(score.name) from None


def _players(place: int, found: Recognised, ensemble: Ensemble) -> PartPlayers:
    soloist = found.read.soloist
    if soloist and all(section.players == 1 for section in ensemble.sections):
        soloist = not found.sections
    return PartPlayers(
        place,
        () if soloist else found.sections,
        found.read.share,
        soloist,
        found.family or "other",
        found.known_by,
    )


def said_sections(score: Score, players: Sequence[PartPlayers]) -> str:
    """What was taken for what, in one row.

    Such as ``Vn I: Violin 1; Vla: P3 (by its sound); Vc + Db: Bassi; 13 parts are no strings``.
    What is no section though it is strings is named, so that somebody may tell.
    """
    rows = [_said(score.parts[one.part], one) for one in players if one.family == "strings"]
    others = len(players) - len(rows)
    if others:
        rows.append(f"{others} {'part is' if others == 1 else 'parts are'} no strings")
    return "; ".join(rows)


def _said(part: Part, one: PartPlayers) -> str:
    name = part.full_name or part.id
    who = " + ".join(section.key for section in one.sections)
    if one.soloist:
        who = "soloist"
    how = f" ({_SAID[one.known_by]})" if one.known_by in _SAID else ""
    if not who:
        return f'no section: {said_part(part)}, to be told with --section "{part.id}=..."'
    share = f" {one.share}" if one.share else ""
    return f"{who}{share}: {name}{how}"
