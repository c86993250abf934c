"""What a sketch says at a glance, as plain text."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from rewriter.reporting.columns import UNBROKEN, align, count, shorten_bars, wrap_hanging
from rewriter.reporting.text import LABEL, WIDTH

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rewriter.reporting.look import Look, Told, VoiceLook, Words
    from rewriter.reporting.results import Compass

HEADINGS = ("Voice", "Part", "Notes", "Lowest", "", "Highest", "", "")


NAMED_BARS = 1
"""How many bars of a lowest or highest note are named; the table is to fit a terminal."""


def look_as_text(look: Look, width: int = WIDTH) -> str:
    """Word what was seen.

    Args:
        look: what the sketch says.
        width: columns; only a word or a row of the table that is longer goes beyond.

    Returns:
        Lines, each ended.
    """
    first = f"{look.sketch}: {count(look.bars, 'bar')}, {count(len(look.voices), 'voice')}"
    blocks = [
        wrap_hanging(first, first="", rest="    ", width=width),
        list(_paragraphs(look, width)),
        [f"  {row}" for row in _voices(look.voices)],
    ]
    return "\n".join("\n".join(block) + "\n" for block in blocks if block)


def _paragraphs(look: Look, width: int) -> Iterator[str]:
    labelled = (
        ("Title", look.title),
        ("Tune", look.tune),
        ("Bars", _bars(look)),
        ("Movements", f"begin at bars {', '.join(look.movements)}" if look.movements else ""),
        ("Marks", _joined(_marks(look.marks))),
        ("Metre", _changes(look.metres)),
        ("Key", _changes(look.keys)),
        ("Tempo", _joined(f"{_place(told)} {told.text}" for told in look.tempi)),
        ("Layouts", _joined(f"{_place(told)} [{told.text}]" for told in look.layouts)),
        ("Words", _joined(map(_words, look.words))),
    )
    for label, text in labelled:
        if text:
            margin = f"  {label}".ljust(LABEL)
            yield from wrap_hanging(text, first=margin, rest=" " * LABEL, width=width)


def _bars(look: Look) -> str:
    said = ", ".join(look.numbers)
    if look.pickup:
        beats = "beat" if look.pickup == "1" else "beats"
        said += f"; the first is a pickup of {look.pickup} {beats}"
    if look.repeated:
        said += (
            f"; not only once, so that a plan says {', '.join(map(_counted, look.repeated))}"
        )
    return said


def _counted(number: str) -> str:
    return f"{number}(1) or {number}(2)"


def _changes(told: Sequence[Told]) -> str:
    """What holds from the beginning, and what from where on."""
    return _joined(
        f"{_place(one)} {one.text}" if index else one.text for index, one in enumerate(told)
    )


def _marks(marks: Sequence[Told]) -> Iterator[str]:
    """Each mark with its place; of one that comes several times, which, as plans have it."""
    often = Counter(mark.text.casefold() for mark in marks)
    before: Counter[str] = Counter()
    for mark in marks:
        folded = mark.text.casefold()
        before[folded] += 1
        which = f"({before[folded]})" if often[folded] > 1 else ""
        yield f"{mark.text}{which} {_place(mark)}"


def _place(told: Told) -> str:
    said = f"bar {told.bar}" + (f" beat {told.beat}" if told.beat else "")
    return said.replace(" ", UNBROKEN)


def _words(words: Words) -> str:
    return f"{words.text} ({shorten_bars(words.bars)})"


def _joined(texts: Iterable[str]) -> str:
    return "; ".join(texts)


def _voices(voices: Sequence[VoiceLook]) -> list[str]:
    rows = [
        (
            voice.choice,
            voice.part,
            str(voice.notes),
            *_end(voice.lowest),
            *_end(voice.highest),
            "the tune" if voice.is_tune else "",
        )
        for voice in voices
    ]
    return align([HEADINGS, *rows], right=frozenset({2}))


def _end(end: Compass) -> tuple[str, str]:
    return end.pitch, shorten_bars(end.bars, NAMED_BARS)
