"""A short score read whole: the frame all parts share, the tune, and what is not carried."""

from __future__ import annotations

import re
from collections import Counter
from fractions import Fraction
from functools import partial
from math import lcm
from typing import TYPE_CHECKING, Final, NamedTuple

from lxml import etree

from rewriter.musicxml.note_reading import POSITIONS, FractionalDuration
from rewriter.problems import Finding, Refused
from rewriter.sketch.chords import Chords, gather
from rewriter.sketch.frames import UNISON
from rewriter.sketch.model import Frame, Note, Sign, Voice
from rewriter.sketch.others import OtherPart
from rewriter.sketch.raw import Keep, RawBar
from rewriter.sketch.reading import PartReader
from rewriter.sketch.signatures import divisions_of
from rewriter.sketch.tune import Tune, choose_tune, parts_of
from rewriter.sketch.voices import build_voice

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lxml.etree import _Element as Element

    from rewriter.sketch.tune import SketchPart
    from rewriter.theory.fifths import Interval

_COUNTED: Final = {
    "default-x": "positions on the page",
    "color": "colours",
    "id": "element ids",
}
_COUNTERS: Final = {
    "stems": etree.XPath("count(measure/note/stem)"),
    **{kind: etree.XPath(f"count(descendant::*/@{name})") for name, kind in _COUNTED.items()},
}
_DIVISIONS: Final = etree.XPath("(self::part | part)/measure/attributes/divisions")
_BEAT_TYPES: Final = etree.XPath("(self::part | part)/measure/attributes/time//beat-type")
_TOPICS: Final = re.compile(
    rb"<(?:metronome|rehearsal|segno|coda|words)\b"
    rb"| (?:tempo|dacapo|dalsegno|segno|coda|tocoda|fine)="
)
_FINEST: Final = 16383
"""Divisions per quarter; MIDI files hold no more (W3C MusicXML 4.0, <divisions>)."""


class Sketch(NamedTuple):
    """A short score, ready to be given to sections.

    Attributes:
        root: the score; its header is for the new score to use.
        frame: bars, barlines, keys, metres.
        tune: the tune.
        why: which staff was taken and why.
        carried: kind → count, of the tune.
        dropped: kind → count.
        not_carried: staves and voices that nothing plays.
        notes: other things worth saying.
        findings: what had to be mended while reading.
        layouts: stacks written above the tune between square brackets, by moment.
        place: (part id, staff, voice) of the tune.
    """

    root: Element
    frame: Frame
    tune: Voice
    why: str
    carried: dict[str, int]
    dropped: dict[str, int]
    not_carried: list[str]
    notes: list[str]
    findings: list[Finding]
    layouts: list[tuple[tuple[int, int], str]]
    place: tuple[str, str, str]


def read_sketch(
    root: Element,
    *,
    tune: str = "",
    by: Interval = UNISON,
    chords: Chords = "top",
    keep: Keep | None = None,
    whole: bool = False,
) -> Sketch:
    """Read a short score.

    Args:
        root: ``<score-partwise>``; it is changed, so it must be nobody else's.
        tune: which staff is the tune, as the user says it; empty to look.
        by: interval to transpose by, on top of what makes the part sound.
        chords: what to do with chords in the tune.
        keep: what to carry that is dropped otherwise.
        whole: other staves will be read too, so the divisions must hold for all of them.

    Raises:
        Refused: there is no tune, or something in it cannot be; the place is named.
    """
    parts = parts_of(root)
    chosen = choose_tune(parts, tune)
    part = chosen.part
    dropped = Counter(forget_positions(part.element))
    if by != UNISON:
        _state_a_key(part.element)
    try:
        scope = root if whole else part.element
        reader, divisions = _read_part(chosen, scope, by, keep or Keep())
        others = [OtherPart(p.element, divisions) for p in parts if p is not part]
        _settle_lengths(reader.bars, others, divisions)
        _add_signs_of_others(reader, others)
        built = build_voice(
            part.name,
            reader.bars,
            divisions,
            partial(gather, chords=chords),
            of_strings=reader.of_strings,
        )
    except Refused as refusal:
        refusal.place = ", ".join(filter(None, (part.name or part.id, refusal.place)))
        raise
    if not built.voice.soundings:
        raise Refused(
            f"there is no note in {chosen.why.partition(':')[0]}", "choose another with --tune"
        )
    frame = Frame([raw.frame for raw in reader.bars], divisions)
    carried, more_dropped = counts_of(reader)
    dropped.update(more_dropped)
    carried = dict(Counter(carried) - built.merged - built.dropped)
    dropped.update(built.dropped)
    notes = _notes(built.chords, chords)
    return Sketch(
        root, frame, built.voice, chosen.why, carried, dict(sorted(dropped.items())),
        _not_carried(reader, parts, chosen), notes, built.findings,
        reader.layouts, (part.id, chosen.wanted.staff, chosen.wanted.voice or "1"),
    )  # fmt: skip


def forget_positions(part: Element) -> dict[str, int]:
    """Strip what only says where a sign stood on the old page; kind → count.

    Stems go at once with it, since notes that differ in nothing else are then the same.
    """
    counts = {kind: int(float(str(count(part)))) for kind, count in _COUNTERS.items()}
    number = str(part.get("id", ""))
    etree.strip_attributes(part, *POSITIONS, "color", "id")
    etree.strip_elements(part, "stem", with_tail=False)
    part.set("id", number)
    return {kind: count for kind, count in counts.items() if count > 0}


