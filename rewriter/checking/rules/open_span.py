"""A slur, hairpin, tuplet, octave or trill line that does not close, or closes another."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.open_ends import KINDS, OpenSpan, dynamic_after, open_spans
from rewriter.checking.rule import NONE, Mend, Parameters, Rule, Said, Unmended

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.scores.spans import End


def find(score: Finished, _: Parameters) -> Iterator[OpenSpan]:
    """Signs with one end, with ends of two numbers, or around others of their number."""
    return open_spans(score)


def say(fact: OpenSpan, at: Finished, _: Parameters) -> Said:
    """Say which sign it is, and what is wrong with its ends."""
    end = fact.end
    return Said(at.place(fact.part, end.bar, end.time, end.voice), _text(fact, at))


def _text(fact: OpenSpan, at: Finished) -> str:
    what, other = KINDS[fact.end.kind], fact.other
    if fact.more:
        many = len(fact.more)
        lines = f"1 more {what}" if many == 1 else f"{many} more {what}s"
        return f"this and {lines} begin and never end; end them, or take them out"
    if other is None:
        if fact.end.side == "start":
            return f"this {what} begins and never ends; end it, or take it out"
        return f"this {what} ends and never began; begin it, or take it out"
    until = f"in bar {at.printed(fact.part, other.bar)}"
    if fact.around:
        inside = "another begins" if fact.around == 1 else f"{fact.around} others begin"
        return f"this {what} ends {until}, and {inside} before; look where it should end"
    return f"this {what} ends {until} under another number; give both ends one number"


def mend(score: Finished, fact: OpenSpan, _: Parameters) -> Mend | Unmended:
    """Give both ends one number; end a trill line with its note, a hairpin at a dynamic."""
    if not score.players[fact.part].sections:
        return Unmended("the part is no string section's")
    if fact.other is not None and not fact.around:
        return _numbered(score, fact.part, fact.other, fact.end.number)
    if fact.other is None and fact.end.kind == "wavy-line" and fact.end.side == "start":
        return _ended(score, fact.part, (fact.end, *fact.more))
    if fact.end.kind == "wedge" and fact.end.side == "start" and not fact.more:
        return _led(score, fact.part, fact.end)
    return Unmended("nobody can tell where the other end is")


def _led(score: Finished, part: int, start: End) -> Mend | Unmended:
    """End a hairpin at the dynamic, or the hairpin, that comes next."""
    from rewriter.editing.cutting import attribute_in
    from rewriter.editing.edits import InBar, Inserted
    from rewriter.musicxml.escaping import attribute, escaped

    found = dynamic_after(score, part, start)
    if found is None:
        return Unmended("no dynamic comes near it at which it would end")
    bar, event = found
    placement = attribute_in(start.event.data, "placement")
    opening = b"<direction%b>" % (attribute("placement", placement) if placement else b"")
    number = attribute("number", start.number) if start.number != "1" else b""
    staff = b"<staff>%b</staff>" % escaped(start.staff) if start.staff else b""
    sign = b'<direction-type><wedge type="stop"%b/></direction-type>' % number
    data = opening + sign + staff + b"</direction>"
    return Mend(
        "end the hairpin at the next dynamic", (Inserted(InBar(part, bar), event.place, data),)
    )


def _numbered(score: Finished, part: int, stop: End, number: str) -> Mend | Unmended:
    from rewriter.editing.cutting import attribute_in
    from rewriter.editing.edits import InBar, Replaced, bar_children
    from rewriter.editing.elements import found_in, with_attribute
    from rewriter.editing.note_marks import with_notation, without_notations

    if stop.event.form is None:
        return Unmended("it hangs on no note")
    where = InBar(part, stop.bar)
    note = bar_children(score.score, where)[stop.event.place]

    def is_it(sign: bytes) -> bool:
        same = (attribute_in(sign, "number") or "1") == stop.number
        return same and attribute_in(sign, "type") == stop.type

    signs = [sign for sign in found_in(note, "notations", stop.kind) if is_it(sign)]
    if len(signs) != 1:
        return Unmended("nobody can tell which of its ends is meant")
    numbered = with_notation(
        without_notations(note, stop.kind, is_it), with_attribute(signs[0], "number", number)
    )
    return Mend("give both ends one number", (Replaced(where, stop.event.place, numbered),))


def _ended(score: Finished, part: int, starts: Sequence[End]) -> Mend:
    """End trill lines with their notes, tied ones with the last of them."""
    from rewriter.editing.edits import InBar, Replaced, bar_children
    from rewriter.editing.note_marks import with_notation
    from rewriter.musicxml.escaping import attribute

    last = {id(note.event): run.notes[-1] for run in score.joined(part) for note in run.notes}
    ended: dict[tuple[InBar, int], bytes] = {}
    for start in starts:
        note = last[id(start.event)]
        place = InBar(part, note.bar), note.event.place
        data = ended.get(place) or bar_children(score.score, place[0])[place[1]]
        sign = b'<wavy-line type="stop"%b/>' % attribute("number", start.number)
        ended[place] = with_notation(data, sign)
    edits = tuple(Replaced(where, child, data) for (where, child), data in ended.items())
    return Mend(f"end the trill {'line' if len(edits) == 1 else 'lines'} with the note", edits)


RULE = Rule(
    id="open-span",
    title="slur, hairpin or line with one end",
    why="Programs draw such a sign to the end of the piece, over others, or not at all, and "
    "nobody knows how far it was meant to go.",
    instead="Close it where it should end. Slurs over repeats and into endings are not meant, "
    "nor hairpins of two voices that overlap.",
    source="W3C MusicXML 4.0: start and stop of spanning elements",
    severity="warning",
    about=OpenSpan,
    say=say,
    parameters=NONE,
    mends="certain",
    find=find,
    mend=mend,
)
