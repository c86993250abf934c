"""Main tunes carried by strings, out of orchestral scores: where composers put them.

Source: *OpenScore Orchestra* and *Hauptstimme* annotations (repository MarkGotham/Hauptstimme;
scores CC0 1.0, annotations CC BY-SA). The tunes are no part of this project; what is measured
on them is, with the source named.
"""

import json
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import NamedTuple

from rewriter.placing.fitness import Heard
from rewriter.rulefiles.ensemble_files import load_ensemble
from rewriter.rulefiles.ensembles import Ensemble
from rewriter.rulefiles.stack import parse_stack
from rewriter.rulefiles.stack_lines import Stack
from rewriter.theory.dynamics import Strength

TUNES = Path(__file__).parents[3] / "shared" / "data" / "tunes" / "tunes.jsonl"
SOURCE = (
    "1,309 main tunes of Beethoven's nine symphonies, Bruckner 5 and Schubert 5, from "
    "OpenScore Orchestra and the Hauptstimme annotations (github.com/MarkGotham/Hauptstimme, "
    "snapshot 8f67785; scores CC0 1.0, annotations CC BY-SA)"
)

UNIT = 96
"""Divisions of a quarter, so that lengths are whole numbers."""


class Tune(NamedTuple):
    """A tune.

    Attributes:
        composer: surname.
        strength: where it begins; plain where the source has no dynamic yet.
        notes: length in divisions and sounding MIDI number, as the marked section has it.
        lines: every section that plays it, and its octave from the marked section.
    """

    composer: str
    strength: Strength
    notes: tuple[tuple[int, int], ...]
    lines: dict[str, int]

    @property
    def top(self) -> int:
        """Octave of the composer's top line."""
        return max(self.lines.values())

    def heard(self, octaves: int = 0) -> Heard:
        """The tune some octaves off, under its dynamic."""
        lengths: dict[float, int] = {}
        counts: dict[float, int] = {}
        for length, midi in self.notes:
            pitch = midi + 12 * octaves
            lengths[pitch] = lengths.get(pitch, 0) + length
            counts[pitch] = counts.get(pitch, 0) + 1
        return Heard({self.strength: lengths}, counts)

    def stack(self) -> Stack:
        """The composer's own stack, without octave words."""
        levels: dict[int, list[str]] = {}
        for section, octave in self.lines.items():
            levels.setdefault(self.top - octave, []).append(section)
        said, above = "", 0
        for depth in sorted(levels):
            said += f" {'/' * (depth - above)} " if said else ""
            said += " + ".join(sorted(levels[depth]))
            above = depth
        return _stack(said)


@cache
def strings() -> Ensemble:
    """The ensemble whose ranges hold."""
    return load_ensemble("symphonic")


@cache
def _stack(text: str) -> Stack:
    return parse_stack(text, strings())


def read_tunes(path: Path = TUNES) -> list[Tune]:
    """All tunes of the file."""
    rows = map(json.loads, path.read_text(encoding="utf-8").splitlines())
    return [
        Tune(
            row["movement"].partition("_")[0],
            row["strength"] or "plain",
            tuple((round(length * UNIT), midi) for length, midi in row["notes"]),
            row["lines"],
        )
        for row in rows
    ]


def composers(tunes: Sequence[Tune]) -> list[str]:
    """Whose tunes they are."""
    return sorted({tune.composer for tune in tunes})
