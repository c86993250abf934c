"""Who plays, as the score lists it: parts, brackets, instruments."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec

from rewriter.musicxml.escaping import escaped, word

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.rulefiles.ensembles import Section


class Entry(msgspec.Struct, frozen=True):
    """A part for the part list.

    Attributes:
        id: such as ``P4``; ``P4b`` for the second staff of a section that needs one.
        section: who plays it.
        second: True for such a second staff.
        players: how many play it at the most.
    """

    id: str
    section: Section
    second: bool
    players: int


def part_list(entries: Sequence[Entry], language: str, more: bytes = b"") -> bytes:
    """The part list: sections in score order, in brackets with their barlines joined.

    A section with a second staff has a bracket of its own within, which carries its name.

    Args:
        entries: of the sections.
        language: of the names.
        more: entries of other parts, after the sections.
    """
    pieces = [b"<part-list>\n"]
    for number, (first, entry, last) in enumerate(_bracketed(entries), start=1):
        if first:
            pieces.append(
                b'<part-group type="start" number="1"><group-symbol>bracket</group-symbol>'
                b"<group-barline>yes</group-barline></part-group>\n"
            )
        following = entries[number : number + 1]
        paired = entry.second or any(other.second for other in following)
        if paired and not entry.second:
            pieces.append(_staves_of_one(entry.section, language))
        pieces.append(_score_part(entry, number, language, named=not paired))
        if entry.second:
            pieces.append(b'<part-group type="stop" number="2"/>\n')
        if last:
            pieces.append(b'<part-group type="stop" number="1"/>\n')
    return b"".join((*pieces, more, b"</part-list>\n"))


def _bracketed(entries: Sequence[Entry]) -> Iterator[tuple[bool, Entry, bool]]:
    """Each entry, and whether a bracket of several begins and ends with it."""
    groups = [entry.section.group for entry in entries]
    for place, entry in enumerate(entries):
        before = place > 0 and groups[place - 1] == groups[place]
        after = place + 1 < len(entries) and groups[place + 1] == groups[place]
        yield after and not before, entry, before and not after


def _staves_of_one(section: Section, language: str) -> bytes:
    """The bracket around the staves of one section, with the only name that is printed."""
    return (
        b'<part-group type="start" number="2"><group-name>%b</group-name>'
        b"<group-abbreviation>%b</group-abbreviation><group-symbol>square</group-symbol>"
        b"<group-barline>yes</group-barline></part-group>\n"
    ) % (escaped(section.full_name(language)), escaped(section.short_name(language)))


def _score_part(entry: Entry, number: int, language: str, *, named: bool) -> bytes:
    section, part = entry.section, word(entry.id)
    shown = b"" if named else b' print-object="no"'
    name = escaped(section.full_name(language))
    return (
        b'<score-part id="%b">\n<part-name%b>%b</part-name>\n'
        b"<part-abbreviation%b>%b</part-abbreviation>\n"
        b'<score-instrument id="%b-I1"><instrument-name>%b</instrument-name>'
        b"<instrument-sound>%b</instrument-sound><ensemble>%d</ensemble></score-instrument>\n"
        b'<midi-instrument id="%b-I1"><midi-channel>%d</midi-channel>'
        b"<midi-program>%d</midi-program></midi-instrument>\n</score-part>\n"
    ) % (
        part, shown, name, shown, escaped(section.short_name(language)), part, name,
        escaped(section.sound), entry.players, part, _channel(number), section.program,
    )  # fmt: skip


def _channel(number: int) -> int:
    """MIDI channels 1 to 16, without 10, which is for drums."""
    channel = (number - 1) % 15 + 1
    return channel if channel < 10 else channel + 1  # noqa: PLR2004 - the drums' channel
