"""Files of one run that appear together or not at all.

All are written beside their places first. Then a journal says what is to become of each, and
they are renamed; what was there before stays at hand until the last one is in its place. A run
that is killed meanwhile leaves its journal to the next, which is :mod:`stopped_runs`'s affair.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import stat
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final, Self

import msgspec

from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

PREFIX: Final = ".rewriter-"
"""What names of files begin with that are no results; a run's own name follows."""

JOURNAL: Final = ".run"
"""What the name of a journal ends in, one in each folder a run writes in."""


class Change(msgspec.Struct, frozen=True, kw_only=True):
    """What is to become of one file. Names are bytes, as file systems have them.

    Attributes:
        named: the file as the user named it, for messages.
        target: where it really is: absolute, links followed.
        new: name of what was written beside it; empty where it is to be removed, or stays.
        old: name under which what was there is kept beside it; not there if nothing was.
        was: SHA-256 of what was there; empty for nothing.
        becomes: SHA-256 of what will be; empty for nothing.
    """

    named: bytes
    target: bytes
    new: bytes
    old: bytes
    was: str
    becomes: str

    @property
    def place(self) -> Path:
        """The file itself."""
        return Path(os.fsdecode(self.target))

    @property
    def is_none(self) -> bool:
        """True where the file is already what it is to become, so that it stays."""
        return self.was == self.becomes

    def beside(self, name: bytes) -> Path:
        """A file next to it."""
        return self.place.with_name(os.fsdecode(name))


class Run(msgspec.Struct, frozen=True):
    """One run, as the processes that write files for it know it.

    Attributes:
        name: part of the name of each file that is no result.
        journal: where the changes will stand; None where none can be kept.
        writes: False for one that only tells what it would write.
    """

    name: str
    journal: Path | None
    writes: bool = True

    def stage(self, data: bytes, target: Path) -> Change:
        """Write a file beside its place, to disk; what is there stays.

        Where just these bytes are there already, nothing is written, now or later.

        Args:
            data: the whole file.
            target: as the user named it; a link stays a link, what it points to is replaced.

        Raises:
            OSError: it cannot be written; nothing is left of it.
        """
        place = Path(os.path.realpath(target))
        self._mark(place.parent)
        change = self._change(target, place, hashlib.sha256(data).hexdigest())
        if change.is_none or not self.writes:
            return change
        beside = change.beside(change.new)
        try:
            handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(handle)
            if place.exists():
                beside.chmod(stat.S_IMODE(place.stat().st_mode))
        except BaseException:
            beside.unlink(missing_ok=True)
            raise
        return change

    def remove(self, target: Path) -> Change:
        """What takes a file away together with the other changes."""
        place = Path(os.path.realpath(target))
        self._mark(place.parent)
        return self._change(target, place, "")

    def _change(self, target: Path, place: Path, becomes: str) -> Change:
        name = f"{PREFIX}{self.name}-{os.urandom(4).hex()}"
        was = digest_of(place)
        return Change(
            named=os.fsencode(target),
            target=os.fsencode(place),
            new=f"{name}.new".encode() if becomes not in {"", was} else b"",
            old=f"{name}.old".encode(),
            was=was,
            becomes=becomes,
        )

    def _mark(self, folder: Path) -> None:
        """Say in a folder where the journal is; without it nothing there is ever completed."""
        if self.journal is None or folder == self.journal.parent:  # or nothing is written
            return
        said = msgspec.json.encode({"see": os.fsencode(self.journal)})
        with contextlib.suppress(FileExistsError):
            handle = os.open(
                folder / f"{PREFIX}{self.name}{JOURNAL}",
                os.O_WRONLY | os.O_CREAT | os.O_EXCL,
                0o666,
            )
            with os.fdopen(handle, "wb") as file:
                file.write(said)


DRY_RUN: Final = Run("", None, writes=False)
"""One that writes nothing."""


