"""A section that comes in, at the start or after a long rest, and is not told how loud."""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING, Annotated

import msgspec

from rewriter.checking.entries import Entry, entries
from rewriter.checking.rule import Mend, Parameters, Rule, Said, Unmended

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished


class LongRests(Parameters, frozen=True):
    """Which entries are looked at."""

    bars: Annotated[
        int,
        msgspec.Meta(ge=1, description="whole bars of rest behind which an entry counts"),
    ] = 4
    at_start: Annotated[
        bool,
        msgspec.Meta(description="whether the first entry of a movement counts"),
    ] = True


def find(score: Finished, parameters: LongRests) -> Iterator[Entry]:
    """Entries with nothing that says how loud, from the rest to half a bar after."""
    for part in score.of_sections:
        found = [
            entry
            for entry in entries(score, part)
            if (parameters.at_start if entry.first else entry.rested >= parameters.bars)
        ]
        times = [told.time for told in score.loudness(part)] if found else []
        for entry in found:
            until = entry.note.time + score.reading.timeline.length(entry.note.bar) // 2
            at = bisect_left(times, entry.since)
            if at == len(times) or times[at] > until:
                yield entry


def say(fact: Entry, at: Finished, _: LongRests) -> Said:
    """Say behind how long a rest."""
    bars = f"{fact.rested} bar{'s' if fact.rested > 1 else ''}"
    if fact.first:
        text = "begins without a dynamic; print one"
    else:
        text = f"comes in after a rest of {bars} without a dynamic; print it again"
    note = fact.note
    place = at.place(fact.part, note.bar, note.time, note.form.voice)
    return Said(place, text, wants="a dynamic")


def mend(score: Finished, fact: Entry, _: LongRests) -> Mend | Unmended:
    """Restate the dynamic of the voices that double the entry, where they have one."""
    from rewriter.checking.restating import restated

    return restated(score, fact)


RULE = Rule(
    id="entry-without-dynamic",
    title="entry without a dynamic",
    why="After a long rest nobody remembers how loud the music was, and it may have changed "
    "since. Every player then enters as loud as he thinks.",
    instead="Print the dynamic in force at the entry.",
    source="common practice, no source",
    severity="advice",
    about=Entry,
    say=say,
    parameters=LongRests(),
    mends="certain",
    find=find,
    mend=mend,
)
