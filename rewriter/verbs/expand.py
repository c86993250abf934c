"""Expand a sketch into string parts."""

from __future__ import annotations

import hashlib
from functools import partial
from typing import TYPE_CHECKING, Literal, NamedTuple, get_args

import msgspec

from rewriter import __version__
from rewriter.foreign.opening import open_sketch
from rewriter.musicxml.heading import Origin
from rewriter.notating.score import SketchBelow, write_score
from rewriter.placing.cue import Wishes, most_lines, needs_other_staves, score_cue
from rewriter.placing.passages import plan_of
from rewriter.problems import Refused
from rewriter.reporting.summary import Left, report_of
from rewriter.rulefiles.loading import is_layout, load_ensemble, resolve_layout
from rewriter.rulefiles.words import Chords, Language, OutOfRange, RegisterSet
from rewriter.scores.score import read_score
from rewriter.sketch.in_every_key import Readings, Request
from rewriter.sketch.requests import Keep
from rewriter.theory.fifths import Direction
from rewriter.verbs.arguments import check_texts, check_truths, check_word, name_or_file
from rewriter.verbs.collector import collector_paused
from rewriter.verbs.scored import parts_and_findings

if TYPE_CHECKING:
    import os

    from lxml.etree import _Element, _ElementTree

    from rewriter.reporting.results import Report
    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.rulefiles.plans import Plan
    from rewriter.scores.score import Score


class Expansion(NamedTuple):
    """A score of string parts, and the account of how it was made.

    Attributes:
        score: MusicXML 4.0, partwise, UTF-8.
        report: where the stack was put and why, what was kept and dropped, what was found.
    """

    score: bytes
    report: Report


@collector_paused()
def expand(
    sketch: str | os.PathLike[str] | bytes | _Element | _ElementTree,
    layout: str | os.PathLike[str] = "",
    *,
    plan: str | os.PathLike[str] = "",
    ensemble: str | os.PathLike[str] = "symphonic",
    tune: str = "",
    key: str = "",
    by: str = "",
    direction: Direction = "nearest",
    chords: Literal["", "top", "divide"] = "",
    out_of_range: Literal["", "keep", "octave", "rest", "refuse"] = "",
    registers: Literal["", "singing", "measured"] = "",
    language: Literal["", "en", "it", "de", "fr"] = "",
    keep_sketch: bool = False,
    keep_lyrics: bool = False,
    keep_harmony: bool = False,
) -> Expansion:
    """Make string parts of a sketch: of a short score with the tune on one staff.

    One of `layout` and `plan` says who plays; without either, the sketch itself must, by
    stacks between square brackets above the tune.

    Args:
        sketch: a path, the bytes of a file, or an lxml tree, which is not changed. ABC,
            Humdrum, MEI and MIDI are read where music21 is installed.
        layout: name, file or stack, such as ``Vn I / Vn II + Vla / Vc``, for the whole cue.
        plan: name or file, for a cue in passages.
        ensemble: name or file.
        tune: which staff is the tune, such as ``Flute``, ``P2`` or ``P1 staff 2 voice 1``;
            empty to look.
        key: move the cue to this tonic, such as ``Bb`` or ``fis-Moll``.
        by: or move it by this interval, such as ``up m3``.
        direction: which way to go to the key.
        chords: what to do with chords in the tune; empty for what the layout says.
        out_of_range: what to do with notes out of range; empty for what the layout says.
        registers: by which set of registers stacks are placed: ``singing``, in which sections
            sing, or ``measured``, in which the repertory puts its tunes; empty for the
            ensemble's.
        language: of names and words in the parts: en, it, de or fr; empty for the ensemble's.
        keep_sketch: put the whole sketch under the strings.
        keep_lyrics: keep the lyrics, in the lines.
        keep_harmony: keep chord symbols, on the top part.

    Returns:
        The score as bytes, ready to be written to a ``.musicxml`` file, and the report: its
        passages, lines and findings as records.

    Raises:
        Refused: an argument, the sketch or a rule cannot be worked with; its text is one line,
            but one for each of the faults of a rule file.
    """
    check_texts(tune=tune, key=key, by=by)
    check_truths(keep_sketch=keep_sketch, keep_lyrics=keep_lyrics, keep_harmony=keep_harmony)
    _check_words(direction, chords, out_of_range, registers, language)
    if direction != "nearest" and not (key or by):
        raise Refused(
            f'"{direction}" says which way, but not where to',
            "name a key or an interval",
            file="direction",
        )
    forces = load_ensemble(name_or_file("ensemble", ensemble))
    wanted = _wanted(name_or_file("layout", layout), name_or_file("plan", plan), forces)
    opened = open_sketch(sketch)
    short_score = read_score(opened.source, lines=most_lines(wanted, forces))
    try:
        below = _below(short_score) if keep_sketch else SketchBelow()
        keep = Keep(keep_lyrics, keep_harmony, partial(is_layout, ensemble=forces))
        readings = Readings(short_score, Request(tune, keep, whole=needs_other_staves(wanted)))
        cue = score_cue(
            readings,
            wanted,
            forces,
            Wishes(key, by, direction, chords or None, out_of_range or None, registers or None),
        )
        tongue = language or forces.language
        parts, findings = parts_and_findings(cue, forces, tongue)
        score = write_score(
            short_score.header,
            cue.frame,
            parts,
            language=tongue,
            origin=_origin(short_score.digest, wanted),
            below=below,
        )
    except Refused as refusal:
        raise refusal.within(short_score.name) from None
    left = Left([] if below.parts else cue.not_carried, short_score.asides, opened.remarks)
    report = report_of(short_score.name, forces, wanted, cue, findings, left)
    return Expansion(score, report)


def _check_words(
    direction: str, chords: str, out_of_range: str, registers: str, language: str
) -> None:
    check_word("direction", direction, get_args(Direction), may_be_empty=False)
    check_word("chords", chords, get_args(Chords))
    check_word("out_of_range", out_of_range, get_args(OutOfRange))
    check_word("registers", registers, get_args(RegisterSet))
    check_word("language", language, get_args(Language))


def _below(short_score: Score) -> SketchBelow:
    from rewriter.notating.sketch_below import keep_below

    return keep_below(short_score)


def _wanted(layout: str, plan: str, forces: Ensemble) -> Plan | None:
    """The plan asked for: a file, one layout over the whole cue, or the sketch's words."""
    if layout and plan:
        raise Refused("a layout and a plan are both named", "name one of them")
    if plan:
        from rewriter.rulefiles.plan_files import load_plan

        return load_plan(plan, forces)
    if layout:
        return plan_of(resolve_layout(layout, forces))
    return None


def _origin(sketch_digest: str, plan: Plan | None) -> Origin:
    said = repr(plan and msgspec.structs.replace(plan, file=""))
    digest = hashlib.sha256(said.encode()).hexdigest()
    return Origin(f"rewriter {__version__}", sketch_digest, digest)
