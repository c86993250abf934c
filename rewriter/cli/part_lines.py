"""What became of parts, a line each: of those written, and those an earlier run has left."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from rewriter.stands.earlier import EarlierPart
    from rewriter.verbs.parts import Part


class PartFile(msgspec.Struct, frozen=True):
    """A part and its file.

    Attributes:
        path: where it is, or would be.
        part: what stands in it.
        replaced: True when something else was there.
        copy: where a copy of it is kept; None where none is.
    """

    path: Path
    part: Part
    replaced: bool
    copy: Path | None = None


class Leftovers(msgspec.Struct, frozen=True):
    """Parts that an earlier run has left.

    Attributes:
        parts: of sections that are none of this run's.
        remove: whether they are to go, where nobody has changed them.
    """

    parts: Sequence[EarlierPart] = ()
    remove: bool = False

    @property
    def going(self) -> list[Path]:
        """Those that are removed."""
        return [part.path for part in self.parts if part.untouched and self.remove]


def part_files(made: Sequence[Part], folder: Path, *, copy: bool) -> list[PartFile]:
    """Parts and their files, before they are written.

    Args:
        made: the parts.
        folder: where they go.
        copy: whether copies of them are kept.
    """
    from rewriter.musicxml.copies import copy_of
    from rewriter.verbs.parts import replaces

    return [
        PartFile(path, part, replaces(part, folder), copy_of(path) if copy else None)
        for part in made
        for path in (folder / part.file_name,)
    ]


def as_lines(files: Sequence[PartFile], leftovers: Leftovers, *, dry: bool) -> str:
    """One line for each part: where it is, how long it is, what stands in it.

    Args:
        files: of this run.
        leftovers: of an earlier one.
        dry: True when nothing is written.
    """
    named = [*(file.path for file in files), *(part.path for part in leftovers.parts)]
    width = max((len(str(path)) for path in named), default=0) + 1
    lines = [f"{f'{file.path}:':{width}} {_said(file)}\n" for file in files]
    lines += [
        f"{f'{part.path}:':{width}} {_said_of_earlier(part, leftovers, dry=dry)}\n"
        for part in leftovers.parts
    ]
    kept = {str(file.copy.parent) for file in files if file.copy}
    lines += [f"copies as made: {folder}\n" for folder in sorted(kept)]
    return "".join(lines) or "every section is tacet; no part was written\n"


def _said(file: PartFile) -> str:
    part = file.part
    said = [_counted(part.bars, "bar")]
    if part.tacet:
        said.append("tacet")
    elif part.multi_bar_rests:
        said.append(_counted(part.multi_bar_rests, "multi-bar rest"))
    if part.cue_notes:
        said.append(f"cue notes before {_counted(part.cue_notes, 'entry', 'entries')}")
    if file.replaced:
        said.append("replaced")
    return ", ".join(said)


def _said_of_earlier(part: EarlierPart, leftovers: Leftovers, *, dry: bool) -> str:
    if not part.untouched:
        return "of an earlier run; changed since, so it stays"
    if leftovers.remove:
        return f"of an earlier run; {'would be ' * dry}removed"
    return "of an earlier run; --remove-earlier takes it away"


def _counted(number: int, one: str, many: str = "") -> str:
    return f"{number} {one}" if number == 1 else f"{number} {many or one + 's'}"