def _state_a_key(part: Element) -> None:
    """A part without any key is in C as programs read it; in another key it must say so."""
    first = next(part.iterchildren("measure"), None)
    if first is None or next(part.iter("key"), None) is not None:
        return
    attributes = first.find("attributes")
    if attributes is None:
        attributes = etree.Element("attributes")
        first.insert(0, attributes)
    key = etree.SubElement(attributes, "key")
    etree.SubElement(key, "fifths").text = "0"
    behind = attributes.find("divisions")
    attributes.insert(0 if behind is None else attributes.index(behind) + 1, key)


def _read_part(
    chosen: Tune, scope: Element, by: Interval, keep: Keep
) -> tuple[PartReader, int]:
    """The part read in one number of divisions, the fewest that hold all lengths in scope."""
    element = chosen.part.element
    divisions = lcm(
        *(divisions_of(e).numerator for e in _found(_DIVISIONS, scope)),
        *(_unit(e.text) for e in _found(_BEAT_TYPES, scope)),
    )
    while True:
        try:
            reader = PartReader(element, chosen.wanted, divisions=divisions, by=by, keep=keep)
            return reader.read(), divisions
        except FractionalDuration as more:
            divisions *= more.denominator
            if divisions > _FINEST**2:
                raise Refused(
                    "its durations have no common division", "export the sketch again"
                ) from None


def _found(path: etree.XPath, part: Element) -> list[Element]:
    elements: list[Element] = path(part)
    return elements


def _unit(beat_type: str | None) -> int:
    """Divisions per quarter that a beat of this type needs."""
    text = (beat_type or "").strip()
    return Fraction(int(text), 4).numerator if text.isdecimal() and int(text) else 1


def _settle_lengths(
    bars: Sequence[RawBar], others: Sequence[OtherPart], divisions: int
) -> None:
    """How long each bar is: as long as its music, or as its metre says where it has none."""
    before = None
    for index, raw in enumerate(bars):
        frame = raw.frame
        full = int(frame.metre.length * divisions)
        length = raw.end
        if length < full:
            length = max([length, *(min(o.bar_length(index), full) for o in others)])
        frame.length = length or full or divisions
        if frame.implicit and frame.length < full:
            frame.lacking = full - frame.length
            if before and before.length < full and before.lacking + before.length < full:
                frame.lacking = min(frame.lacking, before.lacking + before.length)
        before = frame


def _add_signs_of_others(reader: PartReader, others: Sequence[OtherPart]) -> None:
    """Tempo and rehearsal marks that only another part of the sketch has."""
    for other in others:
        for index, sign in other.signs():
            if index >= len(reader.bars):
                continue
            raw = reader.bars[index]
            if not _is_said(sign, raw.items):
                raw.items.append(sign)
                reader.bars[index] = raw._replace(sorted=False)
    for raw in reader.bars:
        raw.frame.signs = [
            item for item in raw.items if isinstance(item, Sign) and item.scope != "line"
        ]


def _is_said(sign: Sign, items: Sequence[Note | Sign]) -> bool:
    """True when the tune's own signs at that moment already say what another part's says."""
    said: set[bytes] = set()
    for item in items:
        if isinstance(item, Sign) and item.scope != "line" and item.onset == sign.onset:
            said |= _topics(item)
    return _topics(sign) <= said


def _topics(sign: Sign) -> set[bytes]:
    """What a sign for everybody is about: the tempo, a rehearsal mark, each kind of jump."""
    topics = {found.strip(b" <=") for found in _TOPICS.findall(sign.piece)}
    if b"metronome" in topics or (topics == {b"words"}):
        topics = topics - {b"metronome", b"words"} | {b"tempo"}
    elif len(topics) > 1:
        topics.discard(b"words")
    return topics or {sign.piece}


def counts_of(reader: PartReader) -> tuple[dict[str, int], Counter[str]]:
    """What of a voice is carried and what is left behind, kind → count."""
    carried: Counter[str] = Counter(reader.carried)
    dropped: Counter[str] = Counter(reader.dropped)
    for shape in reader.shapes:
        if shape.count:
            for kind in shape.carried:
                carried[kind] += shape.count
            for kind in shape.dropped:
                dropped[kind] += shape.count
    return dict(sorted(carried.items())), dropped


def _notes(chord_count: int, chords: Chords) -> list[str]:
    if not chord_count:
        return []
    said = "their top notes are played" if chords == "top" else "each is divided in the section"
    plural = "s" if chord_count > 1 else ""
    return [f"{chord_count} chord{plural} in the tune: {said}"]


def _not_carried(reader: PartReader, parts: Sequence[SketchPart], chosen: Tune) -> list[str]:
    said = [
        f"{chosen.part.said}, staff {staff}, voice {voice}: {count} notes"
        for (staff, voice), count in sorted(reader.others.items())
    ]
    for part in parts:
        if part is not chosen.part:
            staves = f", {part.staves} staves" if part.staves > 1 else ""
            said.append(f"{part.said}{staves}")
    return said
