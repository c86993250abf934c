"""Names, titles and whole parts: what the part list and the header say."""

from __future__ import annotations

from copy import deepcopy
from typing import TYPE_CHECKING, Final

from lxml.etree import strip_attributes

from rewriter.comparing.page_texts import PAGE_TEXT, said_by
from rewriter.editing.arranging import arranged
from rewriter.editing.edits import InHeader, Inserted, Removed, Replaced
from rewriter.editing.elements import (
    found_in,
    text_in,
    with_changed,
    with_only,
    with_text,
    without,
)
from rewriter.editing.ids import with_own_ids
from rewriter.editing.music import tag_of
from rewriter.editing.part_entries import renamed, with_sound
from rewriter.editing.part_list import (
    Listed,
    changed,
    entry_of,
    part_list,
    put_in,
    taken_out,
)
from rewriter.editing.places import header_of
from rewriter.merging.steps import Headed, PartPut, PartTaken
from rewriter.merging.whole_parts import part_bars
from rewriter.musicxml.escaping import escaped
from rewriter.musicxml.note_reading import serialised
from rewriter.scores.children import element_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from rewriter.editing.edits import Edit
    from rewriter.merging.reshaping import Shape
    from rewriter.merging.steps import Step
    from rewriter.merging.three import Three
    from rewriter.scores.score import Score


def heading_edits(
    three: Three, score: Score, shape: Shape, steps: Sequence[Step]
) -> list[Edit]:
    """Edits of the header and the part list, and of whole parts.

    Args:
        three: the scores.
        score: the new one, its bars as they are going to be.
        shape: where these are.
        steps: all that is to be done.
    """
    headed = [step for step in steps if isinstance(step, Headed)]
    gone = [step for step in steps if isinstance(step, PartTaken)]
    coming = [step for step in steps if isinstance(step, PartPut)]
    of_all = [step for step in headed if step.part is None]
    edits = list(_of_titles(three, score, of_all))
    of_parts = [step for step in headed if step.part is not None]
    if of_parts or gone or coming:
        listed = part_list(score)
        for step in of_parts:
            part = score.parts[step.part or 0].id
            entry = _named(entry_of(listed, part).data, step)
            listed = changed(listed, part, entry)
        music: dict[str, list[bytes]] = {}
        for put in coming:
            listed = _with_part(three, score, shape, put, listed, music)
        for taken in gone:
            listed = taken_out(listed, score.parts[taken.part].id)
        edits += arranged(score, listed, music)
    return edits


def _named(entry: bytes, step: Headed) -> bytes:
    if step.kind == "part name":
        return renamed(entry, step.now)
    if step.kind == "short name":
        return renamed(entry, text_in(entry, "part-name"), step.now)
    if step.kind == "instrument sound":
        return with_sound(entry, step.now)
    ensemble = b"<ensemble>%b</ensemble>" % escaped(step.now)
    if not found_in(entry, "score-instrument"):
        return entry
    return with_changed(
        entry,
        "score-instrument",
        lambda one: with_only(one, ensemble) if step.now else without(one, "ensemble"),
    )


def _with_part(
    three: Three,
    score: Score,
    shape: Shape,
    put: PartPut,
    listed: list[Listed],
    music: dict[str, list[bytes]],
) -> list[Listed]:
    """The part list with a part of the edited score more; its bars go to `music`."""
    source = three.scores.edited.parts[put.made_part]
    bars = part_bars(three, shape, put.made_part, score.parts[0].numbers)
    entry, own = with_own_ids(score, serialised(source.entry), bars)
    new = Listed(entry)
    music[new.part] = own
    before = None
    if put.before < len(score.parts):
        before = entry_of(listed, score.parts[put.before].id)
    return put_in(listed, new, before)


def _of_titles(three: Three, score: Score, steps: Sequence[Headed]) -> Iterator[Edit]:
    """Edits of titles and makers, wherever the header says them, and of texts on the page."""
    header = header_of(score)
    text = score.text.data
    children = [text[child.span.start : child.span.stop] for child in header.children]
    for place, child in enumerate(children):
        new = child
        for step in steps:
            change = _reprinted if step.kind == PAGE_TEXT else _retitled
            new = change(three, new, step) if new else new
        if new != child:
            yield Replaced(InHeader(), place, new) if new else Removed(InHeader(), place)
    for step in steps:
        if not step.was and step.now and step.kind == PAGE_TEXT:
            place = sum(tag_of(child) != "part-list" for child in children)
            yield Inserted(InHeader(), place, _credit_of(three, step.now))
        if not step.was and step.now and step.kind == "title":
            made = b"<movement-title>%b</movement-title>" % escaped(step.now)
            names = [tag_of(child) for child in children]
            place = sum(name in {"work", "movement-number"} for name in names)
            if "movement-title" not in names:
                yield Inserted(InHeader(), place, made)


def _reprinted(three: Three, child: bytes, step: Headed) -> bytes:
    """A child of the header with the new text in place of the old, if it is on the page."""
    if not step.was or tag_of(child) != "credit":
        return child
    if said_by(element_of(child)) != step.was:
        return child
    if not step.now:
        return b""
    if len(found_in(child, "credit-words")) > 1:
        return _credit_of(three, step.now)
    return with_changed(child, "credit-words", lambda one: with_text(one, step.now))


def _credit_of(three: Three, text: str) -> bytes:
    """A text on the page, as the hand has put it there."""
    there = three.scores.edited.header.iterfind("credit")
    found = next(deepcopy(one) for one in there if said_by(one) == text)
    found.tail = None
    strip_attributes(found, "id", "color")
    return serialised(found)


def _retitled(_: Three, child: bytes, step: Headed) -> bytes:
    """A child of the header with the new title or maker in place of the old."""
    title = step.kind == "title"
    name, now = (text if title else text.partition(": ")[2] for text in (step.was, step.now))
    tag = tag_of(child)
    if not name or tag not in _HOLDING[title]:
        return child
    return _HOLDING[title][tag](child, name, now)


def _with_title(title: bytes, name: str, now: str) -> bytes:
    if not _says(title, name):
        return title
    return with_text(title, now) if now else b""


def _with_work_title(work: bytes, name: str, now: str) -> bytes:
    if text_in(work, "work-title") != name:
        return work
    if not now:
        return without(work, "work-title")
    return with_changed(work, "work-title", lambda one: with_text(one, now))


def _says(element: bytes, text: str) -> bool:
    return text_in(b"<x>%b</x>" % element, tag_of(element)) == text


def _with_words(credit: bytes, name: str, now: str) -> bytes:
    if text_in(credit, "credit-words") != name:
        return credit
    if not now:
        return b""
    return with_changed(credit, "credit-words", lambda one: with_text(one, now))


def _with_maker(identification: bytes, name: str, now: str) -> bytes:
    if not now:
        return without(identification, "creator", wanted=lambda one: _says(one, name))
    for creator in found_in(identification, "creator"):
        if _says(creator, name):
            return identification.replace(creator, with_text(creator, now))
    return identification


_HOLDING: Final[dict[bool, dict[str, Callable[[bytes, str, str], bytes]]]] = {
    True: {"movement-title": _with_title, "work": _with_work_title, "credit": _with_words},
    False: {"identification": _with_maker, "credit": _with_words},
}
"""What of the header holds titles, and what makers."""
