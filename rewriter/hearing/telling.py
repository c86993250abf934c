"""What somebody has told of the parts: ``P3=Vla``, ``"Low strings=Vc+Db"``, ``P1=solo``."""

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING, Final

from rewriter.hearing.part_names import Named, named
from rewriter.hearing.recognising import Recognised
from rewriter.problems import Refused
from rewriter.scores.naming import parts_called, said_parts, without_quotes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.rulefiles.ensembles import Ensemble, Section
    from rewriter.scores.score import Part

_SOLOIST: Final = "solo"
_NO_SECTION: Final = "none"
_MOST_LISTED: Final = 12


def told_parts(
    parts: Sequence[Part], ensemble: Ensemble, told: Sequence[str]
) -> dict[int, Recognised]:
    """What is told of parts, by their index in score order.

    Args:
        parts: of the score.
        ensemble: whose sections there are.
        told: each a part's id or name, ``=``, and sections joined by ``+``; or ``solo``, or
            ``none`` for what is no string section.

    Raises:
        Refused: there is no such part or section, or a part is told of twice.
    """
    found: dict[int, Recognised] = {}
    for text in told:
        name, equals, said = text.rpartition("=")
        if not equals or not name.strip() or not said.strip():
            raise Refused(
                f'--section: "{text}" does not say what a part is', "write it like P3=Vla"
            )
        place = _place(parts, text, without_quotes(name))
        if place in found:
            raise Refused(f'--section: "{text}" is told of a part that was told of before')
        found[place] = _meant(ensemble, text, without_quotes(said))
    return found


def _place(parts: Sequence[Part], text: str, name: str) -> int:
    called = parts_called(parts, name)
    if len(called) == 1:
        return parts.index(called[0])
    if called:
        listed = ", ".join(part.id for part in called)
        what = f'--section: "{text}": {len(called)} parts are called "{name}"'
        raise Refused(what, f"choose one of {listed}")
    spellings = {
        said.casefold(): said for part in parts for said in (part.id, part.full_name) if said
    }
    near = get_close_matches(name.casefold(), spellings, n=1)
    remedy = f"did you mean {spellings[near[0]]}?" if near else _there_are(parts)
    raise Refused(f'--section: "{text}": no part is called "{name}"', remedy)


def _there_are(parts: Sequence[Part]) -> str:
    more = len(parts) - _MOST_LISTED
    return f"there are {said_parts(parts[:_MOST_LISTED])}" + (f" and {more} more" * (more > 0))


def _meant(ensemble: Ensemble, text: str, said: str) -> Recognised:
    if said.casefold() == _SOLOIST:
        return Recognised(Named(soloist=True), "strings", "told")
    if said.casefold() == _NO_SECTION:
        return Recognised(Named(), None, "told")
    read = [named(one, ensemble) for one in said.split("+")]
    for one, name in zip(read, said.split("+"), strict=True):
        if not one.sections:
            raise Refused(
                f'--section: "{text}": no section is called "{name.strip()}"',
                _nearest(ensemble, name),
            )
    sections = _in_order(ensemble, [section for one in read for section in one.sections])
    share = read[0].share if len(read) == 1 else ""
    soloist = any(one.soloist for one in read)
    return Recognised(Named(sections, share, soloist), "strings", "told")


def _nearest(ensemble: Ensemble, name: str) -> str:
    near = ensemble.nearest(name)
    keys = ", ".join(section.key for section in ensemble.sections)
    return f"did you mean {near}?" if near else f"there are {keys}, {_SOLOIST}, {_NO_SECTION}"


def _in_order(ensemble: Ensemble, sections: Sequence[Section]) -> tuple[Section, ...]:
    keys = {section.key for section in sections}
    return tuple(section for section in ensemble.sections if section.key in keys)
