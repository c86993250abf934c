"""Opening a sketch, which may be no MusicXML: what it is, made MusicXML, and what was lost."""

import os
from pathlib import PurePath

import msgspec
from lxml import etree

from rewriter.foreign.kinds import KINDS, MEI, Kind, kind_in, kind_named
from rewriter.musicxml.faults import EXPORT, what_instead
from rewriter.musicxml.opening import Source, read_source
from rewriter.problems import Refused

_HEAD_BYTES = 4096  # where XML shows its first element


class Opened(msgspec.Struct, frozen=True):
    """A sketch as MusicXML.

    Attributes:
        source: its bytes, in MusicXML.
        remarks: what it was and what of it was not read, one sentence each; none of MusicXML.
    """

    source: Source
    remarks: list[str]


def open_sketch(
    sketch: str | os.PathLike[str] | bytes | etree._Element | etree._ElementTree,
) -> Opened:
    """The bytes of a sketch, made MusicXML where they are ABC, Humdrum, MEI or MIDI.

    What a file holds counts, not how its name ends; where the two differ it is said.

    Args:
        sketch: a path, the bytes of a file, or an lxml tree.

    Raises:
        Refused: there is nothing that can be read, with the file named.
    """
    source = read_source(sketch)
    try:
        return _opened(source, is_file=isinstance(sketch, (str, os.PathLike)))
    except Refused as refusal:
        raise refusal.within(source.name) from None


def _opened(source: Source, *, is_file: bool) -> Opened:
    kind = None if source.packed else kind_in(source.data)
    named = kind_named(source.name) if is_file else None
    if kind is None:
        if named:
            _require_musicxml(source, named)
        return Opened(source, [_misnamed(source.name, "MusicXML")] if named else [])
    from rewriter.foreign.converting import converted  # heavy, and MusicXML never needs it

    made = converted(source.data, kind)
    remarks = [f"the sketch is {kind.said}, of which music21 reads {kind.read}"]
    if made.missing:
        said = ", ".join(f"{name} {number}" for name, number in sorted(made.missing.items()))
        remarks.append(
            f"in the sketch, but not read from {kind.name}: {said}; add them by hand"
        )
    if made.stumbles:
        times = "once" if made.stumbles == 1 else f"{made.stumbles} times"
        remarks.append(
            f"music21 stumbled {times} over this {kind.name}: a note may be missing or wrong; "
            "compare the score with the sketch"
        )
    if is_file and _is_misleading(source.name, kind):
        remarks.append(_misnamed(source.name, kind.name))
    return Opened(Source(made.score, source.name), remarks)


def _require_musicxml(source: Source, named: Kind) -> None:
    """Refuse a file that is neither what its name says nor MusicXML."""
    refused = what_instead(source.data)
    if refused:
        raise refused
    if not source.packed and b"<" not in source.data[:_HEAD_BYTES]:
        what = f"the name ends in {_suffix(source.name)}, but this is not {named.said}"
        raise Refused(f"{what}: {named.has}", EXPORT)


def _is_misleading(name: str, kind: Kind) -> bool:
    """True when the end of a name belongs to another format; .xml may be MEI."""
    suffix = _suffix(name).lower()
    theirs = {one for other in KINDS if other is not kind for one in other.suffixes}
    return suffix in {*theirs, ".musicxml", ".mxl"} or (suffix == ".xml" and kind is not MEI)


def _misnamed(name: str, said: str) -> str:
    return f"the name of the sketch ends in {_suffix(name)}, but it is {said} and read as such"


def _suffix(name: str) -> str:
    return PurePath(name).suffix
