"""A part's entry in the part list, with another name or another sound."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.editing.cutting import attribute_in
from rewriter.editing.elements import (
    found_in,
    text_in,
    with_changed,
    with_child,
    with_only,
    with_text,
    without,
)
from rewriter.musicxml.escaping import attribute, escaped, word

if TYPE_CHECKING:
    from collections.abc import Container


def renamed(
    entry: bytes,
    name: str,
    abbreviation: str | None = None,
    *,
    name_display: bytes = b"",
    abbreviation_display: bytes = b"",
) -> bytes:
    """An entry with another name.

    How a name is displayed goes with the old name, or it would be printed still.

    Args:
        entry: ``<score-part>`` as it stands in its file.
        name: in full.
        abbreviation: in short; empty for none, None to keep it as it is.
        name_display: ``<part-name-display>`` to print in place of the name.
        abbreviation_display: likewise ``<part-abbreviation-display>``.

    >>> renamed(b"<score-part><part-name>Flute</part-name></score-part>", "Oboe").decode()
    '<score-part><part-name>Oboe</part-name></score-part>'
    """
    entry = _named(entry, "part-name", name)
    entry = _displayed(entry, "part-name-display", name_display)
    if abbreviation is not None:
        if abbreviation:
            entry = _named(entry, "part-abbreviation", abbreviation)
        else:
            entry = without(entry, "part-abbreviation")
        entry = _displayed(entry, "part-abbreviation-display", abbreviation_display)
    return entry


def _named(entry: bytes, tag: str, text: str) -> bytes:
    if found_in(entry, tag):
        return with_changed(entry, tag, lambda child: with_text(child, text))
    name = word(tag)
    return with_child(entry, b"<%b>%b</%b>" % (name, escaped(text), name))


def _displayed(entry: bytes, tag: str, display: bytes) -> bytes:
    return with_only(entry, display) if display else without(entry, tag)


def with_sound(entry: bytes, sound: str, *, taken: Container[str] = ()) -> bytes:
    """An entry whose instrument sounds otherwise; the last of several.

    Args:
        entry: ``<score-part>`` as it stands in its file.
        sound: the standard's id, such as ``strings.cello``.
        taken: ids that an instrument which has to be made cannot have.

    >>> entry = b"<score-part><score-instrument><solo/></score-instrument></score-part>"
    >>> found_in(with_sound(entry, "strings.cello"), "score-instrument", "instrument-sound")
    [b'<instrument-sound>strings.cello</instrument-sound>']
    """
    said = b"<instrument-sound>%b</instrument-sound>" % escaped(sound)
    if found_in(entry, "score-instrument"):
        return with_changed(entry, "score-instrument", lambda one: with_only(one, said))
    part = attribute_in(entry, "id")
    number = next(f"{part}-I{n}" for n in range(1, 1000) if f"{part}-I{n}" not in taken)
    name = escaped(text_in(entry, "part-name"))
    made = b"<score-instrument%b><instrument-name>%b</instrument-name>%b</score-instrument>"
    return with_child(entry, made % (attribute("id", number), name, said))
