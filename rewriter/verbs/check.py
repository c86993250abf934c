"""Look at a finished score as the house wants it."""

from __future__ import annotations

from os import PathLike
from typing import TYPE_CHECKING

from rewriter.checking.finished import Finished
from rewriter.checking.house import House, load_house
from rewriter.checking.known import Remembering, counted, not_known
from rewriter.checking.looking import findings_in_score
from rewriter.checking.told_tune import ToldTune, tune_of_sketch
from rewriter.problems import Refused
from rewriter.reporting.checked import checked_of
from rewriter.rulefiles.loading import load_ensemble
from rewriter.scores.events import NoCommonDivision
from rewriter.scores.score import read_score
from rewriter.verbs.arguments import check_texts, name_or_file
from rewriter.verbs.collector import collector_paused

if TYPE_CHECKING:
    import os
    from collections.abc import Mapping, Sequence

    from lxml.etree import _Element, _ElementTree

    from rewriter.checking.part_files import PartFiles
    from rewriter.reporting.checked import Checked
    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.scores.score import Score


@collector_paused()
def check(
    score: str | os.PathLike[str] | bytes | _Element | _ElementTree,
    *,
    house: str | os.PathLike[str] = "",
    ensemble: str | os.PathLike[str] = "",
    sections: Sequence[str] = (),
    sketch: str | os.PathLike[str] | bytes | _Element | _ElementTree | None = None,
    tune: str = "",
    known: Mapping[str, int] | None = None,
    parts: str | os.PathLike[str] | Sequence[str | os.PathLike[str] | bytes] | None = None,
) -> Checked:
    """Look at a finished score, whoever made it, and say what is not as the house wants it.

    Args:
        score: a path, the bytes of a file, or an lxml tree, which is not changed.
        house: name or file; empty for every rule as it is by default.
        ensemble: name or file; empty for the house's, and where it names none, ``symphonic``.
        sections: which part is which section where the score does not make it plain, such as
            ``P3=Vla``.
        sketch: a path, the bytes of a file, or an lxml tree: of the short score whose tune
            the score has. It is looked for in all voices, also in other keys.
        tune: or the part that has the tune, such as ``Vn I``, ``P3``, ``P1 staff 2 voice 1``.
            Without either, rules about the tune are not asked.
        known: findings that are not to be told again, as :attr:`Checked.signs` of an earlier
            run has them; those of which there are more or fewer now are told.
        parts: the parts on the stands, to be held against the score: a folder, or files as
            paths or bytes.

    Returns:
        Findings bar by bar, and which part was taken for which section.

    Raises:
        Refused: the score, the sketch or a rule file cannot be read, no part is called what
            the tune is, or no part is in the folder; its text is one line.
    """
    check_texts(tune=tune, **{f"sections[{at}]": one for at, one in enumerate(sections)})
    told = tune_told(sketch, tune)
    wanted, forces = house_and_ensemble(house, ensemble)
    read = read_score(score)
    files = None if parts is None else _part_files(parts, score, read)
    try:
        finished = Finished(read, forces, sections, told, files)
        findings = findings_in_score(finished, wanted)
        remembering = Remembering(finished)
        signs = [remembering.sign(one) for one in findings]
        new = findings if known is None else not_known(findings, signs, known)
        return checked_of(finished, new, known=len(findings) - len(new), signs=counted(signs))
    except NoCommonDivision:
        raise Refused(
            "the lengths of its notes have no common division",
            "look at its <divisions>",
            file=read.name,
        ) from None
    except Refused as refusal:
        raise refusal.within(read.name) from None


def _part_files(
    parts: str | os.PathLike[str] | Sequence[str | os.PathLike[str] | bytes],
    score: str | os.PathLike[str] | bytes | _Element | _ElementTree,
    read: Score,
) -> PartFiles:
    from pathlib import Path

    from rewriter.checking.part_files import read_part_files
    from rewriter.verbs.parts import stem_of_parts

    path = Path(score) if isinstance(score, (str, PathLike)) else None
    return read_part_files(parts, stem_of_parts(score, read), path)


def tune_told(
    sketch: str | os.PathLike[str] | bytes | _Element | _ElementTree | None, tune: str
) -> ToldTune | None:
    """What is told of the tune; None for nothing.

    Args:
        sketch: whose tune it is.
        tune: or the part that has it.

    Raises:
        Refused: both are named, or the sketch cannot be read.
    """
    if sketch is None:
        return ToldTune(tune, tune) if tune else None
    if tune:
        raise Refused("a sketch and a part are both named for the tune", "name one of them")
    from rewriter.foreign.opening import open_sketch

    return tune_of_sketch(open_sketch(sketch).source)


def house_and_ensemble(
    house: str | os.PathLike[str], ensemble: str | os.PathLike[str]
) -> tuple[House, Ensemble]:
    """The house that is asked for, and whose sections are meant.

    Args:
        house: name or file; empty for every rule as it is by default.
        ensemble: name or file; empty for the house's.

    Raises:
        Refused: one of them cannot be read.
    """
    named = load_ensemble(name_or_file("ensemble", ensemble)) if ensemble else None
    wanted = load_house(name_or_file("house", house), named) if house else House()
    return wanted, named or wanted.ensemble or load_ensemble("symphonic")
