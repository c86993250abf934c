"""A finished score as the rules look at it: sections, lines, places."""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Final

from rewriter.checking.clefs_read import in_clefs
from rewriter.checking.divisions import Divisions
from rewriter.checking.doubled import Disagreements
from rewriter.checking.entries import loudness_told
from rewriter.checking.finished_lines import PartLine, lines_of
from rewriter.checking.limits import limits_of
from rewriter.checking.manners import Manners
from rewriter.checking.moments import Moments
from rewriter.checking.seconds import Seconds
from rewriter.checking.signs_read import wrong_signs_of
from rewriter.checking.strengths import Strengths
from rewriter.checking.tune_passages import passages_of_tune
from rewriter.hearing.doublings import doublings_of
from rewriter.hearing.lines import Heard
from rewriter.hearing.sections import sections_of
from rewriter.hearing.tune_sounding import statements_of
from rewriter.problems import Place, exact_text
from rewriter.scores.in_force import PartInForce
from rewriter.scores.movements import movement_starts
from rewriter.scores.playing import Playing
from rewriter.scores.reading import Reading
from rewriter.scores.spans import spans_of
from rewriter.scores.voices import joined, voices_of
from rewriter.theory.metre import Metre, beat_of
from rewriter.theory.pitch import name_of_midi

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from typing import TypeVar

    from rewriter.checking.against_parts import FileAmiss, PartDiffers
    from rewriter.checking.clefs_read import InClef
    from rewriter.checking.divided import PartDivided
    from rewriter.checking.entries import LoudnessTold
    from rewriter.checking.part_files import PartFiles
    from rewriter.checking.signs_read import WrongSign
    from rewriter.checking.told_tune import ToldTune
    from rewriter.checking.tune_passages import TunePassage
    from rewriter.hearing.doublings import Doubling
    from rewriter.hearing.lines import HeardLine
    from rewriter.hearing.lines import Place as Line
    from rewriter.hearing.sections import PartPlayers
    from rewriter.hearing.statements import Statement
    from rewriter.hearing.tune import HeardTune
    from rewriter.placing.facts import Player
    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.scores.score import Score
    from rewriter.scores.spans import Spans
    from rewriter.scores.voices import Joined, Voice
    from rewriter.sketch.model import Sounding

    T = TypeVar("T")

_IN_FOUR: Final = Metre(Fraction(4), 4, (Fraction(1),) * 4, compound=False)
"""Until a part says in which metre it is."""

_OF_ONE_PART: Final = frozenset(
    (
        "voices", "joined", "spans", "in force", "counted", "lines", "limits", "wrong signs",
        "moments",
    )
)  # fmt: skip
"""What depends on nothing but a part's own bars and on when bars begin."""


