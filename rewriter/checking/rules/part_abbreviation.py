"""A section whose staves after the first page are not marked as the house marks them."""

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
from rewriter.editing.elements import text_in
from rewriter.editing.part_entries import renamed

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished


def find(score: Finished, parameters: InLanguage) -> Iterator[WrongEntry]:
    """Abbreviations that mean another section or none; wanting ones where others have one."""
    names = names_of(score)
    some = any(abbreviation for _, abbreviation in names)
    for part, section in whole_sections(score):
        has, language = names[part][1], parameters.language
        wants = section.short_name(language)
        if language:
            wrong = has.rstrip(".") != wants.rstrip(".")
        else:
            wrong = not means(score, has, section) if has else some
        if wrong:
            yield WrongEntry(part, has, wants)


def say(fact: WrongEntry, at: Finished, _: InLanguage) -> Said:
    """Say what it is, and what it should be."""
    has = f'is abbreviated "{fact.has}"' if fact.has else "has no abbreviation"
    text = f'{has}; print "{fact.wants}"'
    return Said(whole_score(at, fact.part), text, wants=fact.wants)


def mend(score: Finished, fact: WrongEntry, _: InLanguage) -> Mend | Unmended:
    """Print another."""
    entry = entry_data(score, fact.part)
    changed = renamed(entry, text_in(entry, "part-name"), fact.wants)
    return with_entry(score, fact.part, changed, f'print "{fact.wants}"')


RULE = Rule(
    id="part-abbreviation",
    title="section that is not abbreviated as it should be",
    why="From the second system on, a staff is known by its abbreviation alone.",
    instead="Abbreviate it as the house does.",
    source="common practice, no source",
    severity="advice",
    about=WrongEntry,
    say=say,
    parameters=InLanguage(),
    mends="certain",
    find=find,
    mend=mend,
)
