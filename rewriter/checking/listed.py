"""How sections stand in the part list: their names, order and brackets, and these mended."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Annotated, Final, Literal, NamedTuple

import msgspec

from rewriter.checking.rule import Mend, Parameters, Unmended
from rewriter.editing.arranging import arranged
from rewriter.editing.part_list import changed, entry_of, part_list
from rewriter.hearing.part_entries import part_entries
from rewriter.hearing.part_names import named
from rewriter.problems import Place

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.editing.part_list import Listed
    from rewriter.rulefiles.ensembles import Section

SEVERAL: Final = 2


class InLanguage(Parameters, frozen=True):
    """In which language sections are named."""

    language: Annotated[
        Literal["", "en", "it", "de", "fr"],
        msgspec.Meta(
            description="in which sections are named; empty for that of the house, and where "
            "it says none, for any"
        ),
    ] = ""


class WrongEntry(NamedTuple):
    """A section's part whose entry in the part list is not the house's.

    Attributes:
        part: index in score order.
        has: what it says; empty for nothing.
        wants: what it should say.
    """

    part: int
    has: str
    wants: str


def whole_sections(score: Finished) -> Iterator[tuple[int, Section]]:
    """Parts that are one whole section each, the only part of it.

    Args:
        score: looked at.
    """
    keys = Counter(s.key for at in score.of_sections for s in score.players[at].sections)
    for at in score.of_sections:
        players = score.players[at]
        if len(players.sections) == 1 and not players.share and score.score.parts[at].listed:
            (section,) = players.sections
            if keys[section.key] == 1:
                yield at, section


def names_of(score: Finished) -> list[tuple[str, str]]:
    """Name and abbreviation of each part as printed; empty for what programs make up."""
    return [
        (entry.names[-1] if entry.names else "", _last(entry.abbreviations))
        for entry in part_entries(score.score)
    ]


def _last(texts: Sequence[str]) -> str:
    return texts[-1] if texts else ""


def means(score: Finished, text: str, section: Section) -> bool:
    """True where a name is that of a section in any language, and of no other.

    Args:
        score: it is in.
        text: a name or an abbreviation.
        section: whose it should be.
    """
    return [one.key for one in named(text, score.ensemble).sections] == [section.key]


def whole_score(score: Finished, part: int) -> Place:
    """The place of what is about a part from beginning to end.

    Args:
        score: it is in.
        part: index in score order.
    """
    return Place(part=score.score.parts[part].id, section=score.who(part))


def with_entry(score: Finished, part: int, data: bytes, what: str) -> Mend | Unmended:
    """A part's entry in the part list changed.

    Args:
        score: it is in.
        part: index in score order.
        data: the new entry.
        what: is done, in a few words.
    """
    listed = changed(part_list(score.score), score.score.parts[part].id, data)
    return rearranged(score, listed, what)


def entry_data(score: Finished, part: int) -> bytes:
    """A part's entry in the part list as it stands.

    Args:
        score: it is in.
        part: index in score order.
    """
    return entry_of(part_list(score.score), score.score.parts[part].id).data


def rearranged(score: Finished, listed: Sequence[Listed], what: str) -> Mend | Unmended:
    """The part list as it is to be, and the parts in its order.

    Args:
        score: it is in.
        listed: made of the list that the score has.
        what: is done, in a few words.
    """
    try:
        return Mend(what, tuple(arranged(score.score, listed)))
    except ValueError:
        return Unmended("brackets of the part list do not close")
