"""Whether the numbers of the report are those of the sketch and of the score."""

from collections import Counter
from collections.abc import Iterator
from typing import Any

from tests.corpus.trying import Trouble
from tests.ledger.entries import Said
from tests.ledger.lost import DROPPED
from tests.ledger.section import Section, Sides
from tests.ledger.voice import STARTS, Voice

KEPT = {
    "slur": "slurs", "tied": "ties", "tuplet": "tuplets", "glissando": "glissandi",
    "slide": "slides", "wavy-line": "trill lines", "arpeggiate": "arpeggios",
    "grace": "grace notes", "wedge": "hairpins", "dashes": "dashes", "bracket": "brackets",
}  # fmt: skip
_OF_THE_PART = {"", "clefs", "staff details"}
_SEVERAL_AT_ONCE = {"lyrics", "fingerings", "string numbers", "pedal marks", "8va lines"}


def miscounted(voice: Voice, section: Section, sides: Sides) -> Iterator[Trouble]:
    """Names whose count is not right, where a section plays the whole tune by one layout.

    Of what a note has several of, and of lines, only whether there is any is held.
    """
    tags = (one.kind.partition(" ")[0] for one in voice.entries)
    dropped = Counter(DROPPED[tag] for tag in tags if tag in DROPPED)
    for name in sorted(set(DROPPED.values()) - _OF_THE_PART):
        found, said = dropped[name], sides.report["dropped"].get(name, 0)
        if (bool(found) != bool(said)) if name in _SEVERAL_AT_ONCE else found != said:
            yield Trouble("miscounted", name, f"{said} dropped, {found} in the sketch")
    there = Counter[str]()
    for one in section.said.entries:
        tag, _, says = one.kind.partition(" ")
        if tag in KEPT and (tag in {"grace", "arpeggiate"} or says in STARTS):
            there[KEPT[tag]] += 1
    yield from miscounted_bars(section.said, sides.report)
    for name in sorted(set(KEPT.values())):
        kept = sides.report["kept"].get(name, 0)
        if there[name] != kept:
            yield Trouble("miscounted", name, f"{kept} kept, {there[name]} in the score")


def miscounted_bars(said: Said, report: dict[str, Any]) -> Iterator[Trouble]:
    """Repeats and endings of the report that are not those of a part, which has them all."""
    kinds = [one.kind for one in said.entries]
    there = {
        "repeats": sum(" repeat " in kind for kind in kinds),
        "endings": sum(" ending " in kind and "type=start" in kind for kind in kinds),
    }
    for name, count in there.items():
        kept = report["kept"].get(name, 0)
        if kept != count:
            yield Trouble("miscounted", name, f"{kept} kept, {count} in the score")
