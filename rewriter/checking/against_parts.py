"""A score held against its parts: files amiss, and runs of bars in which they differ."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from rewriter.checking.part_contents import OF_THE_NOTES, part_compared
from rewriter.checking.part_matching import Wanted, matched
from rewriter.scores.score import read_score
from rewriter.stands.copying import copies
from rewriter.stands.extraction import extract_parts
from rewriter.stands.two_staves import parts_of_sections

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.checking.part_files import PartFile, PartFiles
    from rewriter.comparing.comparison import Comparison
    from rewriter.comparing.difference import Difference

_TACET = b">TACET</words>"


class FileAmiss(NamedTuple):
    """A part without a file, or a file that is no part.

    Attributes:
        part: index of the score's part; None where it is about a file.
        file: its name; empty where there is none.
        fault: why the file cannot be read; empty where it can.
        where: the folder, for people; may be empty.
    """

    part: int | None
    file: str
    fault: str
    where: str


class PartDiffers(NamedTuple):
    """A run of bars in which a part and the score do not say the same.

    Attributes:
        part: index of the score's part.
        file: that holds the part on the stand.
        of_notes: it is about notes, else about marks.
        differences: in order; `a` is the score, and all of one kind where that is gone.
        gone: the part has nothing of this kind anywhere.
        bar: index of the first bar in the score.
        time: divisions from the start of the piece.
        last: index of the last bar.
    """

    part: int
    file: str
    of_notes: bool
    differences: tuple[Difference, ...]
    gone: bool
    bar: int
    time: int
    last: int


def part_faults(score: Finished, given: PartFiles) -> list[FileAmiss | PartDiffers]:
    """What is amiss with the parts of a score.

    Args:
        score: as it was read.
        given: the parts on the stands.

    Raises:
        Refused: no parts can be made of the score.
    """
    wanted, groups = _wanted(score, given.stem)
    found = matched(wanted, given, score.ensemble)
    faults: list[FileAmiss | PartDiffers] = [
        FileAmiss(None, one.name, one.fault, given.where)
        for one in given.files
        if one.score is None
    ]
    faults += [FileAmiss(None, one.name, "", given.where) for one in found.strays]
    unread = {one.name.lower() for one in given.files if one.score is None}
    cued_by = {
        name for part in score.score.parts for name in (part.short_name, part.name) if name
    }
    for one, file, parts in zip(wanted, found.files, groups, strict=True):
        if file is None:
            if not one.made.tacet and one.made.file_name.lower() not in unread:
                faults.append(FileAmiss(parts[0], "", "", given.where))
        else:
            faults += _differing(score, one, file, parts, cued_by)
    return faults


def _wanted(score: Finished, stem: str) -> tuple[list[Wanted], list[list[int]]]:
    """The parts as they would be made now, and which parts of the score each is made of."""
    read = score.score
    places = {id(part): place for place, part in enumerate(read.parts)}
    sections = parts_of_sections(read, copies(read))
    groups = [[places[id(part.of)] for part in each] for each in sections]
    made = extract_parts(read, stem, cue_notes=0, tacet=True)
    wanted = [
        Wanted(one, read.parts[parts[0]], score.players[parts[0]])
        for one, parts in zip(made, groups, strict=True)
    ]
    return wanted, groups


def _differing(
    score: Finished, wanted: Wanted, file: PartFile, parts: Sequence[int], cued_by: set[str]
) -> Iterator[PartDiffers]:
    if file.score is None:
        return
    octaves = any(section.written_octave for section in wanted.players.sections)
    found = part_compared(read_score(wanted.made.data), file.score, cued_by, octaves=octaves)
    of_notes_alone = wanted.made.tacet and _TACET not in file.score.parts[0].bars[0]
    telling = _Telling(score, file.name, parts, found)
    for fact in telling.facts():
        if fact.of_notes or not of_notes_alone:
            yield fact


class _Telling:
    """What was found between a part and the score, as facts in the score's bars."""

    def __init__(
        self, score: Finished, file: str, parts: Sequence[int], found: Comparison
    ) -> None:
        self._score, self._file, self._parts, self._found = score, file, parts, found
        self._of_b = {b: a for a, b in found.bars.items()}

    def facts(self) -> Iterator[PartDiffers]:
        """Runs of bars, notes first, then kinds that are gone."""
        single = [
            one for gone in self._found.gone if len(gone.things) == 1 for one in gone.things
        ]
        every = sorted((*self._found.differences, *single), key=self._place)
        for of_notes in (True, False):
            these = [one for one in every if (one.kind in OF_THE_NOTES) == of_notes]
            for run in self._runs(these):
                yield self._fact(run, of_notes=of_notes)
        for gone in self._found.gone:
            if len(gone.things) > 1:
                yield self._fact(gone.things, of_notes=gone.kind in OF_THE_NOTES, gone=True)

    def _fact(
        self, run: Sequence[Difference], *, of_notes: bool, gone: bool = False
    ) -> PartDiffers:
        first = run[0]
        bar, time = self._place(first)
        thing = first.a or first.b
        lower = thing is not None and thing.staff == "2" and len(self._parts) > 1
        return PartDiffers(
            self._parts[-1 if lower else 0],
            self._file,
            of_notes,
            tuple(run),
            gone,
            bar,
            time,
            self._place(run[-1])[0],
        )

    def _runs(self, differences: Iterable[Difference]) -> Iterator[list[Difference]]:
        """Those in bars that follow each other."""
        run: list[Difference] = []
        for bar, those in groupby(differences, key=lambda one: self._place(one)[0]):
            if run and bar > self._place(run[-1])[0] + 1:
                yield run
                run = []
            run = [*run, *those]
        if run:
            yield run

    def _place(self, one: Difference) -> tuple[int, int]:
        """Index of a bar in the score, and divisions from the start of the piece."""
        at = one.at
        starts = self._score.reading.timeline.starts
        bar = max(at.bar, 0)
        if one.a is None:
            known = [b for b in self._of_b if b <= bar]
            bar = self._of_b[max(known)] if known else 0
        bar = min(bar, max(len(starts) - 2, 0))
        onset = at.onset * self._score.reading.divisions // self._found.divisions
        return bar, starts[bar] + onset
