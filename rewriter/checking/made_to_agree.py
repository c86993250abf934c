"""A part made to say what all others say: their metre, key, repeats and marks copied."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from rewriter.checking.rule import Unmended
from rewriter.editing.bar_marking import bar_marked
from rewriter.editing.cutting import attribute_in
from rewriter.editing.edits import InBar, Inserted, Replaced, bar_children
from rewriter.editing.elements import found_in, with_only, without
from rewriter.editing.music import Sign, tag_of
from rewriter.musicxml.escaping import attribute
from rewriter.scores.directions import read_direction_form

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.checking.said_by_all import Disagreement
    from rewriter.editing.edits import Edit

_SIGNS: Final = {"mark": "rehearsal", "tempo": "words", "speed": "metronome"}
_SIDES: Final = {"repeat begins": "left", "repeat ends": "right", "ending": "left"}
_PASSES_TIME: Final = frozenset(("note", "backup", "forward"))


def copied(score: Finished, fact: Disagreement) -> list[Edit] | Unmended:
    """Edits that give a part what the others have, or why none do.

    Args:
        score: it is in.
        fact: a part that disagrees.
    """
    if why := _why_not(score, fact):
        return Unmended(why)
    if fact.kind in {"metre", "key"}:
        return _attributes(score, fact)
    if fact.kind == "ending":
        return _endings(score, fact)
    if fact.kind in _SIDES:
        return _barline(score, fact, fact.bar, _SIDES[fact.kind], "repeat")
    return _direction(score, fact)


def _why_not(score: Finished, fact: Disagreement) -> str:
    if not fact.one_against_all:
        return "it is not one part against all others"
    if not score.players[fact.parts[0]].sections:
        return "the part is no string section's"
    return "" if fact.wanted != "" else "what this part has may be what the others lack"


def _attributes(score: Finished, fact: Disagreement) -> list[Edit] | Unmended:
    part, tag = fact.parts[0], "time" if fact.kind == "metre" else "key"
    if fact.time != score.reading.timeline.starts[fact.bar]:
        return Unmended("it is not at the beginning of a bar")
    if tag == "time" and not _as_long(score, fact):
        return Unmended("its bars are not as long as those of the others")
    own = _fifths(score, part, fact.time)
    for other in fact.others:
        said = [
            data
            for child in _opening(score, other, fact.bar)
            if tag_of(child) == "attributes"
            for data in found_in(child, tag)
        ]
        alike = tag == "time" or _fifths(score, other, fact.time) == own
        if len(said) == 1 and alike and not attribute_in(said[0], "id"):
            return [_with_attribute(score, InBar(part, fact.bar), said[0])]
    return Unmended("the others do not say it in this bar")


def _fifths(score: Finished, part: int, time: int) -> int:
    return score.in_force(part).transposition(time).interval.fifths


def _as_long(score: Finished, fact: Disagreement) -> bool:
    """True where all parts play as long in the bar."""
    every = (*fact.parts, *fact.others)
    return len({score.reading.bars(part)[fact.bar].end for part in every}) == 1


def _opening(score: Finished, part: int, bar: int) -> list[bytes]:
    """What a bar begins with, before its first note."""
    children = bar_children(score.score, InBar(part, bar))
    tags = [tag_of(child) for child in children]
    first = next((at for at, tag in enumerate(tags) if tag in _PASSES_TIME), len(tags))
    return children[:first]


def _with_attribute(score: Finished, where: InBar, data: bytes) -> Edit:
    opening = _opening(score, *where)
    for at, child in enumerate(opening):
        if tag_of(child) == "attributes":
            return Replaced(where, at, with_only(child, data))
    return Inserted(where, _behind_print(opening), b"<attributes>%b</attributes>" % data)


def _behind_print(opening: Sequence[bytes]) -> int:
    printed = [at for at, child in enumerate(opening) if tag_of(child) == "print"]
    return printed[-1] + 1 if printed else 0


def _barline(
    score: Finished, fact: Disagreement, bar: int, side: str, tag: str
) -> list[Edit] | Unmended:
    """A repeat or an ending at a barline as another part has it."""
    theirs = next(
        (
            found
            for other in fact.others
            for found in _barlines(score, InBar(other, bar), side).values()
            if found_in(found, tag)
        ),
        b"",
    )
    if not theirs:
        return Unmended("the others do not say it alike")
    where = InBar(fact.parts[0], bar)
    (said,) = found_in(theirs, tag)
    for at, own in _barlines(score, where, side).items():
        changed = with_only(own, said)
        for style in found_in(theirs, "bar-style"):
            changed = with_only(changed, style)
        return [Replaced(where, at, changed)]
    children = bar_children(score.score, where)
    at = _behind_print(children) if side == "left" else len(children)
    style = b"".join(found_in(theirs, "bar-style")) if tag == "repeat" else b""
    opening = attribute("location", side)
    return [Inserted(where, at, b"<barline%b>%b%b</barline>" % (opening, style, said))]


def _barlines(score: Finished, where: InBar, side: str) -> dict[int, bytes]:
    children = enumerate(bar_children(score.score, where))
    return {
        at: child
        for at, child in children
        if tag_of(child) == "barline" and (attribute_in(child, "location") or "right") == side
    }


def _endings(score: Finished, fact: Disagreement) -> list[Edit] | Unmended:
    """An ending from where it begins to where it stops."""
    edits: list[Edit] = []
    for bar, side in _ending(score, fact):
        made = _barline(score, fact, bar, side, "ending")
        if isinstance(made, Unmended):
            return made
        edits += made
    return edits or Unmended("the others do not say where it stops")


def _ending(score: Finished, fact: Disagreement) -> list[tuple[int, str]]:
    """The barlines at which an ending of the others begins and stops; none without a stop."""
    other = fact.others[0]
    for bar in score.score.parts[other].saying(b"<ending"):
        found = _barlines(score, InBar(other, bar), "right").values()
        if bar >= fact.bar and any(found_in(one, "ending") for one in found):
            return [(fact.bar, "left"), (bar, "right")]
    return []


def _direction(score: Finished, fact: Disagreement) -> list[Edit] | Unmended:
    """A mark or a tempo in place of another, or where there is none."""
    theirs = next((data for _, data in _directions(score, fact, fact.others[0])), b"")
    form = read_direction_form(theirs) if theirs else None
    if form is None or form.offset or len(form.signs) != 1 or b' id="' in theirs:
        return Unmended("in the other parts it stands with something else")
    new = without(theirs, "voice")
    staves = score.score.parts[fact.parts[0]].staves
    new = with_only(new, b"<staff>1</staff>") if staves > 1 else without(new, "staff")
    where = InBar(fact.parts[0], fact.bar)
    if not fact.said:
        away = fact.time - score.reading.timeline.starts[fact.bar]
        return bar_marked(
            score.score, where, [Sign(Fraction(away, score.reading.divisions), new)]
        )
    for place, data in _directions(score, fact, fact.parts[0]):
        if len(read_direction_form(data).signs) == 1:
            return [Replaced(where, place, new)]
    return Unmended("it stands with something else")


def _directions(score: Finished, fact: Disagreement, part: int) -> Iterator[tuple[int, bytes]]:
    """The directions of a part at a place that hold what it is about."""
    bar = score.reading.bars(part)[fact.bar]
    start = score.reading.timeline.starts[fact.bar]
    for event in bar.events:
        if event.tag == "direction":
            form = read_direction_form(event.data)
            time = start + event.onset + round(form.offset * bar.scale_at(event.place))
            if time == fact.time and any(s.tag == _SIGNS[fact.kind] for s in form.signs):
                yield event.place, event.data
