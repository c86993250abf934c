"""Expand a short score into string parts."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Literal, NamedTuple

from rewriter import __version__
from rewriter.musicxml.opening import open_score
from rewriter.notating.header import Origin
from rewriter.notating.score import SketchBelow, write_score
from rewriter.notating.section_parts import PassageLines, section_parts
from rewriter.notating.sketch_below import keep_below
from rewriter.placing.lines import Stretch
from rewriter.placing.scoring import place_stretch, score_stretch
from rewriter.problems import Refused
from rewriter.reporting.results import PlacedStack, Report
from rewriter.reporting.summary import line_result
from rewriter.rulefiles.ensemble_files import load_ensemble
from rewriter.rulefiles.loading import resolve_layout
from rewriter.sketch.describing import Describer
from rewriter.sketch.listening import Heard
from rewriter.sketch.reading import Keep
from rewriter.sketch.short_score import read_sketch

if TYPE_CHECKING:
    import os

    from lxml.etree import _Element, _ElementTree

    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.rulefiles.layouts import Layout
    from rewriter.rulefiles.words import OutOfRange
    from rewriter.sketch.short_score import Sketch


class Expansion(NamedTuple):
    """A score of string parts, and the account of how it was made.

    Attributes:
        score: MusicXML 4.0, partwise, UTF-8.
        report: where the stack was put and why, what was carried, what was found.
    """

    score: bytes
    report: Report


def expand(
    sketch: str | os.PathLike[str] | bytes | _Element | _ElementTree,
    layout: str,
    *,
    ensemble: str = "symphonic",
    tune: str = "",
    chords: Literal["", "top", "divide"] = "",
    out_of_range: Literal["", "keep", "octave", "rest", "refuse"] = "",
    language: str = "",
    keep_sketch: bool = False,
    keep_lyrics: bool = False,
    keep_harmony: bool = False,
) -> Expansion:
    """Make string parts of a short score, by one layout over the whole of it.

    Args:
        sketch: a path, the bytes of a file, or an lxml tree, which is not changed.
        layout: name, file or stack, such as ``Vn I / Vn II + Vla / Vc``.
        ensemble: name or file.
        tune: which staff is the tune, such as ``Flute``, ``P2`` or ``P1 staff 2 voice 1``;
            empty to look.
        chords: what to do with chords in the tune; empty for what the layout says.
        out_of_range: what to do with notes out of range; empty for what the layout says.
        language: of names and words in the parts: en, it, de or fr; empty for the ensemble's.
        keep_sketch: put the whole short score under the strings.
        keep_lyrics: carry lyrics into the lines.
        keep_harmony: carry chord symbols, on the top part.

    Raises:
        Refused: the sketch or a rule cannot be worked with; its text is one line.
    """
    forces = load_ensemble(ensemble)
    rule = resolve_layout(layout, forces)
    opened = open_score(sketch)
    try:
        below = keep_below(opened.root) if keep_sketch else SketchBelow()
        read = read_sketch(
            opened.root,
            tune=tune,
            chords=chords or rule.chords,
            keep=Keep(lyrics=keep_lyrics, harmony=keep_harmony),
        )
        return _expanded(
            read,
            rule,
            forces,
            policy=out_of_range or rule.limits.out_of_range,
            language=language or forces.language,
            name=opened.name,
            origin=_origin(opened.data_digest, repr(rule)),
            below=below,
        )
    except Refused as refusal:
        raise refusal.within(opened.name) from None


def _expanded(
    read: Sketch,
    rule: Layout,
    forces: Ensemble,
    *,
    policy: OutOfRange,
    language: str,
    name: str,
    origin: Origin,
    below: SketchBelow,
) -> Expansion:
    voice, frame = read.tune, read.frame
    namer = Describer(voice, frame)
    stretch = Stretch(
        Heard(voice), (0, 0), (len(frame.bars), 0), voice.soundings, namer.describe
    )
    placement = place_stretch(rule.stack, forces, [stretch])
    scored = score_stretch(
        rule, placement, forces, stretch, policy=policy, accompany=lambda _: []
    )
    parts = section_parts(forces, [PassageLines(rule, scored.lines)], frame, language)
    score = write_score(read.root, frame, parts, language=language, origin=origin, below=below)
    bars = f"{frame.bars[0].number}-{frame.bars[-1].number}"
    in_order = {section.key: place for place, section in enumerate(forces.sections)}
    lines = sorted(scored.lines, key=lambda line: in_order[line.section.key])
    report = Report(
        sketch=name,
        tune=read.why,
        ensemble=forces.title,
        bars=len(frame.bars),
        placed=[
            PlacedStack(
                bars=bars,
                layout=rule.title,
                stack=rule.stack.written(placement.top_octave),
                anchored=rule.stack.top_octave is not None,
                why=placement.why,
                runner_up=placement.runner_up,
            )
        ],
        lines=[line_result(line, frame, voice.name, bars, namer.name) for line in lines],
        resting=[s.key for s in forces.sections if all(x.section is not s for x in lines)],
        carried=read.carried,
        dropped=read.dropped,
        not_carried=[] if below.parts else read.not_carried,
        notes=read.notes,
        findings=[*read.findings, *scored.findings],
    )
    return Expansion(score, report)


def _origin(sketch_digest: str, rule: str) -> Origin:
    digest = hashlib.sha256(rule.encode()).hexdigest()
    return Origin(f"rewriter {__version__}", sketch_digest, digest)
