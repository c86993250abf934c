"""Which file holds the part of which section."""

from __future__ import annotations

import re
from collections import defaultdict
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.comparing.things import plain_text
from rewriter.hearing.sections import sections_of
from rewriter.stands.part_heading import file_names, file_stem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.checking.part_files import PartFile, PartFiles
    from rewriter.hearing.sections import PartPlayers
    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.scores.score import Part
    from rewriter.stands.extraction import Part as MadePart

_NO_LETTERS: Final = re.compile(r"[\W_]+")


class Wanted(NamedTuple):
    """A part that somebody plays from.

    Attributes:
        made: as it would be made anew.
        part: its first part in the score.
        players: who plays it.
    """

    made: MadePart
    part: Part
    players: PartPlayers


class Matched(NamedTuple):
    """Files and what they hold.

    Attributes:
        files: of each part that is wanted; None where no file holds it.
        strays: files that hold none.
    """

    files: list[PartFile | None]
    strays: list[PartFile]


def matched(wanted: Sequence[Wanted], given: PartFiles, ensemble: Ensemble) -> Matched:
    """Match parts and files: by the name of the part, its section, then the file's name.

    Where several have the same, the file counts that is named as the part would be now, then
    their order. A file that holds several parts is no section's part; those that are named as
    the parts of another score would be are left aside.

    Args:
        wanted: the parts of the score.
        given: the files.
        ensemble: whose sections they are looked through for.
    """
    files = _of_this_score(wanted, given)
    single = {
        at: score
        for at, file in enumerate(files)
        if (score := file.score) and len(score.parts) == 1
    }
    parts = {at: score.parts[0] for at, score in single.items()}
    names = [one.made.file_name.lower() for one in wanted]
    named = {at: files[at].name.lower() for at in single}
    keys: list[tuple[Sequence[str], dict[int, str]]] = [
        (
            [_folded(one.part.full_name) for one in wanted],
            {at: _folded(part.full_name) for at, part in parts.items()},
        ),
        (
            [_section(one.players) for one in wanted],
            {at: _section(sections_of(score, ensemble)[0]) for at, score in single.items()},
        ),
        (
            [_folded(one.part.short_name) for one in wanted],
            {at: _folded(part.short_name) for at, part in parts.items()},
        ),
    ]
    found: dict[int, int] = {}
    for ours, theirs in keys:
        _pair(found, list(zip(ours, names, strict=True)), _both(theirs, named))
        _pair(found, [(said, "") for said in ours], {at: (theirs[at], "") for at in theirs})
    _pair_by_file_name(found, wanted, named)
    taken = set(found.values())
    return Matched(
        [files[found[at]] if at in found else None for at in range(len(wanted))],
        [file for at, file in enumerate(files) if at not in taken],
    )


def _of_this_score(wanted: Sequence[Wanted], given: PartFiles) -> list[PartFile]:
    """Files that may be the score's parts, where these are named as the tool names them."""
    files = [one for one in given.files if one.score]
    names = {one.made.file_name.lower() for one in wanted}
    if not any(one.name.lower() in names for one in files):
        return files
    plain = file_stem(file_names(given.stem, ["x"])[0], "x")
    return [one for one in files if _stem(one) in {"", plain}]


def _stem(file: PartFile) -> str:
    return file_stem(file.name, file.score.parts[0].name) if file.score else ""


def _both(theirs: dict[int, str], named: dict[int, str]) -> dict[int, tuple[str, str]]:
    return {at: (said, named[at]) for at, said in theirs.items()}


def _pair(
    found: dict[int, int],
    ours: Sequence[tuple[str, str]],
    theirs: dict[int, tuple[str, str]],
) -> None:
    """Pair, in order, those parts and files left that say the same and say anything."""
    waiting: dict[tuple[str, str], list[int]] = defaultdict(list)
    for at, said in theirs.items():
        if at not in found.values():
            waiting[said].append(at)
    for at, said in enumerate(ours):
        if said[0] and at not in found and waiting[said]:
            found[at] = waiting[said].pop(0)


def _pair_by_file_name(
    found: dict[int, int], wanted: Sequence[Wanted], named: dict[int, str]
) -> None:
    """Pair parts that are left with files in whose names theirs stand, the longest first."""
    names = sorted(
        (-len(name), at, name)
        for at, one in enumerate(wanted)
        if at not in found and (name := _words(one.made.name))
    )
    for _, at, name in names:
        for other, file_name in named.items():
            said = _words(file_name.rpartition(".")[0])
            if other not in found.values() and f" {name} " in f" {said} ":
                found[at] = other
                break


def _section(players: PartPlayers) -> str:
    if not players.sections or players.known_by == "order":
        return ""
    return " ".join([*(section.key for section in players.sections), players.share])


def _folded(text: str) -> str:
    return plain_text(text).casefold()


def _words(text: str) -> str:
    return _NO_LETTERS.sub(" ", text.casefold()).strip()
