"""A section that sounds as another instrument when the file is played."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.checking.listed import (
    WrongEntry,
    entry_data,
    whole_score,
    whole_sections,
    with_entry,
)
from rewriter.checking.rule import NONE, Mend, Parameters, Rule, Said, Unmended
from rewriter.editing.ids import ids_in
from rewriter.editing.part_entries import with_sound

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished

_OF_ALL: Final = ("strings.group", "strings.section")


def find(score: Finished, _: Parameters) -> Iterator[WrongEntry]:
    """Sounds that are another instrument's; wanting ones where other sections have one."""
    sections = list(whole_sections(score))
    some = any(score.score.parts[part].sound for part, _ in sections)
    for part, section in sections:
        has = score.score.parts[part].sound
        if has.startswith((section.sound, *_OF_ALL)) or (not has and not some):
            continue
        yield WrongEntry(part, has, section.sound)


def say(fact: WrongEntry, at: Finished, _: Parameters) -> Said:
    """Say as what it sounds."""
    has = f"sounds as {fact.has}" if fact.has else "has no instrument sound"
    text = f"{has}; let it sound as {fact.wants}"
    return Said(whole_score(at, fact.part), text, wants=fact.wants)


def mend(score: Finished, fact: WrongEntry, _: Parameters) -> Mend | Unmended:
    """Give it the sound of its section."""
    entry = with_sound(
        entry_data(score, fact.part), fact.wants, taken=ids_in(score.score.text.data)
    )
    return with_entry(score, fact.part, entry, f"let it sound as {fact.wants}")


RULE = Rule(
    id="instrument-sound",
    title="section with the sound of another instrument",
    why="Programs choose what plays a part, and sometimes its clefs and range, by this.",
    instead="Give it the standard's sound of its section.",
    source="W3C MusicXML 4.0, sounds.xml",
    severity="advice",
    about=WrongEntry,
    say=say,
    parameters=NONE,
    mends="certain",
    find=find,
    mend=mend,
)
