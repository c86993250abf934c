"""A section whose part is not called as the house calls it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.listed import (
    InLanguage,
    WrongEntry,
    entry_data,
    means,
    names_of,
    whole_score,
    whole_sections,
    with_entry,
)
from rewriter.checking.rule import Mend, Rule, Said, Unmended
from rewriter.editing.part_entries import renamed

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished


def find(score: Finished, parameters: InLanguage) -> Iterator[WrongEntry]:
    """Parts of whole sections without a proper name, or with one in another language."""
    names = names_of(score)
    for part, section in whole_sections(score):
        name, language = names[part][0], parameters.language
        if language:
            wanted = section.names.of(language)
            if name not in {wanted.singular, wanted.plural}:
                yield WrongEntry(part, name, section.full_name(language))
        elif not means(score, name, section):
            yield WrongEntry(part, name, section.full_name())


def say(fact: WrongEntry, at: Finished, _: InLanguage) -> Said:
    """Say what it is called, and what it should be."""
    has = f'is called "{fact.has}"' if fact.has else "has no name"
    place = whole_score(at, fact.part)
    return Said(place, f'{has}; call it "{fact.wants}"', wants=fact.wants)


def mend(score: Finished, fact: WrongEntry, _: InLanguage) -> Mend | Unmended:
    """Rename it."""
    entry = renamed(entry_data(score, fact.part), fact.wants)
    return with_entry(score, fact.part, entry, f'call it "{fact.wants}"')


RULE = Rule(
    id="part-name",
    title="section that is not called by its name",
    why="Players find their stands, and conductors their staves, by the name.",
    instead="Call it as the house does.",
    source="common practice, no source",
    severity="advice",
    about=WrongEntry,
    say=say,
    parameters=InLanguage(),
    mends="certain",
    find=find,
    mend=mend,
)
