"""Ensemble files: from TOML to sections; a file may say only what differs from another."""

from functools import lru_cache
from pathlib import Path
from typing import Annotated, NamedTuple

import msgspec
from msgspec import UNSET, Meta, UnsetType

from rewriter.problems import Refused
from rewriter.rulefiles.ensembles import (
    ClefUse,
    Ensemble,
    Figures,
    LanguageNames,
    Register,
    Section,
)
from rewriter.rulefiles.shapes import RuleText
from rewriter.rulefiles.shelf import find_rule, path_of_name, shown
from rewriter.rulefiles.words import ClefName, Language, PitchText, RegisterSet, Words
from rewriter.theory.pitch import name_of_midi, parse_pitch

_CLEFS = {"treble": ("G", 2), "alto": ("C", 3), "tenor": ("C", 4), "bass": ("F", 4)}

Sings = Annotated[float, Meta(ge=0, le=1)]
LegerLines = Annotated[int, Meta(ge=1, le=15)]


class ByStrengthFile(msgspec.Struct, forbid_unknown_fields=True):
    """A figure for music that is soft (p and below), plain, and full (f and above)."""

    soft: Sings
    plain: Sings
    full: Sings


class RegisterFile(msgspec.Struct, forbid_unknown_fields=True, rename={"from_": "from"}):
    """A band of the range, up to the next one, and how well a tune sings in it (0 to 1)."""

    name: Words
    from_: PitchText
    sings: Sings | ByStrengthFile
    sings_in_four_levels: Sings | ByStrengthFile | None = None


class ClefFile(msgspec.Struct, forbid_unknown_fields=True):
    """A clef and the pitches it is used for."""

    clef: ClefName
    above: PitchText | None = None
    back_below: PitchText | None = None


