"""What a sketch says at a glance: marks, metres, keys, tempo, words."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.problems import Refused
from rewriter.scores.children import element_of
from rewriter.scores.directions import read_direction_form
from rewriter.scores.reading import Reading
from rewriter.theory.fifths import key_name
from rewriter.theory.time import Moment

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from rewriter.scores.score import Score
    from rewriter.sketch.frame import Frame, FrameBar
    from rewriter.theory.metre import Metre

_BRACKETS: Final = re.compile(r"\[\s*([^\[\]]+?)\s*\]")


class Seen(NamedTuple):
    """Something the sketch says, from a moment on."""

    at: Moment
    text: str


def marks_in(frame: Frame) -> list[Seen]:
    """Rehearsal marks, each where it stands; what two staves have at one moment once."""
    found = (
        Seen(Moment(index, sign.onset), sign.detail.rehearsal)
        for index, bar in enumerate(frame.bars)
        for sign in bar.signs
        if sign.detail and sign.detail.rehearsal
    )
    return list({(seen.at, seen.text.casefold()): seen for seen in found}.values())


def metres_in(frame: Frame) -> list[Seen]:
    """Metres, each where it begins to hold."""
    return _changes(frame, lambda bar: metre_text(bar.metre))


def keys_in(frame: Frame) -> list[Seen]:
    """Keys by sound, each where it begins to hold; a key within a bar counts from the next."""
    return _changes(frame, lambda bar: key_name(bar.fifths, bar.mode))


def _changes(frame: Frame, said: Callable[[FrameBar], str]) -> list[Seen]:
    found: list[Seen] = []
    for index, bar in enumerate(frame.bars):
        text = said(bar)
        if not found or found[-1].text != text:
            found.append(Seen(Moment(index, 0), text))
    return found


def metre_text(metre: Metre) -> str:
    """A metre as it is printed; a sum where its beats are not alike.

    >>> from rewriter.theory.metre import metre_from_times
    >>> [metre_text(metre_from_times([pair])) for pair in [("6", "8"), ("3+2", "8")]]
    ['6/8', '3+2/8']
    """
    if not metre.length:
        return "senza misura"
    beats = [group * metre.beat_unit / 4 for group in metre.groups]
    alike = len(set(beats)) == 1
    return f"{sum(beats) if alike else '+'.join(map(str, beats))}/{metre.beat_unit}"


def tempi_in(frame: Frame) -> list[Seen]:
    """Tempo in words and figures, one text for what stands at one moment."""
    found: dict[Moment, dict[str, None]] = {}
    for seen in _tempo_in(frame):
        found.setdefault(seen.at, {})[seen.text] = None
    return [Seen(at, ", ".join(texts)) for at, texts in found.items()]


def _tempo_in(frame: Frame) -> Iterator[Seen]:
    for index, bar in enumerate(frame.bars):
        for sign in bar.signs:
            if sign.scope == "score" and sign.kind == "direction":
                for text in _tempo_texts(sign.piece):
                    yield Seen(Moment(index, sign.onset), text)


def _tempo_texts(direction: bytes) -> Iterator[str]:
    yield from _words(direction)
    for sign in read_direction_form(direction).signs:
        if sign.tag == "metronome" and (text := _figures(sign.data)):
            yield text


def _figures(metronome: bytes) -> str:
    """A metronome mark in words, such as ``dotted quarter = 54``; empty for other kinds."""
    said: list[str] = []
    for child in element_of(metronome):
        text = " ".join((child.text or "").split())
        if child.tag == "beat-unit":
            said.append(text)
        elif child.tag == "beat-unit-dot" and said:
            said[-1] = f"dotted {said[-1]}"
        elif child.tag == "per-minute":
            said.append(text)
    return " = ".join(filter(None, said)) if len(said) > 1 else ""


def words_in(reading: Reading, frame: Frame, layouts: Sequence[Seen]) -> list[Seen]:
    """Words over and under the staves that are neither tempo nor a layout for the tool.

    Args:
        reading: of the whole sketch.
        frame: of the tune.
        layouts: those found above the tune.
    """
    elsewhere = {(seen.at.bar, seen.text) for seen in _tempo_in(frame)}
    elsewhere |= {(seen.at.bar, f"[{seen.text}]") for seen in layouts}
    found: dict[Seen, None] = {}
    for part in range(len(reading.score.parts)):
        for index, bar in enumerate(reading.bars(part)):
            for event in bar.events:
                if event.tag != "direction":
                    continue
                for text in _words(event.data):
                    if (index, _BRACKETS.sub(r"[\1]", text)) not in elsewhere:
                        found[Seen(Moment(index, 0), text)] = None
    return sorted(found, key=lambda seen: seen.at)


def _words(direction: bytes) -> Iterator[str]:
    for sign in read_direction_form(direction).signs:
        if sign.tag == "words" and sign.text:
            yield " ".join(sign.text.split())


def read_whole(score: Score) -> Reading:
    """All parts of a sketch in one time.

    Raises:
        Refused: its durations have no common division.
    """
    reading = Reading(score)
    try:
        reading.timeline  # noqa: B018 - read now, so that what is wrong is told here
    except ValueError:
        raise Refused(
            "its durations have no common division", "export the sketch again"
        ) from None
    return reading
