"""The other staves of a sketch, read into the tune's frame when something plays them."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.musicxml.note_reading import FractionalDuration
from rewriter.problems import Refused
from rewriter.rulefiles.shapes import Setting
from rewriter.scores.children import element_of
from rewriter.scores.naming import said_part
from rewriter.sketch.chords import LOWER_NOTES, less_chords
from rewriter.sketch.faults import Overlong, VoicePlace
from rewriter.sketch.model import Note, Sign
from rewriter.sketch.reading import PartReader
from rewriter.sketch.requests import Keep, RawBar
from rewriter.sketch.short_score import counts_of
from rewriter.sketch.tune import (
    choose_part,
    notes_of_voice,
    settle_tune,
    voices_in,
)
from rewriter.sketch.voices import build_voice
from rewriter.theory.numbers import whole

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from rewriter.scores.score import Part
    from rewriter.sketch.faults import Fault
    from rewriter.sketch.frame import Frame, FrameBar
    from rewriter.sketch.model import Voice
    from rewriter.sketch.music import PartMusic, SketchMusic
    from rewriter.sketch.tune import Tune
    from rewriter.sketch.voices import Settle
    from rewriter.theory.fifths import Interval

_STAFF: Final = re.compile(
    r"(?:voice\s+(?P<before>\S+)\s+of\s+)?staff\s+(?P<staff>\d+)(?:\s+voice\s+(?P<after>\S+))?",
    re.IGNORECASE,
)


class Accompaniment(NamedTuple):
    """A voice of the sketch that is not the tune.

    Attributes:
        voice: in the tune's frame.
        place: where it stands in the sketch.
        carried: kind → count.
        dropped: kind → count.
        faults: what had to be mended.
    """

    voice: Voice
    place: VoicePlace
    carried: dict[str, int]
    dropped: dict[str, int]
    faults: list[Fault]

    def dealt_out(self) -> Accompaniment:
        """The same where lines share its chords: every note is played by one of them."""
        dropped = {kind: n for kind, n in self.dropped.items() if kind != LOWER_NOTES}
        return self._replace(dropped=dropped)

    def as_strong_as(self, tune: Voice) -> Accompaniment:
        """The same, as strong as the tune where it has no dynamics of its own."""
        if self.voice.strengths:
            return self
        return self._replace(voice=self.voice._replace(strengths=tune.strengths))


def read_accompaniment(
    music: SketchMusic,
    source: str,
    frame: Frame,
    by: Interval,
    settle: Settle,
    is_layout: Callable[[str], bool] = bool,
) -> Accompaniment:
    """Read another voice of a sketch.

    Args:
        music: what happens in the sketch's parts.
        source: a part by name or id, ``staff 3`` of the whole sketch counted from the top, or
            ``voice 2 of staff 1``; a part's staff may follow its name, as for the tune.
        frame: of the tune; its bars are the new voice's.
        by: interval to transpose by.
        settle: what to do with chords.
        is_layout: says which words between square brackets are for the tool.

    Raises:
        Refused: there is no such voice, or something in it cannot be.
    """
    chosen = _chosen(music, source)
    part = chosen.part
    own = music.of(part)
    wanted = chosen.wanted._replace(signs=_staff_with_dynamics(own, chosen.wanted.staff))
    reader = PartReader(own, wanted, by=by, keep=Keep(is_layout=is_layout)).read()
    bars = list(_framed(reader.bars, frame))
    faults = list(_overlong(reader.bars, frame))
    name = part.full_name or part.id
    if part.staves > 1:
        name = f"{name}, staff {wanted.staff}"
    built = build_voice(
        name,
        bars,
        frame.divisions,
        settle,
        of_strings=reader.of_strings,
        has_techniques=reader.has_techniques,
    )
    place = VoicePlace(part.id, wanted.staff, wanted.voice or "1")
    said, dropped = counts_of(reader)
    carried, gone = less_chords(said, built.chords)
    dropped.update(gone)
    dropped.update(music.left_on_the_page(part))
    return Accompaniment(
        built.voice,
        place,
        dict(carried),
        dict(dropped),
        [*faults, *built.faults, *reader.faults],
    )


def _chosen(music: SketchMusic, source: str) -> Tune:
    parts = music.score.parts
    try:
        choice = choose_part(parts, _by_part(parts, source))
        return settle_tune(choice, _read(music, choice.part))
    except Refused as refusal:
        refusal.remedy = refusal.remedy.replace("with --tune", "in [[with]]")
        if isinstance(source, Setting):
            raise source.named_in(refusal) from None
        raise


def _read(music: SketchMusic, part: Part) -> PartMusic:
    try:
        return music.of(part)
    except FractionalDuration:
        raise Refused(
            f"the durations of {said_part(part)} do not fit the tune's",
            "export the sketch again",
        ) from None


def _by_part(parts: Sequence[Part], source: str) -> str:
    """The part, staff and voice that a staff counted from the top of the sketch means."""
    match = _STAFF.fullmatch(source.strip())
    if match is None:
        return source
    number = whole(match["staff"])
    places = [(part, staff) for part in parts for staff in range(1, part.staves + 1)]
    if number is None or not 1 <= number <= len(places):
        raise Refused(
            f"the sketch has no staff {match['staff']}",
            f"it has {len(places)}, counted from the top",
        )
    part, staff = places[number - 1]
    voice = match["before"] or match["after"]
    return f"{part.id} staff {staff}" + (f" voice {voice}" if voice else "")


def _staff_with_dynamics(music: PartMusic, staff: str) -> str:
    """Another staff whose dynamics count, the only one of the part that has any; or empty.

    Keyboard parts have one set of dynamics between the staves, which files put on one of them.
    """
    if music.part.staves == 1:
        return ""
    having = {
        (element_of(event.data).findtext("staff") or "1").strip()
        for bar in music.bars
        for event in bar.events
        if event.tag == "direction" and b"<dynamics" in event.data
    }
    return next(iter(having)) if len(having) == 1 and staff not in having else ""


def _framed(bars: Sequence[RawBar], frame: Frame) -> Iterator[RawBar]:
    """The bars with the tune's frame in place of their own, and nothing beyond it."""
    for index, shared in enumerate(frame.bars):
        items: list[Note | Sign] = list(shared.signs)
        silenced = loud = rests = False
        if index < len(bars):
            raw = bars[index]
            items += [
                item
                for item in raw.items
                if (
                    not _is_beyond(item, shared)
                    if isinstance(item, Note)
                    else item.scope == "line"
                )
            ]
            silenced = raw.silenced or any(
                isinstance(item, Note) and _is_beyond(item, shared) for item in raw.items
            )
            loud, rests = raw.loud, raw.rests
        items.sort(key=lambda item: (item.onset, isinstance(item, Note)))
        yield RawBar(
            shared, items, shared.length,
            sorted=False, silenced=silenced, loud=loud, rests=rests,
        )  # fmt: skip


def _is_beyond(note: Note, bar: FrameBar) -> bool:
    """True when a note ends behind the tune's bar, which happens in damaged files."""
    return note.onset + note.length > bar.length


def _overlong(bars: Sequence[RawBar], frame: Frame) -> Iterator[Overlong]:
    """One for every bar that has notes beyond the tune's."""
    for index, (raw, shared) in enumerate(zip(bars, frame.bars, strict=False)):
        count = sum(isinstance(one, Note) and _is_beyond(one, shared) for one in raw.items)
        if count:
            yield Overlong(index, count)


def not_carried(music: SketchMusic, used: set[tuple[str, str, str]]) -> list[str]:
    """Staves and voices of a sketch that nothing plays, for people."""
    said = []
    for part in music.score.parts:
        own = music.of(part)
        for staff, voice in sorted(voices_in(own)):
            if (part.id, staff, voice) in used:
                continue
            count = notes_of_voice(own, staff, voice)
            staff_said = f", staff {staff}" if part.staves > 1 else ""
            said.append(
                f"{said_part(part)}{staff_said}, voice {voice}: "
                f"{count} note{'s' * (count != 1)}"
            )
    return said
