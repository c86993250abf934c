"""What all parts of a score say alike, as a rule, and where one says otherwise.

Metres and keys are compared by what is in force, keys by what sounds; repeats as each part has
them. Endings, rehearsal marks and tempo are often printed for the top part only, so of those
only what contradicts counts, and what most parts have but one has not.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from rewriter.scores.attributes import changes_in
from rewriter.scores.children import element_of
from rewriter.scores.directions import read_direction_form
from rewriter.scores.repeat_signs import signs_in
from rewriter.scores.staff_signs import KeySaid
from rewriter.theory.tempo_words import tempo_kind

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from rewriter.checking.finished import Finished
    from rewriter.scores.directions import DirectionForm
    from rewriter.theory.metre import Metre

Kind = Literal["metre", "key", "repeat begins", "repeat ends", "ending", "mark", "tempo",
               "speed"]  # fmt: skip
Said = str | int
"""What a part says: a text; of a key, the fifths that sound; empty for nothing."""

_OFTEN_WITHOUT_KEY: Final = frozenset(("brass", "percussion"))
_CIRCLE: Final = 12
"""Keys so many fifths apart are one, spelled otherwise."""


class Disagreement(NamedTuple):
    """A place where parts do not say the same.

    Attributes:
        kind: of what is said.
        time: divisions from the start of the piece.
        bar: index.
        parts: who says what most do not, by index.
        said: what the first of these says.
        wanted: what most say, or the top part where none are most.
        others: who say that.
    """

    kind: Kind
    time: int
    bar: int
    parts: tuple[int, ...]
    said: Said
    wanted: Said
    others: tuple[int, ...]

    @property
    def one_against_all(self) -> bool:
        """True where a single part disagrees with several that are at one."""
        return len(self.parts) == 1 and len(self.others) > 1


def disagreements(score: Finished) -> Iterator[Disagreement]:
    """Where parts do not say the same, kind by kind.

    Args:
        score: looked at.
    """
    if len(score.score.parts) > 1:
        yield from _in_force(score, "metre", b"<time")
        yield from _in_force(score, "key", b"<key")
        yield from _repeats(score)
        yield from _printed(score)


def _in_force(score: Finished, kind: Kind, tag: bytes) -> Iterator[Disagreement]:
    """Where what is in force differs; told once for as long as it stays so."""
    before: tuple[object, ...] = ()
    for bar, time in _told(score, kind, tag):
        said = {
            part: value
            for part in range(len(score.score.parts))
            if (value := _value(score, part, kind, time)) is not None
        }
        found = _judged(kind, time, bar, said)
        if found and kind == "metre" and _on_purpose(score, found):
            found = None
        now = (found.parts, found.said, found.wanted) if found else ()
        if found and now != before:
            yield found
        before = now


def _told(score: Finished, kind: Kind, tag: bytes) -> list[tuple[int, int]]:
    """Bars and times at which any part says something of a kind."""
    found: set[tuple[int, int]] = set()
    for index, part in enumerate(score.score.parts):
        for bar in part.saying(tag):
            start = score.reading.timeline.starts[bar]
            for event in score.reading.bars(index)[bar].events:
                if event.tag == "attributes" and any(
                    change.kind == kind for change in changes_in(event.data)
                ):
                    found.add((bar, start + event.onset))
    return sorted(found)


def _value(score: Finished, part: int, kind: Kind, time: int) -> Said | None:
    """What is in force for a part; None where it has no say."""
    if kind == "metre":
        metre = score.in_force(part).at(time).metre
        return metre_text(metre) if metre is not None and metre.length else None
    now = score.in_force(part).at(time)
    key = now.key or KeySaid(0)
    family = score.players[part].family
    if key.altered or (family in _OFTEN_WITHOUT_KEY and not key.fifths):
        return None
    return (key.fifths + now.transposition.interval.fifths) % _CIRCLE


def metre_text(metre: Metre) -> str:
    """A metre as it is printed: ``6/8``."""
    return f"{metre.length * metre.beat_unit / 4}/{metre.beat_unit}"


def _on_purpose(score: Finished, found: Disagreement) -> bool:
    """True for bars of one length that one part feels in twos and another in threes."""
    metres = [score.in_force(part).at(found.time).metre for part in _all(found)]
    told = [metre for metre in metres if metre is not None]
    return len({m.length for m in told}) == 1 and len({m.compound for m in told}) > 1


def _all(found: Disagreement) -> tuple[int, ...]:
    return (*found.parts, *found.others)


def _judged(
    kind: Kind, time: int, bar: int, said: Mapping[int, Said], *, silence_counts: bool = True
) -> Disagreement | None:
    """Who says otherwise than most; None where all say the same."""
    values = Counter(said.values())
    if len(values) < 2:  # noqa: PLR2004 - two can differ
        return None
    if not silence_counts and 2 * values[""] >= len(said):
        del values[""]  # said for all by those who say it
        said = {part: one for part, one in said.items() if one != ""}
        if len(values) < 2:  # noqa: PLR2004 - likewise
            return None
    most = max(values.values())
    wanted = next(one for one in said.values() if values[one] == most)
    parts = tuple(part for part, one in said.items() if one != wanted)
    others = tuple(part for part, one in said.items() if one == wanted)
    return Disagreement(kind, time, bar, parts, said[parts[0]], wanted, others)


def _repeats(score: Finished) -> Iterator[Disagreement]:
    parts = score.score.parts
    bars = sorted({bar for part in parts for bar in part.saying(b"<repeat", b"<ending")})
    for bar in bars:
        start, stop = score.reading.timeline.starts[bar : bar + 2]
        here = {at: signs_in(part.bars[bar]) for at, part in enumerate(parts)
                if bar < len(part.bars)}  # fmt: skip
        begins = {at: "a repeat" if one.forward else "" for at, one in here.items()}
        ends = {at: _turns(one.turns) for at, one in here.items()}
        endings = {at: ", ".join(map(str, one.ending_starts)) for at, one in here.items()}
        for found in (
            _judged("repeat begins", start, bar, begins),
            _judged("repeat ends", stop, bar, ends),
            _judged("ending", start, bar, endings, silence_counts=False),
        ):
            if found:
                yield found


def _turns(turns: int) -> str:
    return "" if not turns else "a repeat" if turns == 2 else f"a repeat, {turns} times"  # noqa: PLR2004 - as always


def _printed(score: Finished) -> Iterator[Disagreement]:
    """Rehearsal marks and tempo."""
    said: dict[tuple[Kind, int, int], dict[int, str]] = {}
    for part, data in enumerate(score.score.parts):
        for bar in data.saying(b"<rehearsal", b"<metronome", b"<words"):
            read = score.reading.bars(part)[bar]
            for event in read.events:
                if event.tag == "direction":
                    form = read_direction_form(event.data)
                    offset = round(form.offset * read.scale_at(event.place))
                    time = score.reading.timeline.starts[bar] + event.onset + offset
                    for kind, text in _of_direction(form):
                        said.setdefault((kind, time, bar), {}).setdefault(part, text)
    everybody = range(len(score.score.parts))
    for (kind, time, bar), texts in sorted(said.items(), key=lambda one: one[0][1]):
        whole = {p: texts.get(p, "") for p in everybody} if kind == "mark" else texts
        found = _judged(kind, time, bar, whole, silence_counts=False)
        if found:
            yield found


def _of_direction(form: DirectionForm) -> Iterator[tuple[Kind, str]]:
    for sign in form.signs:
        if sign.tag == "rehearsal" and sign.text:
            yield "mark", sign.text
        elif sign.tag == "metronome":
            yield "speed", " ".join(text.strip() for text in element_of(sign.data).itertext())
    words = " ".join(sign.text for sign in form.signs if sign.tag == "words")
    if words and tempo_kind(words) == "tempo":
        yield "tempo", " ".join(words.casefold().replace(".", " ").split())
