"""Whether the sketch has said, or the layout has caused, what stands in the score."""

import re
from collections.abc import Iterator

from tests.ledger.entries import Entry, Moment
from tests.ledger.section import Section, Sides
from tests.ledger.voice import Voice

_WHO = r"(half|a third|solo|the others|desks? [\d\N{EN DASH}]+)"
WORDS_OF_LAYOUTS = re.compile(rf"words (div\.( a \d+)?|unis\.|tutti|{_WHO}( / {_WHO})*)")
"""What players are told about who plays, in English."""

CANCELS = re.compile(
    r"words (arco|senza sord(ino|\.)?|ord(inario|\.)?|open|nat(urale|\.)?|via sord.*)",
    re.IGNORECASE,
)
"""Words that end a technique: whoever enters after it may need one."""

LEVELS = ("pppppp", "ppppp", "pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff",
          "fffff", "ffffff")  # fmt: skip
_LASTS = re.compile(r"(?:[sf]+z?(?=p)|p(?=f))?(m[pf]|p+|f+|n)")
"""What of a dynamic mark lasts: *p* of *fp* and *sfp*, nothing of *sf*, *sfz*, *rf*, *fz*,
which are accents (common practice, no source)."""

_OF_LAYOUTS = {"clef", "octave-shift", "tuplet", "time"}


def added(section: Section, sides: Sides) -> Iterator[Entry]:
    """What stands in a section's part and neither sketch nor layout accounts for."""
    fermatas = {at.bar for kind, at in sides.elsewhere if "fermata" in kind}
    for entry in section.said.entries:
        tag = entry.kind.partition(" ")[0]
        if tag in _OF_LAYOUTS or (entry.kind, entry.at) in sides.elsewhere:
            continue
        if tag == "fermata" and entry.at.bar in fermatas:
            continue  # it holds everybody
        voices = section.voices_at(entry.at)
        if not any(_is_caused(entry, tag, voice, section) for voice in voices):
            yield entry


def _is_caused(entry: Entry, tag: str, voice: Voice, section: Section) -> bool:
    """True where it is in force at an entry, or a sign goes on over a cut."""
    if tag == "words":
        if WORDS_OF_LAYOUTS.fullmatch(entry.kind) or section.own_dynamics:
            return True
        is_said = any(one.kind == entry.kind for one in voice.entries if one.at <= entry.at)
        return _enters(entry.at, section) and (is_said or bool(CANCELS.fullmatch(entry.kind)))
    if tag == "dynamics":
        every = (*voice.entries, *voice.others.entries)
        said = [one for one in every if one.kind == entry.kind and one.at <= entry.at]
        return (
            section.own_dynamics
            or any(_is_moved(one, entry, voice) for one in said)
            or (_enters(entry.at, section) and _is_in_force(entry, voice))
        )
    if tag == "sound":
        kinds = {entry.kind, f"of others: {entry.kind}"}
        return any(one.kind in kinds for one in voice.entries if one.at <= entry.at)
    return any(
        span.tag == tag and span.start.at <= entry.at <= span.stop.at
        for span in (*voice.spans, *voice.others.spans)
    )


def _enters(at: Moment, section: Section) -> bool:
    """True where the section begins to play, or a line of its begins or ends in the bar."""
    before = [one for one in section.chords if one.at[:2] < at[:2]]
    return (
        not before
        or not before[-1].pitches
        or any(at.bar in {one.start.bar, one.stop.bar} for one in section.lines)
        or section.begins_line(at)
        or section.changes_line(at)
        or (section.gives and len([*section.voices_at(at)]) > 1)
    )


def _is_in_force(entry: Entry, voice: Voice) -> bool:
    """True for the last dynamic before it that lasts, or one step from it behind a hairpin.

    A staff of a keyboard may have its dynamics from the other.
    """
    before = [one for one in voice.entries if one.at[:2] <= entry.at[:2]]
    lent = [one for one in voice.others.entries if one.at[:2] <= entry.at[:2]]
    now = entry.kind[9:]
    for some in (before, lent):
        levels = [(one.at, level) for one in some if (level := lasts(one))]
        if not levels:
            continue
        last = max(reversed(levels), key=lambda one: one[0])[1]
        known = last in LEVELS and now in LEVELS
        if last == now or (known and abs(LEVELS.index(last) - LEVELS.index(now)) == 1):
            return True
    return False


def _is_moved(one: Entry, entry: Entry, voice: Voice) -> bool:
    """True for a sign that stands in silence, and an entry at the note behind it."""
    return not [each for each in voice.between(one.at, entry.at) if each.at[:2] < entry.at[:2]]


def lasts(entry: Entry) -> str:
    """The dynamic a sign leaves in force; empty for accents and for all else."""
    tag, _, marks = entry.kind.partition(" ")
    if tag != "dynamics":
        return ""
    for mark in reversed(marks.split("+")):
        if found := _LASTS.fullmatch(mark.rpartition(" ")[2]):
            return found[1]
    return ""
