"""What had to be mended while a voice of the sketch was read: facts, not yet worded."""

from __future__ import annotations

from typing import NamedTuple


class OpenEnd(NamedTuple):
    """One end of something whose other end is missing; it is left out.

    Attributes:
        what: by its plain name, such as ``slur``.
        begins: True for a beginning without an end.
        bar: index from 0.
        onset: divisions from the start of the bar.
    """

    what: str
    begins: bool
    bar: int
    onset: int

    @property
    def kind(self) -> str:
        """The kind it is counted as."""
        return _KINDS.get(self.what, f"{self.what}s")


_KINDS = {"tuplet bracket": "tuplets", "glissando": "glissandi", "dashed line": "dashes",
          "line": "other notations"}  # fmt: skip


class Overlap(NamedTuple):
    """A note left out, since it begins while the one before it in its voice still sounds.

    Attributes:
        bar: index from 0.
        onset: divisions from the start of the bar.
    """

    bar: int
    onset: int


class Overlong(NamedTuple):
    """Notes left out, since they lie beyond the tune's bar.

    Attributes:
        bar: index from 0.
        notes: how many.
    """

    bar: int
    notes: int


class InSilence(NamedTuple):
    """A dynamic or hairpin left out, since nothing sounds there and another follows.

    Attributes:
        kind: it is counted as.
        bar: index from 0.
        onset: divisions from the start of the bar.
    """

    kind: str
    bar: int
    onset: int


class Mended(NamedTuple):
    """Something that the standard does not allow.

    Attributes:
        said: what it is and what was done, for people.
        bar: index from 0.
        onset: divisions from the start of the bar.
        part: id of the part it stands in; empty for that of the voice.
    """

    said: str
    bar: int
    onset: int
    part: str = ""


Fault = OpenEnd | Overlap | Overlong | InSilence | Mended


class VoicePlace(NamedTuple):
    """Where a voice stands in the sketch: part, staff and voice as its file has them."""

    part: str
    staff: str
    voice: str
