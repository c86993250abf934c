"""What a finished score has of what a house asks of its layout, and what it has not."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final

from rewriter.checking.carried_tune import carried_notes
from rewriter.checking.score_bars import ScoreBars
from rewriter.checking.scoring_facts import Differs, NotLookedAt
from rewriter.checking.scoring_lines import doubles, not_handed_over, plays
from rewriter.checking.scoring_places import needs_tune, passages_of, statements_at
from rewriter.checking.scoring_stacks import enough, not_as_laid_out
from rewriter.hearing.stack_names import stack_text
from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.carried_tune import CarriedNote
    from rewriter.checking.finished import Finished
    from rewriter.checking.scoring_facts import Passage
    from rewriter.rulefiles.houses import Scoring


_WHY_NOT: Final = {
    False: "nobody has told what the tune is; name it with --tune or --sketch",
    True: "the tune is nowhere in this score; look at --tune or --sketch",
}
"""By whether somebody has told what the tune is."""


def scoring_in(score: Finished, asked: Sequence[Scoring]) -> Iterator[Differs | NotLookedAt]:
    """What there is to say of the layouts of a score.

    Args:
        score: looked at.
        asked: the rules.
    """
    if not asked or not score.score.parts:
        return
    tune = carried_notes(score, score.tune) if score.tune else None
    unknown = tuple(one for one in asked if not tune and needs_tune(one))
    if unknown:
        yield NotLookedAt(unknown, _WHY_NOT[tune is not None])
    bars = ScoreBars(score)
    for one in asked:
        if one in unknown:
            continue
        try:
            passages = passages_of(score, bars, one, tune if needs_tune(one) else None)
        except Refused as refusal:
            yield NotLookedAt((one,), str(refusal))
            continue
        for passage in passages:
            yield from _compared(score, one, passage)


def _compared(score: Finished, asked: Scoring, passage: Passage) -> Iterator[Differs]:
    """The finding of a passage, if there is one."""
    other = not_as_laid_out(score, asked.want, passage.notes) if asked.want is not None else ()
    missing = [
        *_of_levels(score, asked, passage),
        *_of_sections(score, asked, passage),
        *_of_lines(score, asked, passage),
    ]
    if asked.want is not None and other and not _only_written(asked):
        missing.insert(0, (_most(score, other), asked.want.stack.text))
    if missing:
        had = dict.fromkeys(has for has, _ in missing if has)
        wants = dict.fromkeys(want for _, want in missing)
        part = passage.notes[0].leading.part if passage.notes else _first_part(score)
        as_wanted = asked.want is not None and not other
        yield Differs(asked, passage, part, "; ".join(had), " and ".join(wants), as_wanted)


def _only_written(asked: Scoring) -> bool:
    """True where a layout is only what is written where something else is not so."""
    return bool(
        asked.levels_at_least
        or asked.levels_at_most
        or asked.broader
        or asked.must_play
        or asked.must_not_play
    )


def _first_part(score: Finished) -> int:
    return min(score.of_sections, default=0)


def _of_levels(score: Finished, asked: Scoring, passage: Passage) -> Iterator[tuple[str, str]]:
    """What is said of the number of levels."""
    least, most = asked.levels_at_least, asked.levels_at_most
    if least is not None:
        few = enough(passage.notes, [n for n in passage.notes if len(n.levels) < least])
        if few:
            yield _most(score, few), f"at least {_levels(least)}"
    if most is not None:
        many = enough(passage.notes, [n for n in passage.notes if len(n.levels) > most])
        if many:
            yield _most(score, many), f"at most {_levels(most)}"
    if asked.broader:
        yield from _broader(score, passage)


def _broader(score: Finished, passage: Passage) -> Iterator[tuple[str, str]]:
    """What is said of a passage that is no broader than in the statement before."""
    divisions = score.reading.divisions
    tune = carried_notes(score, score.tune) if score.tune else []
    for _, before in statements_at(score, passage.start):
        start, stop = before.start * divisions, before.stop * divisions
        earlier = [note for note in tune if start <= note.time < stop]
        now, then = _usual_levels(passage.notes), _usual_levels(earlier)
        if now <= then:
            yield _most(score, passage.notes), "more levels than the statement before"
            return


def _usual_levels(notes: Sequence[CarriedNote]) -> int:
    counted = Counter(len(note.levels) for note in notes)
    return max(counted, key=lambda levels: (counted[levels], levels), default=0)


def _levels(number: int) -> str:
    return f"{number} level{'' if number == 1 else 's'}"


def _of_sections(
    score: Finished, asked: Scoring, passage: Passage
) -> Iterator[tuple[str, str]]:
    """What is said of who must play and who must not."""
    for section in asked.must_play:
        if not plays(score, section, passage):
            yield f"{section} resting", f"{section} to play"
    for section in asked.must_not_play:
        if plays(score, section, passage):
            yield f"{section} playing", f"{section} to rest"


def _of_lines(score: Finished, asked: Scoring, passage: Passage) -> Iterator[tuple[str, str]]:
    """What is said of who doubles whom, and of who hands over."""
    if asked.double is not None:
        for section in asked.double.sections:
            if not doubles(score, section, asked.double.leading, passage):
                yield "", f"{section} with {asked.double.leading}"
    if asked.handover is not None:
        yield from not_handed_over(score, asked.handover, passage)


def _most(score: Finished, notes: Sequence[CarriedNote]) -> str:
    """The stack most of some notes are played by."""
    said: Counter[str] = Counter()
    known: dict[int, str] = {}
    for note in notes:
        text = known.get(id(note.stretch))
        if text is None:
            own = note.stretch._replace(levels=note.levels)
            text = stack_text(score.heard, score.players, own) or "no section on the tune"
            known[id(note.stretch)] = text
        said[text] += 1
    return said.most_common(1)[0][0] if said else ""
