"""A short score read whole: the frame all parts share, the tune, and what is not carried."""

from __future__ import annotations

from collections import Counter
from functools import partial
from math import ceil
from typing import TYPE_CHECKING, NamedTuple

from rewriter.problems import Refused
from rewriter.scores.movements import movement_starts
from rewriter.scores.naming import said_part
from rewriter.sketch.chords import gather
from rewriter.sketch.faults import VoicePlace
from rewriter.sketch.frame import Frame
from rewriter.sketch.frame_reading import UNISON
from rewriter.sketch.model import Sign, Voice
from rewriter.sketch.others import OtherPart, add_signs_of_others
from rewriter.sketch.pauses import hold
from rewriter.sketch.reading import PartReader
from rewriter.sketch.requests import Keep, RawBar
from rewriter.sketch.rests import HAIR_QUARTERS
from rewriter.sketch.voices import build_voice

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.rulefiles.words import Chords
    from rewriter.scores.score import Part
    from rewriter.sketch.chords import SettledChord
    from rewriter.sketch.faults import Fault
    from rewriter.sketch.music import SketchMusic
    from rewriter.sketch.tempo_marks import EitherWords
    from rewriter.sketch.tune import Tune
    from rewriter.theory.fifths import Interval
    from rewriter.theory.time import Moment


class Sketch(NamedTuple):
    """A short score, ready to be given to sections.

    Attributes:
        frame: bars, barlines, keys, metres.
        tune: the tune.
        why: which staff was taken and why.
        carried: kind → count, of the tune; chords and open ends not looked at.
        dropped: kind → count, likewise.
        not_carried: staves and voices that nothing plays.
        chords: of the tune, as they were settled.
        faults: what had to be mended while reading.
        layouts: stacks written above the tune between square brackets, by moment.
        place: of the tune.
        either: words that may be tempo or expression, of all parts, each with the name of its
            part; without one in the tune's.
    """

    frame: Frame
    tune: Voice
    why: str
    carried: dict[str, int]
    dropped: dict[str, int]
    not_carried: list[str]
    chords: list[SettledChord]
    faults: list[Fault]
    layouts: list[tuple[Moment, str]]
    place: VoicePlace
    either: list[tuple[str, EitherWords]]


def read_sketch(
    music: SketchMusic,
    tune: Tune,
    *,
    by: Interval = UNISON,
    chords: Chords = "top",
    keep: Keep | None = None,
) -> Sketch:
    """Read a short score.

    Args:
        music: what happens in its parts.
        tune: which voice is the tune.
        by: interval to transpose by, on top of what makes the part sound.
        chords: what to do with chords in the tune.
        keep: what to carry that is dropped otherwise.

    Raises:
        Refused: something in the tune cannot be; the place is named.
    """
    part = tune.part
    dropped = music.left_on_the_page(part)
    try:
        reader = PartReader(music.of(part), tune.wanted, by=by, keep=keep or Keep()).read()
        others = [
            OtherPart(other, music.divisions, music.marks_of(other))
            for other in music.score.parts
            if other is not part
        ]
        _settle_lengths(reader.bars, others, music.divisions)
        of_others = add_signs_of_others(reader.bars, others)
        said = {fault[:3]: fault for fault in (*reversed(of_others), *reader.faults)}
        reader.faults += [one for one in of_others if said[one[:3]] is one]
        for raw in [raw for raw in reader.bars if raw.signs]:
            raw.frame.signs = [
                item for item in raw.items if isinstance(item, Sign) and item.scope != "line"
            ]
        for index, pauses in music.pauses.items():
            if index < len(reader.bars):
                hold(reader.bars[index].frame, pauses)
        built = build_voice(
            part.full_name,
            reader.bars,
            music.divisions,
            partial(gather, chords=chords),
            of_strings=reader.of_strings,
            has_techniques=reader.has_techniques,
        )
    except Refused as refusal:
        raise placed_in(part, refusal) from None
    if not built.voice.soundings:
        raise Refused(
            f"there is no note in {tune.why.partition(':')[0]}", "choose another with --tune"
        )
    frame = Frame(
        [raw.frame for raw in reader.bars],
        music.divisions,
        movement_starts(music.score.parts[0]),
    )
    carried, more_dropped = counts_of(reader)
    carried = dict(sorted((Counter(carried) + Counter(reader.shared)).items()))
    dropped.update(more_dropped)
    return Sketch(
        frame, built.voice, tune.why, carried, dict(sorted(dropped.items())),
        _not_carried(reader, music.score.parts, tune), built.chords,
        [*built.faults, *reader.faults],
        reader.layouts, VoicePlace(part.id, tune.wanted.staff, tune.wanted.voice or "1"),
        list(_either_words(music, part)),
    )  # fmt: skip


def placed_in(part: Part, refusal: Refused) -> Refused:
    """A refusal with its part named."""
    refusal.place = ", ".join(filter(None, (part.full_name or part.id, refusal.place)))
    return refusal


def _settle_lengths(
    bars: Sequence[RawBar], others: Sequence[OtherPart], divisions: int
) -> None:
    """How long each bar is: as long as its music, or as its metre says where it has none."""
    metres = {id(raw.frame.metre): raw.frame.metre for raw in bars}
    lengths = {at: int(metre.length * divisions) for at, metre in metres.items()}
    full = [lengths[id(raw.frame.metre)] for raw in bars]
    short = {index for index, raw in enumerate(bars) if raw.end < full[index]}
    elsewhere = [other.bar_lengths(short) for other in others if short]
    countable = ceil(HAIR_QUARTERS * divisions)
    before = None
    for index, (raw, whole) in enumerate(zip(bars, full, strict=True)):
        frame = raw.frame
        length = raw.end
        if length < whole:
            length = max([length, *(min(found.get(index, 0), whole) for found in elsewhere)])
        frame.length = length or whole or divisions
        frame.short = whole - frame.length >= countable
        if frame.implicit and frame.short:
            frame.lacking = whole - frame.length
            if before and before.length < whole and before.lacking + before.length < whole:
                frame.lacking = min(frame.lacking, before.lacking + before.length)
        before = frame


def counts_of(reader: PartReader) -> tuple[dict[str, int], Counter[str]]:
    """What of a voice alone is carried and what is left behind, kind → count."""
    carried: Counter[str] = Counter(reader.carried)
    dropped: Counter[str] = Counter(reader.dropped)
    for shape in reader.shapes:
        if shape.count:
            for kind in shape.carried:
                carried[kind] += shape.count
            for kind in shape.dropped:
                dropped[kind] += shape.count
    return dict(sorted(carried.items())), dropped


def _either_words(music: SketchMusic, tune: Part) -> Iterator[tuple[str, EitherWords]]:
    """Words that may be tempo or expression, wherever they stand; the same in a bar once."""
    seen: set[EitherWords] = set()
    for part in [tune, *(part for part in music.score.parts if part is not tune)]:
        for words in music.marks_of(part).either:
            if words not in seen:
                seen.add(words)
                yield "" if part is tune else part.full_name or part.id, words


def _not_carried(reader: PartReader, parts: Sequence[Part], tune: Tune) -> list[str]:
    said = [
        f"{said_part(tune.part)}, staff {staff}, voice {voice}: {count} notes"
        for (staff, voice), count in sorted(reader.others.items())
    ]
    for part in parts:
        if part is not tune.part:
            staves = f", {part.staves} staves" if part.staves > 1 else ""
            said.append(f"{said_part(part)}{staves}")
    return said
