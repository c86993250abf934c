"""A part that says another metre, key, repeat or mark than the parts around it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.checking.rule import NONE, Mend, Parameters, Rule, Said, Unmended
from rewriter.checking.said_by_all import Disagreement, disagreements

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.checking.said_by_all import Kind

_NOUNS: Final[dict[Kind, str]] = {
    "metre": "metre",
    "key": "key",
    "repeat begins": "beginning of a repeat",
    "repeat ends": "end of a repeat",
    "ending": "ending",
    "mark": "rehearsal mark",
    "tempo": "tempo",
    "speed": "metronome mark",
}


def find(score: Finished, _: Parameters) -> Iterator[Disagreement]:
    """Places where parts do not say the same."""
    return disagreements(score)


def say(fact: Disagreement, at: Finished, _: Parameters) -> Said:
    """Say what the part has, and what the others have."""
    first = fact.parts[0]
    said, wanted = (_text(fact, at, value) for value in (fact.said, fact.wanted))
    noun = _NOUNS[fact.kind]
    if not said:
        text = f"no {noun} where {_others(fact)} {wanted if _named(fact) else 'one'}"
    elif not wanted:
        text = f"{said if _named(fact) else _a(noun)} where {_others(fact)} none"
    else:
        text = f"{said} where {_others(fact)} {wanted}"
    more = len(fact.parts) - 1
    parts = "part does" if more == 1 else "parts do"
    so = f", and {more} more {parts} not agree" if more else ""
    bar_end = fact.kind == "repeat ends"
    place = at.place(first, fact.bar, None if bar_end else fact.time)
    return Said(place, f"has {text}{so}; {_remedy(fact)}", wants=wanted)


def mend(score: Finished, fact: Disagreement, _: Parameters) -> Mend | Unmended:
    """Copy what the others have, where they are at one."""
    from rewriter.checking.made_to_agree import copied

    edits = copied(score, fact)
    return edits if isinstance(edits, Unmended) else Mend(_remedy(fact), tuple(edits))


def _text(fact: Disagreement, at: Finished, value: int | str) -> str:
    """What is said, as the first of the parts would print it."""
    if isinstance(value, str):
        return f'"{value}"' if fact.kind == "tempo" else value
    written = value - at.in_force(fact.parts[0]).transposition(fact.time).interval.fifths
    return key_text((written + 5) % 12 - 5)


def key_text(fifths: int) -> str:
    """A key signature: ``3 sharps``."""
    if not fifths:
        return "a key without signs"
    what = "sharp" if fifths > 0 else "flat"
    return f"a key of {abs(fifths)} {what}{'s' if abs(fifths) > 1 else ''}"


def _named(fact: Disagreement) -> bool:
    """True where what is said has a name of its own."""
    return fact.kind in {"ending", "mark", "tempo", "speed"}


def _a(noun: str) -> str:
    return f"an {noun}" if noun[0] in "aeiou" else f"a {noun}"


def _others(fact: Disagreement) -> str:
    number = len(fact.others)
    if fact.kind == "key":  # a part that transposes prints another
        verb = "asks for" if number == 1 else "ask for"
    else:
        verb = "has" if number == 1 else "have"
    if fact.one_against_all:
        return f"all others {verb}"
    return f"another {verb}" if number == 1 else f"{number} others {verb}"


def _remedy(fact: Disagreement) -> str:
    copied = fact.one_against_all and fact.wanted != ""
    return "copy what the others have" if copied else "make the parts agree"


RULE = Rule(
    id="parts-disagree",
    title="part that disagrees with the others on metre, key, repeats or marks",
    why="Players who count other bars, play in another key or go back to another place are "
    "lost, and at a rehearsal nobody can say from where to begin.",
    instead="Copy what the other parts have, or correct them.",
    source="common practice, no source",
    severity="warning",
    about=Disagreement,
    say=say,
    parameters=NONE,
    mends="certain",
    find=find,
    mend=mend,
)
