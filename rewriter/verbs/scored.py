"""A scored cue as parts, and what is found in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.places import PartLines
from rewriter.checking.running import findings_of_cue
from rewriter.notating.score import part_ids
from rewriter.notating.section_parts import PassageLines, section_parts

if TYPE_CHECKING:
    from rewriter.notating.section_parts import SectionPart
    from rewriter.placing.cue import Cue
    from rewriter.problems import Finding
    from rewriter.rulefiles.ensembles import Ensemble


def parts_and_findings(
    cue: Cue, forces: Ensemble, language: str
) -> tuple[list[SectionPart], list[Finding]]:
    """The parts of a cue, and what is found in it.

    Args:
        cue: as it was scored.
        forces: who there is to play.
        language: of names and words in the parts.

    Raises:
        Refused: a passage lets no note be out of range, and one is.
    """
    parts = section_parts(
        forces,
        [PassageLines(one.layout, one.scored.lines) for one in cue.passages],
        cue.frame,
        language,
    )
    standing = [
        PartLines(name, part.section, part.lines)
        for name, part in zip(part_ids(parts), parts, strict=True)
    ]
    written = [fact for part in parts for fact in part.struck_again]
    return parts, findings_of_cue(cue, standing, written)
