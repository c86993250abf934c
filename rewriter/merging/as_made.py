"""The copy of what the tool made, found again for a score in which somebody has worked since.

Neither the name of a file nor the traces the tool leaves in it can be relied on: people rename
and move what they work on, and programs drop what they do not know. So a copy is looked for
beside the score first, then in folders near by: by the digest that stands in both, by name,
and last by what sounds.
"""

from __future__ import annotations

import re
from collections import Counter
from contextlib import suppress
from html import unescape
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.comparing.contents import contents
from rewriter.comparing.digests import as_it_sounds
from rewriter.comparing.pairing import paired_parts
from rewriter.comparing.things import plain_text
from rewriter.musicxml.containers import packed_by_us
from rewriter.musicxml.copies import ENDING, copy_of, folder_of_copies
from rewriter.musicxml.opening import read_source
from rewriter.musicxml.saving import digest_said
from rewriter.problems import Refused
from rewriter.scores.events import common_divisions
from rewriter.scores.score import read_score

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Iterator, Sequence

    from rewriter.musicxml.opening import Source
    from rewriter.scores.score import Score

_SUFFIXES: Final = frozenset((".musicxml", ".xml", ".mxl"))
_HEARD: Final = 8
"""Copies of which all notes are read; the rest are too unlike by names of parts and bars."""
_ENOUGH: Final = 0.5
"""Share of bars that sound alike from which on a copy is taken for the base."""
_NAMES: Final = re.compile(rb"<part-name[^>]*>([^<]*)</part-name>")


class Base(NamedTuple):
    """What a score was made from, as far as it can be told.

    Attributes:
        source: the copy, with its path as its name.
        why: this one was taken, for people.
    """

    source: Source
    why: str


def find_base(edited: Path, score: Score) -> Base | None:
    """The copy of what the tool made of a score, before anybody worked in it.

    Args:
        edited: the score, or a part, as the user named it.
        score: as it was read.

    Returns:
        None where no copy is near, or none is like it.
    """
    beside = folder_of_copies(edited.parent)
    paths = _paths_in(beside), [path for near in _near(edited) for path in _paths_in(near)]
    return (
        _told(paths[0], edited, score)
        or _told(paths[1], edited, score)
        or _by_sound(list(_read(chain(*paths))), score)
    )


def no_base(edited: Path) -> Refused:
    """The refusal where :func:`find_base` finds nothing and nobody has named one.

    Args:
        edited: the score as the user named it.
    """
    return Refused(
        f"there is no copy of it as it was made, in {folder_of_copies(edited.parent)} or near",
        "name one with --base, or the sketch it was made of with --was",
        file=str(edited),
    )


def _near(edited: Path) -> list[Path]:
    """Folders of copies above a score, here, and next to all these; not that beside it."""
    with suppress(OSError):  # a folder that is gone
        own = edited.resolve().parent
        above = dict.fromkeys((own, own.parent, Path.cwd()))
        below = [folder for one in above for folder in _folders_in(one)]
        near = dict.fromkeys(map(folder_of_copies, (*above, *below)))
        return [folder for folder in near if folder != folder_of_copies(own)]
    return []


def _folders_in(folder: Path) -> list[Path]:
    with suppress(OSError):  # it may not be looked into
        return sorted(path for path in folder.iterdir() if path.is_dir())
    return []


def _paths_in(folder: Path) -> list[Path]:
    return sorted(folder.glob(f"*{ENDING}")) if folder.is_dir() else []


def _read(paths: Iterable[Path]) -> Iterator[Source]:
    """Copies as the tool made them; what somebody has changed is none any more."""
    for path in paths:
        with suppress(OSError, Refused):
            source = read_source(path)
            if packed_by_us(source.packed):
                yield source


def _told(paths: Sequence[Path], edited: Path, score: Score) -> Base | None:
    """A copy that has the digest of the score, or else its name."""
    stem = _stem(edited)
    named = list(_read(path for path in paths if _stem(path) == stem))
    digest = digest_said(score.source)
    others = _read(path for path in paths if _stem(path) != stem)
    for source in chain(named, others) if digest else ():
        if digest_said(source.data) == digest:
            return Base(source, "it has the digest that stands in the score")
    named = [source for source in named if _has_something_of(source, score)]
    if len(named) > 1:
        wanted = copy_of(edited).name.lower()
        exact = [source for source in named if Path(source.name).name.lower() == wanted]
        found = None if exact else _by_sound(named, score)
        if found:
            return found
        named = exact or named
    return Base(named[0], "it has the name of the score") if named else None


def _has_something_of(copy: Source, score: Score) -> bool:
    """False for another piece: no part has a name of the score's, nor has it as many bars."""
    names, bars = _unlikeness(copy.data, score)
    return not bars or names < len(score.parts) + len(_NAMES.findall(copy.data))


def _stem(path: Path) -> str:
    """A name without the endings that scores and their copies have."""
    while path.suffix.lower() in _SUFFIXES:
        path = path.with_suffix("")
    return path.name.casefold()


def _by_sound(copies: Sequence[Source], score: Score) -> Base | None:
    """The copy of which most bars sound as in the score, if that are enough."""
    near = sorted(copies, key=lambda copy: _unlikeness(copy.data, score))[:_HEARD]
    shares = [(_alike(read_score(copy), score), copy) for copy in near]
    share, best = max(shares, key=lambda one: one[0], default=(0.0, None))
    if best is None or share < _ENOUGH:
        return None
    others = f", more than of {len(copies) - 1} others" if len(copies) > 1 else ""
    return Base(best, f"{share:.0%} of its bars sound as in the score{others}")


def _unlikeness(copy: bytes, score: Score) -> tuple[int, int]:
    """How many names of parts and how many bars are not in both; without reading the notes."""
    said = (name.decode("utf-8", "replace") for name in _NAMES.findall(copy))
    names = Counter(plain_text(unescape(name)) for name in said)
    wanted = Counter(plain_text(part.full_name) for part in score.parts)
    bars = copy.count(b"<measure ") - sum(len(part.bars) for part in score.parts)
    return (names - wanted).total() + (wanted - names).total(), abs(bars)


def _alike(copy: Score, score: Score) -> float:
    """The share of bars that both have, of all bars in which something sounds, 0 to 1."""
    try:
        divisions = common_divisions((*copy.parts, *score.parts))
    except ValueError:
        return 0.0
    both = each = 0
    for a, b in paired_parts(copy, score):
        one, two = (_heard(score, place, divisions) for score, place in ((copy, a), (score, b)))
        both += 2 * (one & two).total()
        each += one.total() + two.total()
    return both / each if each else 0.0


def _heard(score: Score, part: int | None, divisions: int) -> Counter[Hashable]:
    """Bars of a part as they sound; none where there is no such part."""
    bars = contents(score.parts[part], divisions).bars if part is not None else ()
    return Counter(as_it_sounds(bar) for bar in bars if bar.notes)
