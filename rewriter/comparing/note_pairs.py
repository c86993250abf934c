"""The notes of two bars, each with its partner, and what differs between partners."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import TYPE_CHECKING, NamedTuple

from rewriter.comparing.difference import Difference

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterable, Iterator

    from rewriter.comparing.difference import PartPair
    from rewriter.comparing.things import Bar, Note, Thing

    _Key = Callable[[Note], Hashable]


class Paired(NamedTuple):
    """Notes of two bars.

    Attributes:
        pairs: a note of A and the same in B, altered or not.
        only_a: notes without partner.
        only_b: notes without partner.
        voices: voices of B's bar to those of A's.
    """

    pairs: list[tuple[Note, Note]]
    only_a: list[Note]
    only_b: list[Note]
    voices: dict[str, str]


def paired_notes(a: Bar, b: Bar) -> Paired:
    """Pair the notes of two bars: those alike, then those altered in one respect or two.

    Args:
        a: a bar.
        b: the bar that answers to it, in the same divisions.
    """
    alike = _one_after_the_other(a, b)
    if alike is not None:
        return alike
    voices = _voices(a, b, _unmistakable(a.notes, b.notes))
    pairs: list[tuple[Note, Note]] = []
    left_a, left_b = a.notes, b.notes
    for key in (_whole, _all_of_it):
        more, left_a, left_b = _alike(left_a, left_b, *_in_voice(key, voices))
        pairs += more
    more, left_a, left_b = _alike(left_a, left_b, _all_of_it, _all_of_it)
    pairs += more
    for key in (_onset_and_name, _onset_and_length, _onset):
        more, left_a, left_b = _nearest(left_a, left_b, key, voices)
        pairs += more
    return Paired(pairs, left_a, left_b, voices)


def _one_after_the_other(a: Bar, b: Bar) -> Paired | None:
    """Notes of two bars that are alike in all they say and stand in the same order, as most do.

    None where they are not, or where voices do not answer to each other one to one.
    """
    if len(a.notes) != len(b.notes):
        return None
    of_b: dict[str, str] = {}
    of_a: dict[str, str] = {}
    pairs = list(zip(a.notes, b.notes, strict=True))
    for (thing, _, length, says), (other, _, its_length, its_says) in pairs:
        if (
            length != its_length
            or thing.what != other.what
            or thing.at[1:] != other.at[1:]
            or says != its_says
            or of_b.setdefault(other.voice, thing.voice) != thing.voice
            or of_a.setdefault(thing.voice, other.voice) != other.voice
        ):
            return None
    return Paired(pairs, [], [], _with_the_rest(of_b, a, b))


def note_differences(found: Paired, part: PartPair | None) -> Iterator[Difference]:
    """What differs between the notes of two bars.

    Args:
        found: their notes.
        part: they are in.
    """
    for note in found.only_a:
        yield Difference("note", part, note.thing, None)
    for note in found.only_b:
        yield Difference("note", part, None, note.thing)
    for a, b in found.pairs:
        if a.thing.what != b.thing.what:
            yield _differs("pitch", part, (a.thing, b.thing), (a.thing.what, b.thing.what))
        if found.voices.get(b.thing.voice, "") != a.thing.voice:
            yield _differs("voice", part, (a.thing, b.thing), (a.thing.voice, b.thing.voice))
        if a.says == b.says:
            continue
        for kind in sorted(a.says.keys() | b.says.keys()):
            said = a.says.get(kind, ""), b.says.get(kind, "")
            if said[0] != said[1]:
                yield _differs(kind, part, (a.thing, b.thing), said)


def _differs(
    kind: str, part: PartPair | None, things: tuple[Thing, Thing], said: tuple[str, str]
) -> Difference:
    a, b = (
        thing._replace(kind=kind, what=what) if what else None
        for thing, what in zip(things, said, strict=True)
    )
    return Difference(kind, part, a, b)


def _in_voice(key: _Key, voices: dict[str, str]) -> tuple[_Key, _Key]:
    """A key of notes of A and one of notes of B, alike only in voices that answer."""
    return (
        lambda note: (key(note), note.thing.voice),
        lambda note: (key(note), voices.get(note.thing.voice)),
    )


def _whole(note: Note) -> Hashable:
    return _all_of_it(note), tuple(note.says.items())


def _all_of_it(note: Note) -> Hashable:
    return note.thing.at[1:], note.thing.what, note.length


def _onset_and_name(note: Note) -> Hashable:
    return note.thing.at[1:], note.thing.what


def _onset_and_length(note: Note) -> Hashable:
    return note.thing.at[1:], note.length


def _onset(note: Note) -> Hashable:
    return note.thing.at[1:]


def _order(note: Note) -> tuple[int, str, int, str]:
    return len(note.thing.staff), note.thing.staff, len(note.thing.voice), note.thing.voice


_Split = tuple[list[tuple["Note", "Note"]], list["Note"], list["Note"]]


def _alike(
    a: Iterable[Note],
    b: Iterable[Note],
    key_a: Callable[[Note], Hashable],
    key_b: Callable[[Note], Hashable],
) -> _Split:
    """Pairs that agree in a key, in the order of staves and voices."""
    waiting: dict[Hashable, list[Note]] = defaultdict(list)
    in_order = sorted(b, key=_order)
    for note in in_order[::-1]:  # of equals the first is the next to be had
        waiting[key_b(note)].append(note)
    pairs, only_a = [], []
    for note in sorted(a, key=_order):
        same = waiting.get(key_a(note))
        if same:
            pairs.append((note, same.pop()))
        else:
            only_a.append(note)
    return pairs, only_a, [note for rest in waiting.values() for note in rest]


def _unmistakable(a: Iterable[Note], b: Iterable[Note]) -> Iterator[tuple[Note, Note]]:
    """Pairs alike in all they say, of which each bar has one only."""
    heaps: list[dict[Hashable, list[Note]]] = []
    for notes in (a, b):
        heap: dict[Hashable, list[Note]] = defaultdict(list)
        for note in notes:
            heap[_whole(note)].append(note)
        heaps.append(heap)
    for key, ones in heaps[0].items():
        twos = heaps[1].get(key, ())
        if len(ones) == len(twos) == 1:
            yield ones[0], twos[0]


def _voices(a: Bar, b: Bar, pairs: Iterable[tuple[Note, Note]]) -> dict[str, str]:
    """Which voice of B is which of A: most notes in common; the rest in order."""
    shared = Counter((one.thing.voice, two.thing.voice) for one, two in pairs)
    found: dict[str, str] = {}
    for (one, two), _ in sorted(shared.items(), key=lambda item: (-item[1], sorted(item[0]))):
        if two not in found and one not in found.values():
            found[two] = one
    return _with_the_rest(found, a, b)


def _with_the_rest(found: dict[str, str], a: Bar, b: Bar) -> dict[str, str]:
    """Voices of B to those of A, and those that are left in their order."""
    taken = set(found.values())
    left_a = [voice for voice in _voices_of(a) if voice not in taken]
    left_b = [voice for voice in _voices_of(b) if voice not in found]
    return found | dict(zip(left_b, left_a, strict=False))


def _voices_of(bar: Bar) -> list[str]:
    """Voices of a bar, by staff and number."""
    things = [*(note.thing for note in bar.notes), *bar.things]
    named = {thing.voice: thing.staff for thing in reversed(things) if thing.voice}
    return sorted(named, key=lambda voice: (named[voice], len(voice), voice))


def _nearest(
    a: list[Note], b: list[Note], key: Callable[[Note], Hashable], voices: dict[str, str]
) -> _Split:
    """Pairs that agree in a key and in the voice, those nearest in pitch first."""
    if not (a and b):
        return [], a, b
    waiting: dict[Hashable, list[int]] = defaultdict(list)
    for place, note in enumerate(b):
        waiting[key(note), voices.get(note.thing.voice)].append(place)
    near = sorted(
        (*_distance(note, b[other]), place, other)
        for place, note in enumerate(a)
        for other in waiting.get((key(note), note.thing.voice), ())
    )
    taken_a: set[int] = set()
    taken_b: set[int] = set()
    pairs = []
    for *_, one, two in near:
        if one not in taken_a and two not in taken_b:
            taken_a.add(one)
            taken_b.add(two)
            pairs.append((a[one], b[two]))
    left_a = [note for place, note in enumerate(a) if place not in taken_a]
    left_b = [note for place, note in enumerate(b) if place not in taken_b]
    return pairs, left_a, left_b


def _distance(a: Note, b: Note) -> tuple[float, int, float, list[str]]:
    """How unlike two notes are, the same from either side."""
    heights = [note.pitch.midi if note.pitch else 0 for note in (a, b)]
    apart = abs(heights[0] - heights[1])
    return apart, abs(a.length - b.length), sum(heights), sorted((a.thing.what, b.thing.what))