class Together:
    """A run that writes files; left without :meth:`put_in_place`, it has written nothing.

    Attributes:
        run: for whoever writes files for it, in this process or another.
    """

    def __init__(self, folders: Sequence[Path], *, make: Iterable[Path] = ()) -> None:
        """Begin.

        Args:
            folders: where files are going to be written; those that cannot be are passed over.
            make: of them, those that are made where they are not there.
        """
        self._made: list[Path] = []
        self._is_settled = True
        for folder in make:
            self._make(folder)
        self._folders = {Path(os.path.realpath(folder)) for folder in folders}
        self._handle = -1
        name = os.urandom(6).hex()
        journal = None
        for folder in sorted(self._folders):
            with contextlib.suppress(OSError):
                journal = self._begin(folder / f"{PREFIX}{name}{JOURNAL}")
                break
        self.run = Run(name, journal)

    def __enter__(self) -> Self:
        """Itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Clear away what is no result; where that is not settled, the next run does it."""
        if self._handle >= 0:
            os.close(self._handle)
            self._handle = -1
        if not self._is_settled:
            return
        clear(self.run.name, self._folders, self.run.journal)
        for folder in reversed(self._made):
            with contextlib.suppress(OSError):  # something is in it
                folder.rmdir()

    def put_in_place(self, changes: Sequence[Change]) -> None:
        """Let all files appear, at once for whoever looks before or after.

        Args:
            changes: from :meth:`Run.stage` and :meth:`Run.remove`.

        Raises:
            Refused: a file cannot be put there; all is as it was.
        """
        self._folders.update(change.place.parent for change in changes)
        changes = [change for change in changes if not change.is_none]
        change = None
        try:
            for change in changes:
                keep_old(change)
            self._write_down(changes)
            for change in changes:
                put(change)
        except BaseException as error:
            self._is_settled = False
            for done in reversed(changes):
                undo(done)
            self._is_settled = True
            if isinstance(error, OSError) and change:
                raise cannot_write(error).within(os.fsdecode(change.named)) from None
            raise

    def _make(self, folder: Path) -> None:
        missing = [one for one in (folder, *folder.parents) if not one.exists()]
        with contextlib.suppress(OSError):  # the one who writes there will say so
            for one in reversed(missing):
                one.mkdir()
                self._made.append(one)

    def _begin(self, journal: Path) -> Path:
        self._handle = os.open(journal, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o666)
        hold(self._handle)
        return journal

    def _write_down(self, changes: Sequence[Change]) -> None:
        if self._handle >= 0:
            said = msgspec.json.encode({"changes": changes})
            while said:
                said = said[os.write(self._handle, said) :]
            os.fsync(self._handle)


def journals_in(folders: Iterable[Path]) -> list[Path]:
    """What runs have left in folders, or are at work with; the folders need not be there."""
    found = []
    for folder in dict.fromkeys(map(os.path.realpath, folders)):
        with contextlib.suppress(OSError), os.scandir(folder) as entries:
            found += [
                Path(entry.path)
                for entry in entries
                if entry.name.startswith(PREFIX) and entry.name.endswith(JOURNAL)
            ]
    return sorted(found)


def keep_old(change: Change) -> None:
    """Keep what is in a place under a second name; on some file systems that is a copy."""
    if not change.was:
        if change.place.exists():
            raise FileExistsError(0, "somebody has put a file there meanwhile")
        return
    if digest_of(change.place) != change.was:
        raise FileExistsError(0, "somebody has changed it meanwhile")
    kept = change.beside(change.old)
    try:
        kept.hardlink_to(change.place)
    except OSError:
        import shutil

        shutil.copy2(change.place, kept)


def put(change: Change) -> None:
    """Carry out one change: what was written beside a place takes it."""
    if change.new:
        os.replace(change.beside(change.new), change.place)  # noqa: PTH105 - one step, named
    else:
        change.place.unlink(missing_ok=True)


def undo(change: Change) -> None:
    """Take one change back if it has been carried out, and nobody has changed it since."""
    kept = change.beside(change.old)
    carried_out = not change.new or not change.beside(change.new).exists()
    if not carried_out or digest_of(change.place) != change.becomes:
        return
    if change.was:
        os.replace(kept, change.place)  # noqa: PTH105 - likewise
    else:
        change.place.unlink(missing_ok=True)


def clear(name: str, folders: Iterable[Path], journal: Path | None) -> None:
    """Remove what a run has left that is no result.

    First the journal is emptied, so that nothing is completed of what is half removed; then
    in each folder the mark goes last, so that a kill leaves nothing that is not found.

    Args:
        name: of the run.
        folders: where it has written.
        journal: the one with the changes.
    """
    places = set(folders)
    if journal is not None:
        with contextlib.suppress(OSError):
            os.truncate(journal, 0)
        places.discard(journal.parent)
    for folder in (*sorted(places), *([journal.parent] if journal else ())):
        with contextlib.suppress(OSError):
            for left in sorted(folder.glob(f"{PREFIX}{name}-*")):
                left.unlink()
            (folder / f"{PREFIX}{name}{JOURNAL}").unlink(missing_ok=True)


def digest_of(place: Path) -> str:
    """SHA-256 of a file; empty where there is none."""
    try:
        with place.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except FileNotFoundError:
        return ""


def hold(handle: int) -> bool:
    """Take an open file for this process and its children; False where another has it."""
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def cannot_write(error: OSError | ValueError) -> Refused:
    """Why a file cannot be written, in words; the file is named by the caller."""
    import errno

    another = "name another file with -o"
    if isinstance(error, ValueError):
        return Refused("no file can have such a name", another)
    if error.errno in {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}:
        return Refused("the disk is full", "make room, or write it elsewhere with -o")
    if error.errno in {errno.EACCES, errno.EPERM, errno.EROFS}:
        return Refused("this place may not be written", another)
    reason = (error.strerror or "").lower()
    return Refused(f"this place cannot be written ({reason})", another)