class Finished:
    """A finished score, whoever made it; each thing is worked out when a rule first asks.

    Parts are named by their index in score order, times count in divisions from the start of
    the piece, as in :class:`rewriter.scores.reading.Reading`.

    Attributes:
        score: not changed.
        reading: its events.
        ensemble: whose figures hold for its sections.
        told_tune: what somebody has told of the tune; None for nothing.
        part_files: the parts on the stands; None where it is looked at alone.
        players: who plays each part.
    """

    def __init__(
        self,
        score: Score,
        ensemble: Ensemble,
        told: Sequence[str] = (),
        told_tune: ToldTune | None = None,
        part_files: PartFiles | None = None,
    ) -> None:
        """Take a score.

        Args:
            score: not changed.
            ensemble: whose sections it is looked through for.
            told: which part is which section, as :func:`rewriter.hearing.sections.sections_of`
                takes it.
            told_tune: what is told of the tune; None for nothing.
            part_files: the parts on the stands; None where it is looked at alone.

        Raises:
            Refused: what is told of a part cannot be.
        """
        self.score = score
        self.reading = Reading(score)
        self.ensemble = ensemble
        self.told_tune = told_tune
        self.part_files = part_files
        self.players: list[PartPlayers] = sections_of(score, ensemble, told)
        self._known: dict[tuple[str, int], object] = {}

    @cached_property
    def of_sections(self) -> list[int]:
        """Parts that sections play, soloists left out."""
        return [one.part for one in self.players if one.sections and not one.soloist]

    @cached_property
    def is_ours(self) -> bool:
        """True where the file says that this tool has made it."""
        fields = "identification/miscellaneous/miscellaneous-field[@name='made-by']"
        return (self.score.header.findtext(fields) or "").startswith("rewriter ")

    @cached_property
    def struck(self) -> dict[tuple[int, float], set[int]]:
        """Parts that begin a pitch at a moment, by (divisions from the start, MIDI number)."""
        found: dict[tuple[int, float], set[int]] = {}
        for part in range(len(self.score.parts)):
            for run in self.joined(part):
                found.setdefault((run.time, run.notes[0].sounding or 0), set()).add(part)
        return found

    def voices(self, part: int) -> list[Voice]:
        """The voices of a part."""
        return self._once("voices", part, voices_of)

    def joined(self, part: int) -> list[Joined]:
        """All that sounds in a part, tied notes as one."""
        return self._once("joined", part, lambda _, part: joined(self.voices(part)))

    def spans(self, part: int) -> Spans:
        """Slurs, hairpins and their like, their ends paired."""
        return self._once("spans", part, spans_of)

    def in_force(self, part: int) -> PartInForce:
        """Metre, key, clef, transposition at any moment."""
        return self._once("in force", part, PartInForce)

    def playing(self, part: int) -> Playing:
        """Dynamic, technique, tempo and hairpin at any moment."""
        return self._once("playing", part, Playing)

    def lines(self, part: int) -> list[PartLine]:
        """What each line of a part plays; a section's part only."""
        return self._once("lines", part, lambda _, part: lines_of(self, part))

    def limits(self, part: int) -> list[object]:
        """What there is to tell of a section's part and its range."""
        return self._once("limits", part, lambda _, part: limits_of(self, part))

    def wrong_signs(self, part: int) -> list[WrongSign]:
        """Notes of a part that are read as another pitch than the file's."""
        return self._once("wrong signs", part, lambda _, part: [*wrong_signs_of(self, part)])

    def moments(self, part: int) -> Moments:
        """What sounds together in a part."""
        return self._once("moments", part, lambda _, part: Moments(self, part))

    def divisions(self, part: int) -> Divisions:
        """Who of a section plays at any moment, by the words in its part."""
        return self._once("divisions", part, lambda _, part: Divisions(self, part))

    def manners(self, part: int) -> Manners:
        """How a part is played, by its words."""
        return self._once("manners", part, lambda _, part: Manners(self, part))

    @cached_property
    def seconds(self) -> Seconds:
        """How long music lasts."""
        return Seconds(self)

    def loudness(self, part: int) -> list[LoudnessTold]:
        """All that says how loud a part is, in the order of time."""
        return self._once("loudness", part, lambda _, part: loudness_told(self, part))

    def in_clefs(self, part: int) -> list[InClef]:
        """The notes of a part, clef by clef."""
        return self._once("in clefs", part, lambda _, part: [*in_clefs(self, part)])

    @cached_property
    def heard(self) -> Heard:
        """All lines of all parts, winds too, note after note."""
        return Heard(self.reading, self.voices)

    @cached_property
    def line_at(self) -> dict[Line, HeardLine]:
        """Each of these lines by where it stands."""
        return {line.place: line for line in self.heard.lines}

    @cached_property
    def doublings(self) -> list[Doubling]:
        """Which of these lines are one for a while, in unison or octaves."""
        return doublings_of(self.heard)

    @cached_property
    def disagreements(self) -> Disagreements:
        """What lines that double each other do not say alike."""
        return Disagreements(self)

    @cached_property
    def tune(self) -> HeardTune | None:
        """Where the tune is; None unless somebody has told.

        Raises:
            Refused: no part answers to what is told.
        """
        if self.told_tune is None:
            return None
        return self.told_tune.found_in(self.heard, self.players, self.ensemble)

    @cached_property
    def tune_passages(self) -> list[TunePassage]:
        """Who carries the tune in which octaves, passage by passage; none unless it is told."""
        return passages_of_tune(self)

    def strengths(self, line: Line) -> Strengths:
        """How strong the music is at any moment, on the staff of a line."""
        staff = self.voices(line.part)[line.voice].staff
        what = f"strengths {staff}"
        return self._once(what, line.part, lambda _, part: Strengths(self, part, staff))

    @cached_property
    def statements(self) -> list[tuple[Statement, ...]]:
        """The statements of each theme of the tune that comes back; none unless it is told."""
        return statements_of(self.heard, self.tune) if self.tune else []

    @cached_property
    def part_faults(self) -> list[FileAmiss | PartDiffers]:
        """What is amiss with its parts; nothing where it is looked at alone."""
        from rewriter.checking.against_parts import part_faults

        return part_faults(self, self.part_files) if self.part_files else []

    def take_over(self, before: Finished) -> None:
        """Know of parts that are as they were what has been worked out about them already.

        Args:
            before: the score before some of its bars were changed.
        """
        same = set(self.reading.take_over(before.reading))
        if self.reading.timeline.starts == before.reading.timeline.starts:
            self._known |= {
                (what, part): known
                for (what, part), known in before._known.items()
                if what in _OF_ONE_PART and part in same
            }

    def _once(self, what: str, part: int, make: Callable[[Reading, int], T]) -> T:
        known = self._known.get((what, part))
        if known is None:
            known = self._known[what, part] = make(self.reading, part)
        return known  # type: ignore[return-value]  # made by the same function

    @cached_property
    def movements(self) -> list[int]:
        """Index of the first bar of each movement."""
        return movement_starts(self.score.parts[0]) if self.score.parts else []

    def movement(self, bar: int) -> int:
        """The movement a bar belongs to, from 1; 0 in a score of one."""
        return bisect_right(self.movements, bar) if len(self.movements) > 1 else 0

    def printed(self, part: int, bar: int) -> str:
        """The printed number of a bar."""
        numbers = self.score.parts[part].numbers
        return numbers[bar] if bar < len(numbers) else "?"

    def metre(self, part: int, time: int) -> Metre:
        """The metre at a moment; four quarters where none has been told."""
        told = self.in_force(part).last("metre", time)
        return told if isinstance(told, Metre) else _IN_FOUR

    def beat_in(self, part: int, bar: int, time: int) -> Fraction:
        """The beat of a moment in a bar; an upbeat bar counts as the end of a full one.

        Args:
            part: index in score order.
            bar: index.
            time: divisions from the start of the piece.
        """
        start = self.reading.timeline.starts[bar]
        lacking, metre = self.counted(part)[bar]
        onset = lacking + Fraction(time - start, self.reading.divisions)
        return beat_of(onset, metre)

    def counted(self, part: int) -> list[tuple[Fraction, Metre]]:
        """Of each bar: the quarters an upbeat, or a divided bar's rest, lacks; its metre."""
        return self._once("counted", part, lambda _, part: self._count(part))

    def _count(self, part: int) -> list[tuple[Fraction, Metre]]:
        counted: list[tuple[Fraction, Metre]] = []
        timeline, bars = self.reading.timeline, self.score.parts[part].bars
        before = Fraction(0)
        for bar in range(len(timeline.starts) - 1):
            metre = self.metre(part, timeline.starts[bar])
            length = Fraction(timeline.length(bar), self.reading.divisions)
            lacking = Fraction(0)
            implicit = bar < len(bars) and b'implicit="yes"' in bars[bar].partition(b">")[0]
            if implicit and length < metre.length:
                lacking = metre.length - length
                if 0 < before < metre.length:
                    lacking = min(lacking, before)
            counted.append((lacking, metre))
            before = lacking + length
        return counted

    def place(self, part: int, bar: int, time: int | None = None, voice: str = "") -> Place:
        """A place for people and machines.

        Args:
            part: index in score order.
            bar: index.
            time: divisions from the start of the piece; None for the whole bar.
            voice: as the file names it; empty for all.
        """
        players = self.players[part]
        found = Place(
            part=self.score.parts[part].id,
            section=self.who(part),
            share=players.share,
            voice=voice,
            movement=self.movement(bar),
            bar=self.printed(part, bar),
            bar_counted=bar + 1,
            moment=self._moment(self.reading.timeline.starts[bar] if time is None else time),
        )
        if time is None:
            return found
        from msgspec.structs import replace

        return replace(found, beat=exact_text(self.beat_in(part, bar, time)))

    def _moment(self, time: int) -> str:
        return exact_text(Fraction(time, self.reading.divisions))

    def who(self, part: int) -> str:
        """Who plays a part, for people: ``Vn I``, ``Vc + Db``, or the name of the part."""
        keys = " + ".join(section.key for section in self.players[part].sections)
        return keys or self.score.parts[part].name

    # What rules ask that are asked about scores in the making as well (`checking.at`).

    def note(self, player: Player, note: Sounding) -> Place:
        """Where a note of a line begins."""
        carried: PartLine = player.voice
        return self.place(carried.part, note.bar, note.start, carried.voice)

    def division(self, fact: PartDivided) -> Place:
        """Where a section is divided."""
        bar, time = (fact.note.bar, fact.note.start) if fact.note else (0, 0)
        return self.place(fact.part, bar, time)

    def name(self, player: Player, note: Sounding) -> str:
        """The spelled name of a note of a line."""
        carried: PartLine = player.voice
        return carried.name(note) or name_of_midi(note.midi)

    def beat(self, note: Sounding) -> Fraction:
        """The beat on which a note begins."""
        return self.beat_in(0, note.bar, note.start)

    def bar_text(self, bar: int, seen_from: int) -> str:
        """A bar for people, its movement only where it is another than a bar's before it."""
        said = f"bar {self.printed(0, bar)}"
        movement = self.movement(bar)
        return f"movement {movement}, {said}" if movement != self.movement(seen_from) else said
