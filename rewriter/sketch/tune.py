"""Which staff of the sketch is the tune."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple
from unicodedata import normalize

import msgspec

from rewriter.problems import Refused
from rewriter.scores.choosing import part_named, read_choice, require_staff
from rewriter.scores.naming import said_part, said_parts
from rewriter.sketch.requests import Wanted
from rewriter.theory.numbers import in_number_order

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.scores.score import Part
    from rewriter.sketch.music import PartMusic

_LIKE_A_TUNE: Final = frozenset(
    (
        "melody", "tune", "theme", "lead", "melodia", "tema", "canto", "melodie", "thema",
        "weise", "mélodie", "thème", "chant",
    )
)  # fmt: skip


class Choice(NamedTuple):
    """What is the tune, as far as the list of parts tells.

    Attributes:
        part: it is in.
        staff: it stands on.
        voice: its name; empty where nobody named one.
        why: this part.
    """

    part: Part
    staff: str
    voice: str
    why: str


class Tune(msgspec.Struct, frozen=True):
    """The staff and voice chosen, and why, as one sentence."""

    part: Part
    wanted: Wanted
    why: str


def choose_part(parts: Sequence[Part], choice: str = "") -> Choice:
    """The tune's part: what the user names, else what the sketch makes plain.

    Args:
        parts: of the sketch.
        choice: a part by name or id, and perhaps ``staff 2`` and ``voice 1``; empty to look.

    Raises:
        Refused: nothing answers to the choice, or nothing is plainly the tune.
    """
    wanted = read_choice(parts, choice)
    if wanted.part:
        part, why = part_named(parts, wanted.part), "as asked for"
    else:
        part, why = _plainly(parts)
    staff = wanted.staff or "1"
    require_staff(part, staff)
    return Choice(part, staff, wanted.voice, why)


def settle_tune(choice: Choice, music: PartMusic) -> Tune:
    """The tune's voice.

    Args:
        choice: the part.
        music: what happens in it.

    Raises:
        Refused: the staff or voice that is asked for is not there.
    """
    part, staff, voice, why = choice
    settled = _settled(music, staff, voice)
    said = [said_part(part)]
    if part.staves > 1:
        said.append(f"staff {staff}")
    if settled.voice:
        said.append(f"voice {settled.voice}")
    return Tune(part, settled, f"{', '.join(said)}: {why}")


def _plainly(parts: Sequence[Part]) -> tuple[Part, str]:
    if len(parts) == 1:
        if parts[0].staves == 1:
            return parts[0], "the only part"
        return parts[0], "the upper staff of the only part"
    like = [part for part in parts if _LIKE_A_TUNE & set(_words(part.full_name))]
    if len(like) == 1:
        return like[0], "named like a tune"
    if like:
        raise Refused(
            f"{len(like)} parts are named like a tune",
            f"choose one with --tune: {said_parts(like)}",
        )
    single = [part for part in parts if part.staves == 1]
    keyboards = [part for part in parts if part.staves > 1]
    if len(single) == 1:
        return single[0], "the only part on one staff"
    if len(keyboards) == 1 and not single:
        return keyboards[0], "the upper staff of the only keyboard part"
    raise Refused(
        "no part is named like a tune", f"choose one with --tune: {said_parts(parts)}"
    )


def _words(name: str) -> list[str]:
    return re.findall(r"\w+", normalize("NFC", name).casefold())


def _settled(music: PartMusic, staff: str, voice: str) -> Wanted:
    """The voice by its name, and whether the staff has to be looked at as well."""
    places = voices_in(music)
    alone = len(places) <= 1
    here = not places or next(iter(places))[0] == staff
    if alone and here and (not voice or _named_voices(music) == {voice}):
        return Wanted(staff=staff)
    on_staff = [v for s, v in places if s == staff]
    part = said_part(music.part)
    if voice and voice not in on_staff:
        there = ", ".join(sorted(on_staff, key=in_number_order)) or "no notes"
        raise Refused(f"{part}, staff {staff} has no voice {voice}", f"it has {there}")
    chosen = voice or min(on_staff, key=in_number_order, default="")
    if not chosen:
        raise Refused(f"{part}, staff {staff} has no notes", "choose another with --tune")
    shared = any(v == chosen and s != staff for s, v in places)
    return Wanted(chosen, staff, only_staff=shared and _sound_together(music, chosen))


def _named_voices(music: PartMusic) -> set[str]:
    return {form.voice for form in music.forms if "voice" in form.tags}


def voices_in(music: PartMusic) -> dict[tuple[str, str], int]:
    """(staff, voice) → pitched notes, for every voice that sounds.

    A part on one staff with notes of one voice only has one voice, whatever its name.
    """
    if music.part.staves == 1 and len(_named_voices(music)) <= 1:
        return {("1", "1"): 1}
    places: dict[tuple[str, str], int] = {}
    for bar in music.bars:
        for event in bar.events:
            form = event.form
            if form is not None and event.pitch is not None:
                place = form.staff, form.voice
                places[place] = places.get(place, 0) + 1
    return places


def notes_of_voice(music: PartMusic, staff: str, voice: str) -> int:
    """How many pitched notes a voice has."""
    alone = len(voices_in(music)) == 1
    return sum(
        alone or (event.form.staff, event.form.voice) == (staff, voice)
        for bar in music.bars
        for event in bar.events
        if event.form is not None and event.pitch is not None
    )


def _sound_together(music: PartMusic, voice: str) -> bool:
    """True when a voice name stands for two voices, one on each of two staves.

    A voice that wanders to the other staff and back is one voice; two that sound in the same
    bar with a ``<backup>`` between them are two.
    """
    for bar in music.bars:
        staves_before: set[str] = set()
        staves: set[str] = set()
        for event in bar.events:
            if event.tag == "backup":
                staves_before |= staves
                staves = set()
            elif event.form is not None and event.form.voice == voice:
                staves.add(event.form.staff)
                if staves_before and not staves <= staves_before:
                    return True
    return False
