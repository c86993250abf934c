"""What changed in a score that is replaced: by section and bar, and what is found in it."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Final

from rewriter.comparing.comparison import compare
from rewriter.problems import Refused
from rewriter.reporting.columns import bar_runs
from rewriter.reporting.text import count_findings
from rewriter.scores.score import read_score
from rewriter.theory.pitch import parse_pitch

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rewriter.comparing.difference import Difference, PartPair
    from rewriter.problems import Finding
    from rewriter.scores.score import Score

NOTHING: Final = "nothing, as music"

_NOTES: Final = frozenset(("note", "pitch", "length"))
_OTHER: Final = "other notes"
_OCTAVES: Final[dict[float, str]] = {
    12: "an octave higher",
    -12: "an octave lower",
    24: "two octaves higher",
    -24: "two octaves lower",
}


def changes_of(old: bytes, new: bytes) -> list[str]:
    """One line for each part that is not as it was.

    Args:
        old: what was replaced, zipped or not.
        new: MusicXML.

    Returns:
        :data:`NOTHING` alone where the music is the same.
    """
    try:
        before, after = read_score(old), read_score(new)
        compared = compare(before, after)
    except (Refused, ValueError):
        return ["what was there cannot be read as a score"]
    parts: dict[PartPair | None, list[Difference]] = defaultdict(list)
    for one in compared.all:
        parts[one.part].append(one)
    lines = [
        f"{_name(pair, before, after)}: {'; '.join(_of_part(found, before, after))}"
        for pair, found in sorted(parts.items(), key=lambda item: _order(item[0]))
    ]
    return lines or [NOTHING]


def _order(pair: PartPair | None) -> tuple[bool, int]:
    """What is in all parts first, then parts in their order, those that are gone last."""
    if pair is None:
        return False, -1
    return (True, pair.a or 0) if pair.b is None else (False, pair.b)


def _name(pair: PartPair | None, before: Score, after: Score) -> str:
    if pair is None:
        return "every part"
    if pair.b is not None:
        return after.parts[pair.b].name
    return before.parts[pair.a].name if pair.a is not None else ""


def _of_part(found: Sequence[Difference], before: Score, after: Score) -> Iterator[str]:
    """Notes first, by where they went, then signs; each with the bars."""
    alone = next((one for one in found if one.kind == "part"), None)
    if alone:
        yield "new" if alone.a is None else "gone"
        return
    bars: dict[int, list[Difference]] = defaultdict(list)
    for one in found:
        bars[one.at.bar].append(one)
    numbers = max((before, after), key=_length).parts[0].numbers
    where: dict[str, list[int]] = defaultdict(list)
    for bar, differences in sorted(bars.items()):
        notes = [one for one in differences if one.kind in _NOTES]
        if notes:
            where[_of_notes(notes)].append(bar)
    for what, places in where.items():
        yield what + _in_bars(places, numbers)
    signs = [one for one in found if one.kind not in _NOTES]
    if signs:
        kinds = sorted({_kind(one) for one in signs})
        places = sorted({one.at.bar for one in signs if one.at.bar >= 0})
        yield ", ".join(kinds) + _in_bars(places, numbers)


def _length(score: Score) -> int:
    return len(score.parts[0].bars)


def _kind(one: Difference) -> str:
    if one.kind == "bar":
        return "music that was not there" if one.a is None else "no more music"
    return one.kind


def _of_notes(notes: Iterable[Difference]) -> str:
    """Where the notes of a bar went, if all went the same way by octaves."""
    steps = {_step(one) for one in notes}
    return _OCTAVES.get(min(steps), _OTHER) if len(steps) == 1 else _OTHER


def _step(one: Difference) -> float:
    """Semitones from one to the other; 0 where that is not what differs."""
    if one.kind != "pitch" or one.a is None or one.b is None:
        return 0
    try:
        return parse_pitch(one.b.what).midi - parse_pitch(one.a.what).midi
    except ValueError:
        return 0


def _in_bars(bars: Sequence[int], numbers: Sequence[str]) -> str:
    """Such as `` in bars 5-8, 12``, by printed numbers; nothing for what is in no bar."""
    if not bars:
        return ""
    return f" in bar{'s' * (len(bars) > 1)} {', '.join(bar_runs(bars, numbers.__getitem__))}"


def with_findings(
    changed: Sequence[str], old: Sequence[Finding], new: Sequence[Finding]
) -> list[str]:
    """What changed in the music, and after it what is found no more and what is found now.

    Args:
        changed: from :func:`changes_of`.
        old: findings of the score that was replaced.
        new: of this one.
    """
    gone, come = _without(old, new), _without(new, old)
    said = [
        f"{count_findings(found)} {word}"
        for found, word in ((gone, "gone"), (come, "new"))
        if found
    ]
    return [*changed, *([f"findings: {', '.join(said)}"] if said else [])]


def _without(one: Sequence[Finding], other: Sequence[Finding]) -> list[Finding]:
    left: dict[tuple[str, str, str], list[Finding]] = defaultdict(list)
    for finding in one:
        left[_key(finding)].append(finding)
    for finding in other:
        if left[_key(finding)]:
            left[_key(finding)].pop()
    return [finding for found in left.values() for finding in found]


def _key(finding: Finding) -> tuple[str, str, str]:
    return finding.rule, finding.place.text, finding.sounds