class SectionFile(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """A section; in a file based on another one only what differs."""

    name: Words
    names: LanguageNames | UnsetType = UNSET
    spellings: tuple[Words, ...] | UnsetType = UNSET
    players: Annotated[int, Meta(ge=1, le=99)] | UnsetType = UNSET
    strings: tuple[PitchText, ...] | UnsetType = UNSET
    lowest: PitchText | UnsetType = UNSET
    low: PitchText | UnsetType = UNSET
    high: PitchText | UnsetType = UNSET
    extreme: PitchText | UnsetType = UNSET
    registers: tuple[RegisterFile, ...] | UnsetType = UNSET
    clefs: tuple[ClefFile, ...] | UnsetType = UNSET
    clef_stays_bars: Annotated[int, Meta(ge=0, le=99)] | UnsetType = UNSET
    clef_stays_notes: Annotated[int, Meta(ge=1, le=99)] | UnsetType = UNSET
    readable_leger_lines: LegerLines | UnsetType = UNSET
    clef_breaks_slur_beyond_leger_lines: LegerLines | UnsetType = UNSET
    ottava_beyond_leger_lines: LegerLines | UnsetType = UNSET
    ottava_stays_bars: Annotated[int, Meta(ge=0, le=99)] | UnsetType = UNSET
    ottava_stays_notes: Annotated[int, Meta(ge=1, le=99)] | UnsetType = UNSET
    ottava_slur_notes: Annotated[int, Meta(ge=1, le=99)] | UnsetType = UNSET
    sound: Words | UnsetType = UNSET
    program: Annotated[int, Meta(ge=1, le=128)] | UnsetType = UNSET
    written_octave: Annotated[int, Meta(ge=-2, le=2)] | UnsetType = UNSET
    group: Words | UnsetType = UNSET


_MAY_BE_MISSING = {
    "spellings",
    "lowest",
    "clef_stays_bars",
    "clef_stays_notes",
    "readable_leger_lines",
    "clef_breaks_slur_beyond_leger_lines",
    "ottava_beyond_leger_lines",
    "ottava_stays_bars",
    "ottava_stays_notes",
    "ottava_slur_notes",
    "written_octave",
    "group",
}


class EnsembleFile(msgspec.Struct, forbid_unknown_fields=True):
    """An ensemble: its sections in score order, or another ensemble and what differs."""

    title: str = ""
    summary: str = ""
    source: Words = "common practice, no source"
    language: Language | UnsetType = UNSET
    registers: RegisterSet | UnsetType = UNSET
    based_on: Words | None = None
    without: tuple[Words, ...] = ()
    section: tuple[SectionFile, ...] = ()


class _Given(NamedTuple):
    """Sections as the files give them, still in the words of the files."""

    language: Language | None
    registers: RegisterSet | None
    sections: dict[str, SectionFile]


def load_ensemble(name_or_path: str = "symphonic") -> Ensemble:
    """The ensemble by name or file.

    Raises:
        Refused: no such ensemble, or the file has faults.
    """
    path, text = find_rule("ensembles", name_or_path)
    if "based_on" not in text:
        return _alone(text, shown(path), path)
    return ensemble_from_text(text, shown(path), name=path.stem, seen=(path,))


@lru_cache(maxsize=4)
def _alone(text: str, file: str, path: Path) -> Ensemble:
    """An ensemble that no other file has a part in; a command asks for it more than once."""
    return ensemble_from_text(text, file, name=path.stem, seen=(path,))


def ensemble_from_text(
    text: str, file: str, *, name: str, seen: tuple[Path, ...] = ()
) -> Ensemble:
    """Read an ensemble file.

    Args:
        text: its content.
        file: how messages name it.
        name: what messages call the ensemble.
        seen: files on the way here, none of which it may be based on.

    Raises:
        Refused: every fault in the file, one line each.
    """
    rule = RuleText(text, file)
    read = rule.read(EnsembleFile)
    given = _given(rule, read, seen)
    language = given.language or "en"
    places = {section.name: index for index, section in enumerate(read.section)}
    sections = [
        _section(rule, section, places.get(name), language)
        for name, section in given.sections.items()
    ]
    if not sections:
        rule.fault(("section",), "there is no section", "add one, or name one in based_on")
    rule.refuse_if_faulty()
    return Ensemble(
        name=name,
        title=read.title or name,
        summary=read.summary,
        source=read.source,
        language=language,
        sections=tuple(section for section in sections if section is not None),
        registers=given.registers or "singing",
    )


def _given(rule: RuleText, read: EnsembleFile, seen: tuple[Path, ...]) -> _Given:
    """The sections of a file laid over those of the file it is based on."""
    sections: dict[str, SectionFile] = {}
    language: Language | None = None
    registers: RegisterSet | None = None
    if read.based_on is not None:
        language, registers, below = _base(rule, read.based_on, seen)
        sections = dict(below)
    _leave_out(rule, read.without, sections)
    for section in read.section:
        old = sections.get(section.name)
        sections[section.name] = section if old is None else _laid_over(old, section)
    return _Given(
        language if read.language is UNSET else read.language,
        registers if read.registers is UNSET else read.registers,
        sections,
    )


def _leave_out(
    rule: RuleText, names: tuple[str, ...], sections: dict[str, SectionFile]
) -> None:
    """Take sections out that the file it is based on has and this one has not."""
    for place, name in enumerate(names):
        if name not in sections:
            listed = ", ".join(sections) or "nothing, since there is no based_on"
            what = f'there is no "{name}" to leave out'
            rule.fault(("without", place), what, f"there is {listed}")
        sections.pop(name, None)


def _base(rule: RuleText, name: str, seen: tuple[Path, ...]) -> _Given:
    """The sections of the file that another is based on; of its own name, the shipped one."""
    resolved = [path.resolve() for path in seen]
    try:
        path, text = find_rule("ensembles", name, besides=resolved)
    except Refused as fault:
        itself = path_of_name("ensembles", name.strip()) is not None
        what = f'"{name}" is based on itself' if itself else fault.what
        rule.fault(("based_on",), what, "" if itself else fault.remedy)
        rule.refuse_if_faulty()
        raise
    if path.resolve() in resolved:
        rule.fault(("based_on",), f'"{name}" is based on itself')
        rule.refuse_if_faulty()
    base = RuleText(text, shown(path))
    return _given(base, base.read(EnsembleFile), (*seen, path))


def _laid_over(old: SectionFile, new: SectionFile) -> SectionFile:
    given = {
        field: value
        for field in SectionFile.__struct_fields__
        if (value := getattr(new, field)) is not UNSET
    }
    return msgspec.structs.replace(old, **given)


def _section(
    rule: RuleText, read: SectionFile, place: int | None, language: str
) -> Section | None:
    """A section with its pitches as numbers; None, and faults noted, where it is not whole."""
    path: tuple[str | int, ...] = ("section",) if place is None else ("section", place)
    before = len(rule.faults)
    for field in SectionFile.__struct_fields__:
        if field not in _MAY_BE_MISSING and getattr(read, field) is UNSET:
            rule.fault((*path, field), f"this setting is missing for {read.name}")
    if len(rule.faults) > before:
        return None
    section = _built(read, language)
    _look_at_order(rule, section, path)
    return section


def _look_at_order(rule: RuleText, section: Section, path: tuple[str | int, ...]) -> None:
    """Note what is upside down in a section."""
    climbing = [
        ("low", section.lowest, section.low, "below the lowest note"),
        ("high", section.low, section.high, "below the low end of the range"),
        ("extreme", section.high, section.extreme, "below the high end of the range"),
    ]
    for key, below, above, words in climbing:
        if above < below:
            what = f"{name_of_midi(above)} is {words} ({name_of_midi(below)})"
            rule.fault((*path, key), what)
    starts = [register.from_midi for register in section.registers]
    if starts != sorted(set(starts)) or not starts or starts[0] > section.low:
        what = f"the registers do not climb from {name_of_midi(section.low)}"
        rule.fault(
            (*path, "registers"), what, "list them lowest first, from the range's low end"
        )
    if not section.clefs:
        rule.fault((*path, "clefs"), "there is no clef", "name at least one")
    if list(section.strings) != sorted(section.strings) or not section.strings:
        rule.fault(
            (*path, "strings"), "the open strings do not climb", "list them lowest first"
        )


def _built(read: SectionFile, language: str) -> Section:
    """The section; every setting that may not be missing is there."""
    given = {
        field: value
        for field in SectionFile.__struct_fields__
        if (value := getattr(read, field)) is not UNSET
    }
    strings = tuple(_midi(string) for string in given["strings"])
    pitches = {field: _midi(given[field]) for field in ("low", "high", "extreme")}
    lowest = _midi(given["lowest"]) if "lowest" in given else min(strings, default=0)
    changed = {
        "key": given.pop("name"),
        "spellings": given.get("spellings", ()),
        "strings": strings,
        "lowest": lowest,
        "registers": tuple(
            Register(
                band.name,
                _midi(band.from_),
                _figures(band.sings),
                None if (low := band.sings_in_four_levels) is None else _figures(low),
            )
            for band in given["registers"]
        ),
        "clefs": tuple(
            ClefUse(use.clef, *_CLEFS[use.clef], _maybe(use.above), _maybe(use.back_below))
            for use in given["clefs"]
        ),
        "language": language,
    }
    return Section(**{**given, **pitches, **changed})


def _figures(read: float | ByStrengthFile) -> Figures:
    """One figure is for music of any strength."""
    if isinstance(read, ByStrengthFile):
        return Figures(read.soft, read.plain, read.full)
    return Figures(read, read, read)


def _midi(text: str) -> int:
    return int(parse_pitch(text).midi)


def _maybe(text: str | None) -> int | None:
    return None if text is None else _midi(text)
