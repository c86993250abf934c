"""How a passage that is not laid out as a house asks for is put right, or why it is not."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, NamedTuple

from msgspec.structs import replace

from rewriter.checking.anew.carrier import Carrier, line_of_section, turns_in
from rewriter.checking.anew.certain import NotCertain
from rewriter.checking.anew.expanded import expanded
from rewriter.checking.anew.passage import Piece, rewritten
from rewriter.checking.anew.regions import Asked, regions_of
from rewriter.checking.rule import CANNOT_BE_WRITTEN, Deferred, Mend, Unmended
from rewriter.checking.scoring_lines import doubles, parts_of
from rewriter.checking.scoring_stacks import ONE_IN
from rewriter.problems import Refused
from rewriter.rulefiles.layouts import LineDetail
from rewriter.rulefiles.loading import resolve_layout

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.checking.anew.expanded import Expanded
    from rewriter.checking.finished import Finished
    from rewriter.checking.scoring_facts import Differs, Passage
    from rewriter.rulefiles.layouts import Layout


class _Turn(NamedTuple):
    """A line that has the tune from one moment to another."""

    carrier: Carrier
    start: int
    stop: int


def laid_out_anew(score: Finished, fact: Differs) -> Deferred | Unmended:
    """Write what a house asks for into a passage, where it says what that is.

    Args:
        score: not changed.
        fact: what is not as it should be.
    """
    asked = fact.asked
    try:
        if asked.want is not None:
            return _written(score, fact, asked.want)
        if asked.double is not None:
            return _doubled(score, fact)
        if asked.handover is not None:
            return _handed_over(score, fact)
    except NotCertain as left:
        return Unmended(left.why)
    return Unmended("the house does not say what to write")


def _written(score: Finished, fact: Differs, want: Layout) -> Deferred:
    if fact.as_wanted:
        raise NotCertain(f"{want.stack.text} is there, and that is not enough")
    return _mend(score, fact, want, _turns(score, fact.passage), resting=True)


def _turns(score: Finished, passage: Passage) -> list[_Turn]:
    """Who has the tune from when to when."""
    turns = turns_in(score, passage.notes)
    lacking = sum(turn.lacking for turn in turns)
    if lacking * ONE_IN > len(passage.notes):
        raise NotCertain(f"no voice has all of the tune; {lacking} of its notes are missing")
    starts = [turn.notes[0].time for turn in turns]
    spans = zip(starts, [*starts[1:], passage.stop], strict=True)
    return [_Turn(turn.carrier, *span) for turn, span in zip(turns, spans, strict=True)]


def _mend(
    score: Finished, fact: Differs, layout: Layout, turns: Sequence[_Turn], *, resting: bool
) -> Deferred:
    expansions = _expansions(score, layout, turns)
    sections = list(dict.fromkeys(member.section for member in layout.stack.members))
    leave = any(one.handover and one.handover.leave for one in layout.line.values())
    pieces = [
        Piece(region, made.score)
        for made, turn in zip(expansions, turns, strict=True)
        for region in regions_of(
            score,
            Asked(made, sections, resting, fact.asked.replace, leave),
            turn.carrier,
            fact.passage,
        )
    ]
    stack = expansions[0].stack
    if not pieces:
        raise NotCertain(f"{stack} is there already")
    what = f"write {stack}"
    return Deferred(what, lambda: _made(score, pieces, what))


def _made(score: Finished, pieces: Sequence[Piece], what: str) -> Mend | Unmended:
    """The passage written, or why it cannot be."""
    try:
        return Mend(what, tuple(rewritten(score, pieces)))
    except NotCertain as left:
        return Unmended(left.why)
    except (ValueError, Refused):
        return CANNOT_BE_WRITTEN


def _expansions(score: Finished, layout: Layout, turns: Sequence[_Turn]) -> list[Expanded]:
    """The passage expanded, turn by turn; all of it at the octave that suits most of it."""
    made = [expanded(score, carrier, layout, *span) for carrier, *span in turns]
    time: Counter[int] = Counter()
    for one in made:
        time[one.top_octave] += one.stop - one.start
    octave, _ = time.most_common(1)[0]
    if len(time) > 1:
        layout = replace(layout, stack=layout.stack._replace(top_octave=octave))
    if len(made) > 1 and any(
        (one.start, one.stop) != tuple(span)
        for one, (_, *span) in zip(made, turns, strict=True)
    ):
        raise NotCertain("the tune passes from voice to voice within a tuplet")
    return [
        one if one.top_octave == octave else expanded(score, carrier, layout, *span)
        for one, (carrier, *span) in zip(made, turns, strict=True)
    ]


def _doubled(score: Finished, fact: Differs) -> Deferred:
    """Who is to double another gets its music, where it suits it best."""
    double, passage = fact.asked.double, fact.passage
    if double is None:
        raise NotCertain("nobody is to double")
    carrier = line_of_section(score, parts_of(score, double.leading), passage)
    if carrier is None:
        raise NotCertain(f"{double.leading} has no notes there")
    lacking = [
        section
        for section in double.sections
        if not doubles(score, section, double.leading, passage)
    ]
    layout = resolve_layout(" + ".join(lacking), score.ensemble, files=False)
    turns = [_Turn(carrier, fact.passage.start, fact.passage.stop)]
    return _mend(score, fact, layout, turns, resting=False)


def _handed_over(score: Finished, fact: Differs) -> Deferred:
    """What a section is to hand over, handed over where it plays."""
    handing = fact.asked.handover
    if handing is None:
        raise NotCertain("nobody is to hand over")
    carrier = line_of_section(score, parts_of(score, handing.section), fact.passage)
    if carrier is None:
        raise NotCertain(f"{handing.section} has no notes there")
    layout = resolve_layout(f"{handing.section} loco", score.ensemble, files=False)
    detail = LineDetail(handover=handing.handover)
    layout = replace(layout, line={handing.section: detail})
    turns = [_Turn(carrier, fact.passage.start, fact.passage.stop)]
    return _mend(score, fact, layout, turns, resting=False)
