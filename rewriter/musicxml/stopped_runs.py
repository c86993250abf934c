"""Runs that were killed while they wrote: completed where all was written, else cleared."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Final

import msgspec

from rewriter.musicxml.copies import is_copy
from rewriter.musicxml.together import (
    JOURNAL,
    PREFIX,
    Change,
    clear,
    digest_of,
    hold,
    journals_in,
    put,
    undo,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

_STOPPED: Final = "an earlier run was stopped while it wrote"


class Journal(msgspec.Struct, frozen=True, kw_only=True):
    """What a run leaves in a folder while it puts files in place.

    Attributes:
        see: the journal that has the changes; empty in that one itself.
        changes: all of them, in all folders; empty until every file is written.
    """

    see: bytes = b""
    changes: list[Change] = []


def settle(folders: Iterable[Path]) -> list[str]:
    """Complete or undo what killed runs have left in some folders; runs at work are left alone.

    A run whose files were all written is completed, but for files that somebody has changed
    since; of one that was stopped before, nothing had appeared, and its leavings are cleared.

    Args:
        folders: where files are going to be written; they need not be there.

    Returns:
        One line for each such run.
    """
    said: list[str] = []
    for journal in journals_in(folders):
        said += _settled(journal)
    return said


def _settled(journal: Path) -> Iterator[str]:
    try:
        handle = os.open(journal, os.O_RDWR | getattr(os, "O_NOFOLLOW", 0))
    except OSError:
        return
    try:
        if not hold(handle):
            return  # its run is at work
        with os.fdopen(os.dup(handle), "rb") as file:
            said = _read(file.read())
        if said.see:
            main = Path(os.fsdecode(said.see))
            if main.name == journal.name and main != journal and main.exists():
                yield from _settled(main)
                if main.exists():
                    return
            clear(_name(journal), [journal.parent], journal)
            return
        yield _settle(journal, said.changes)
    finally:
        os.close(handle)


def _read(data: bytes) -> Journal:
    """A journal; one that breaks off has nothing to say, for nothing had appeared yet."""
    try:
        return msgspec.json.decode(data, type=Journal)
    except msgspec.MsgspecError:
        return Journal()


def _name(journal: Path) -> str:
    return journal.name.removeprefix(PREFIX).removesuffix(JOURNAL)


def _settle(journal: Path, written_down: list[Change]) -> str:
    """What was written down is carried out, and said."""
    changes = [change for change in written_down if _is_of(change, journal)]
    kept: list[Path] = []
    try:
        for change in changes:
            if not change.new or change.beside(change.new).exists():
                if digest_of(change.place) == change.was:
                    put(change)
                else:
                    kept.append(change.place)
        done = "its files are now in place"
    except OSError:
        for change in changes:
            undo(change)
        done = "its files could not be put in place, and all is as it was before"
    folders = {change.place.parent for change in changes}
    clear(_name(journal), [journal.parent, *folders], journal)
    if not changes:
        return (
            f"{journal.parent}: {_STOPPED}; nothing of it had appeared, its leavings are gone"
        )
    places = [change.place for change in changes]
    outputs = [place for place in places if not is_copy(place)]
    names = ", ".join(sorted(place.name for place in outputs or places))
    left = "".join(f"; {place} was changed since and stays" for place in kept)
    return f"{journal.parent}: {_STOPPED} {names}; {done}{left}"


def _is_of(change: Change, journal: Path) -> bool:
    """True for a change in a folder where its run has left its mark, by names that are its own.

    A journal that somebody else has put into a folder reaches no file outside it.
    """
    own = f"{PREFIX}{_name(journal)}-".encode()
    names = [name for name in (change.new, change.old) if name]
    return (
        all(name.startswith(own) and b"/" not in name for name in names)
        and change.place.is_absolute()
        and (change.place.parent / journal.name).exists()
        and (not change.new or digest_of(change.beside(change.new)) in {"", change.becomes})
    )
