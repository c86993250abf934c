"""Which staff of the sketch is the tune."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple
from unicodedata import normalize

from lxml import etree

from rewriter.problems import Refused
from rewriter.sketch.raw import Wanted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lxml.etree import _Element as Element

_LIKE_A_TUNE: Final = frozenset(
    (
        "melody", "tune", "theme", "lead", "melodia", "tema", "canto", "melodie", "thema",
        "weise", "mélodie", "thème", "chant",
    )
)  # fmt: skip
_MOST_STAVES: Final = 64
"""A part with more is damaged."""

_STAVES_NAMED: Final = etree.XPath("boolean(measure/note/staff)")
_VOICES: Final = etree.XPath("measure/note[pitch]/voice/text()", smart_strings=False)
_NOTES_WITHOUT_VOICE: Final = etree.XPath("count(measure/note[pitch][not(voice/text())])")
_CHOICE: Final = re.compile(
    r"(?P<part>.*?)(?:\s*\bstaff\s+(?P<staff>\d+))?(?:\s*\bvoice\s+(?P<voice>\S+))?",
    re.IGNORECASE | re.DOTALL,
)


class SketchPart(NamedTuple):
    """A part of the sketch: its element, id, name and number of staves."""

    element: Element
    id: str
    name: str
    staves: int

    @property
    def said(self) -> str:
        """For people: ``"Flute" (P1)``."""
        return f'"{self.name}" ({self.id})' if self.name else self.id


class Tune(NamedTuple):
    """The staff and voice chosen, and why, as one sentence."""

    part: SketchPart
    wanted: Wanted
    why: str


def parts_of(root: Element) -> list[SketchPart]:
    """The parts of a partwise score, in order."""
    names = {
        str(entry.get("id")): " ".join((entry.findtext("part-name") or "").split())
        for entry in root.iterfind("part-list/score-part")
    }
    parts = []
    for element in root.iterchildren("part"):
        number = str(element.get("id", ""))
        staves = max((_count(e.text) for e in element.iter("staves")), default=1)
        staves = min(max(staves, 1), _MOST_STAVES)
        parts.append(SketchPart(element, number, names.get(number, ""), staves))
    return parts


def _count(text: str | None) -> int:
    return int(text) if text and text.strip().isdecimal() else 1


def choose_tune(parts: Sequence[SketchPart], choice: str = "") -> Tune:
    """The tune: what the user names, else what the sketch makes plain.

    Args:
        parts: of the sketch.
        choice: a part by name or id, and perhaps ``staff 2`` and ``voice 1``; empty to look.

    Raises:
        Refused: nothing answers to the choice, or nothing is plainly the tune.
    """
    wanted = {"part": choice, "staff": None, "voice": None}
    match = _CHOICE.fullmatch(choice.strip())
    if match and not _answering(parts, choice):  # a part may be called "Voice 1"
        wanted = match.groupdict()
    if wanted["part"]:
        part, why = _named(parts, wanted["part"]), "as asked for"
    else:
        part, why = _plainly(parts)
    staff, voice = wanted["staff"] or "1", wanted["voice"] or ""
    if int(staff) > part.staves:
        raise Refused(
            f"{part.said} has no staff {staff}", f"it has {part.staves}; choose one with --tune"
        )
    settled = _settled(part, staff, voice)
    said = [part.said]
    if part.staves > 1:
        said.append(f"staff {staff}")
    if settled.voice:
        said.append(f"voice {settled.voice}")
    return Tune(part, settled, f"{', '.join(said)}: {why}")


def _named(parts: Sequence[SketchPart], name: str) -> SketchPart:
    named = _answering(parts, name)
    if len(named) == 1:
        return named[0]
    name = _bare(name)
    if named:
        listed = ", ".join(part.id for part in named)
        raise Refused(f'{len(named)} parts are called "{name}"', f"choose one of {listed}")
    raise Refused(f'no part is called "{name}"', f"choose one with --tune: {_listed(parts)}")


def _answering(parts: Sequence[SketchPart], name: str) -> list[SketchPart]:
    """The part with this id, else those with this name."""
    name = _bare(name)
    with_id = [part for part in parts if part.id == name and name]
    return with_id or [p for p in parts if p.name.casefold() == name.casefold() and name]


def _bare(name: str) -> str:
    return name.strip().strip("\"'").strip()


def _listed(parts: Sequence[SketchPart]) -> str:
    return ", ".join(part.said for part in parts)


def _plainly(parts: Sequence[SketchPart]) -> tuple[SketchPart, str]:
    if len(parts) == 1:
        if parts[0].staves == 1:
            return parts[0], "the only part"
        return parts[0], "the upper staff of the only part"
    like = [part for part in parts if _LIKE_A_TUNE & set(_words(part.name))]
    if len(like) == 1:
        return like[0], "named like a tune"
    if like:
        raise Refused(
            f"{len(like)} parts are named like a tune",
            f"choose one with --tune: {_listed(like)}",
        )
    single = [part for part in parts if part.staves == 1]
    keyboards = [part for part in parts if part.staves > 1]
    if len(single) == 1:
        return single[0], "the only part on one staff"
    if len(keyboards) == 1 and not single:
        return keyboards[0], "the upper staff of the only keyboard part"
    raise Refused("no part is named like a tune", f"choose one with --tune: {_listed(parts)}")


def _words(name: str) -> list[str]:
    return re.findall(r"\w+", normalize("NFC", name).casefold())


def _settled(part: SketchPart, staff: str, voice: str) -> Wanted:
    """The voice by its name, and whether the staff has to be looked at as well."""
    places = voices_in(part)
    alone = len(places) <= 1
    here = not places or next(iter(places))[0] == staff
    if alone and here and (not voice or _is_only_voice(part, voice)):
        return Wanted(staff=staff)
    on_staff = [v for s, v in places if s == staff]
    if voice and voice not in on_staff:
        there = ", ".join(sorted(on_staff, key=_by_number)) or "no notes"
        raise Refused(f"{part.said}, staff {staff} has no voice {voice}", f"it has {there}")
    chosen = voice or min(on_staff, key=_by_number, default="")
    if not chosen:
        raise Refused(f"{part.said}, staff {staff} has no notes", "choose another with --tune")
    shared = any(v == chosen and s != staff for s, v in places)
    return Wanted(chosen, staff, only_staff=shared and _sound_together(part, chosen))


def _is_only_voice(part: SketchPart, voice: str) -> bool:
    """True when the one voice of a part has this name, whatever its number."""
    names = {(element.text or "").strip() for element in part.element.iter("voice")}
    return names == {voice}


def _by_number(voice: str) -> tuple[int, str]:
    return (int(voice) if voice.isdecimal() else 10**6, voice)


def voices_in(part: SketchPart) -> dict[tuple[str, str], int]:
    """(staff, voice) → pitched notes, for every voice that sounds."""
    if part.staves == 1:
        if len({v.text for v in part.element.iter("voice")}) <= 1:
            return {("1", "1"): 1}
        if not _STAVES_NAMED(part.element):
            return _by_voice(part.element)
    places: dict[tuple[str, str], int] = {}
    for note in part.element.iter("note"):
        if note.find("pitch") is None:
            continue
        place = _place(note)
        places[place] = places.get(place, 0) + 1
    return places


def notes_of_voice(part: SketchPart, staff: str, voice: str) -> int:
    """How many pitched notes a voice has."""
    alone = len(voices_in(part)) == 1
    notes = (note for note in part.element.iter("note") if note.find("pitch") is not None)
    return sum(alone or _place(note) == (staff, voice) for note in notes)


def _by_voice(part: Element) -> dict[tuple[str, str], int]:
    """The voices of a part on one staff, which need no look at each note."""
    names = [str(name).strip() for name in _VOICES(part)]
    names += ["1"] * int(_NOTES_WITHOUT_VOICE(part))
    places: dict[tuple[str, str], int] = {}
    for name in names:
        places["1", name] = places.get(("1", name), 0) + 1
    return places


def _place(note: Element) -> tuple[str, str]:
    return (
        (note.findtext("staff") or "1").strip(),
        (note.findtext("voice") or "1").strip(),
    )


def _sound_together(part: SketchPart, voice: str) -> bool:
    """True when a voice name stands for two voices, one on each of two staves.

    A voice that wanders to the other staff and back is one voice; two that sound in the same
    bar with a ``<backup>`` between them are two.
    """
    for measure in part.element.iterchildren("measure"):
        staves_before: set[str] = set()
        staves: set[str] = set()
        for child in measure:
            if child.tag == "backup":
                staves_before |= staves
                staves = set()
            elif child.tag == "note" and (child.findtext("voice") or "1").strip() == voice:
                staves.add(_place(child)[0])
                if staves_before and not staves <= staves_before:
                    return True
    return False
