"""Scores of one bar whose part list is what matters."""

from collections.abc import Sequence
from typing import NamedTuple
from xml.sax.saxutils import escape

from rewriter.hearing.sections import PartPlayers
from rewriter.scores.score import Score, read_score

_CLEFS = {"treble": ("G", 2), "alto": ("C", 3), "bass": ("F", 4)}


class Listed(NamedTuple):
    """A part as a part list has it; what is empty is not there."""

    name: str = ""
    short: str = ""
    sound: str = ""
    instrument: str = ""
    program: int = 0
    printed: str = ""
    clef: str = "treble"


def listed(*parts: Listed | str, groups: Sequence[tuple[int, int, str]] = ()) -> Score:
    """A score of parts P1, P2 ...

    Args:
        parts: or their names.
        groups: first and last part, counted from 1, and the group's name.
    """
    entries, bodies = "", ""
    for number, given in enumerate(parts, 1):
        part = Listed(given) if isinstance(given, str) else given
        for at, (first, _, name) in enumerate(groups, 1):
            if first == number:
                said = f"<group-name>{escape(name)}</group-name>"
                entries += f'<part-group type="start" number="{at}">{said}</part-group>'
        entries += _entry(number, part)
        for at, (_, last, _) in enumerate(groups, 1):
            if last == number:
                entries += f'<part-group type="stop" number="{at}"/>'
        sign, line = _CLEFS[part.clef]
        bodies += (
            f'<part id="P{number}"><measure number="1"><attributes><divisions>1</divisions>'
            f"<clef><sign>{sign}</sign><line>{line}</line></clef></attributes>"
            '<note><rest measure="yes"/><duration>4</duration></note></measure></part>'
        )
    head = f"<part-list>{entries}</part-list>"
    return read_score(f'<score-partwise version="4.0">{head}{bodies}</score-partwise>'.encode())


def _entry(number: int, part: Listed) -> str:
    said = f"<part-name>{escape(part.name)}</part-name>"
    if part.printed:
        text = f"<display-text>{escape(part.printed)}</display-text>"
        said += f"<part-name-display>{text}</part-name-display>"
    if part.short:
        said += f"<part-abbreviation>{escape(part.short)}</part-abbreviation>"
    if part.instrument or part.sound:
        said += f'<score-instrument id="P{number}-I1">'
        said += f"<instrument-name>{part.instrument}</instrument-name>"
        said += f"<instrument-sound>{part.sound}</instrument-sound>" if part.sound else ""
        said += "</score-instrument>"
    if part.program:
        program = f"<midi-program>{part.program}</midi-program>"
        said += f'<midi-instrument id="P{number}-I1">{program}</midi-instrument>'
    return f'<score-part id="P{number}">{said}</score-part>'


def told_apart(players: Sequence[PartPlayers]) -> list[str]:
    """Each part in words: ``Vn I``, ``Vc + Db``, ``Vla a``, ``solo strings``, ``wind``."""
    rows = []
    for one in players:
        who = " + ".join(section.key for section in one.sections) or one.family
        who = f"solo {one.family}" if one.soloist else who
        rows.append(" ".join(word for word in (who, one.share) if word))
    return rows
