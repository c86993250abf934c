"""Which family of instruments a part belongs to that is no string section."""

from __future__ import annotations

import re
from typing import Final, Literal

from rewriter.rulefiles.ensembles import unaccented

Family = Literal["strings", "wind", "brass", "percussion", "voice", "keyboard", "other"]

_NAMES: Final[tuple[tuple[Family, str], ...]] = (
    # what is called after another family comes first
    ("wind", "english horn|englisch ?horn|cor anglais|corno inglese|c a|corno di bassetto|"
             "basset ?horn|bassett? ?horn|cor de basset|sax\\w*|contrabassoon|"
             "double bassoon|contrabass clarinet|bass clarinet"),
    ("strings", "viola da gamba|viola d ?amore|viole d ?amour|violone|gamb\\w*|violin\\w*|"
                "violon\\w*|geigen?|violoncell\\w*|cell[oi]s?|violas?|bratschen?|"
                "strings?|archi|streicher|cordes|string (?:orchestra|ensemble|quartet)|"
                "contrabass\\w*|kontrabass\\w*|double bass\\w*|contrebasses?"),
    ("brass", "bass trombone|(?:bass|tenor|alt)posaunen?|bass tuba|tenor (?:horn|tuba)"),
    ("percussion", "bass drum|gro(?:ss|\u00df)e trommel|tenor drum|grosse caisse|gran cassa"),
    ("other", "electric bass|bass guitar|e bass|acoustic bass guitar"),
    ("wind", "flutes?|floten?|flaut[oi]|traverso|flauti piccoli|fl|picc?|piccol[oi]|"
             "kleine flote|oboes?|oboen?|oboi|hautbois|htb|ob|clarinets?|klarinetten?|"
             "clarinett[oi]|clarinettes?|clar|cl|klar|bassoons?|fagotte?|fagott[oi]|fag|fg|"
             "bassons?|bsns?|bn|contrafagotto|kontrafagott|contrebasson|recorders?|"
             "blockfloten?|winds?|woodwinds?|legni|holzblaser|bois|shawms?|duduk"),
    ("brass", "\\w*horns?|horner|corn[oi]|cors?|hns?|hr|cor|trumpets?|trompeten?|tromb[ae]|"
              "trompettes?|tpts?|trp|cornets?|cornett[oi]|kornett|trombon\\w*|\\w*posaunen?|"
              "tbns?|trb|pos|tubas?|tube|euphoniums?|ophicleide|serpent|brass|ottoni|"
              "blechblaser|cuivres"),
    ("percussion", "timpani|timp|pauken?|pk|timbales|percussion[is]?|perc|schlagzeug|"
                   "schlagwerk|batterie|drums?|drum ?set|trommeln?|tambour\\w*|tambur\\w*|"
                   "cymbals?|becken|piatti|cymbales|triang\\w*|tam ?tam|gongs?|glockenspiel|"
                   "xylophone?|xilofono|marimba|vibraphone?|vibrafono|campan\\w*|glocken|"
                   "chimes|bells|cowbell|crotales|cassa|caisse|wood ?blocks?|snare|tom ?toms?"),
    ("keyboard", "pianos?|pianoforte|fortepiano|klavier|pf|pno|klav|organs?|orgel|organo|"
                 "orgue|org|harpsichord|cembalo|clavicembalo|clavecin|cemb|celest\\w*|"
                 "keyboards?|harmonium|harmonica|accordion|akkordeon|continuo|"
                 "basso continuo|b c"),
    ("voice", "sopran\\w*|mezzo\\w*|contralto|tenor[ei]?s?|tenore|bariton\\w*|barytons?|"
              "contratenor|countertenor|cantus|canto|superius|altus|bassus|quint[ou]s?|"
              "discantus|voices?|vocals?|voix|voc[ei]|stimmen?|singstimmen?|gesang|chant|"
              "choir|chorus|chor|coro|choeur|c\u0153ur|treble"),
    ("other", "harps?|harfen?|arp[ae]|harpes?|hp|guitars?|gitarren?|chitarra|guitares?|"
              "lute|laute|liuto|luth|mandolin\\w*|mandoline|theorb\\w*|tiorba|synth\\w*"),
)  # fmt: skip
_PATTERNS: Final = [(family, re.compile(rf"\b(?:{pattern})\b")) for family, pattern in _NAMES]
_SOUNDS: Final[dict[str, Family]] = {
    "wind": "wind",
    "brass": "brass",
    "drum": "percussion",
    "metal": "percussion",
    "wood": "percussion",
    "rattle": "percussion",
    "effect": "percussion",
    "pitched-percussion": "percussion",
    "voice": "voice",
    "keyboard": "keyboard",
    "strings": "strings",
    "pluck": "other",
    "synth": "other",
}
"""The families of MusicXML's sound ids; source: W3C MusicXML 4.0, sounds.xml."""

_PROGRAMS: Final[tuple[tuple[int, Family], ...]] = (
    (8, "keyboard"), (16, "percussion"), (24, "keyboard"), (40, "other"), (46, "strings"),
    (47, "other"), (48, "percussion"), (52, "strings"), (55, "voice"), (56, "other"),
    (64, "brass"), (80, "wind"), (112, "other"), (119, "percussion"), (128, "other"),
)  # fmt: skip
"""The families of General MIDI 1 programs, counted from 1: up to which number each goes."""


def family_named(text: str) -> Family | None:
    """The family a name means; None where it means none.

    >>> family_named("2 Bb Clarinets"), family_named("Corno inglese"), family_named("Corno 1")
    ('wind', 'wind', 'brass')
    """
    plain = " ".join(re.split(r"[\W\d_]+", unaccented(text).lower())).strip()
    return next((family for family, pattern in _PATTERNS if pattern.search(plain)), None)


def family_of_sound(sound: str) -> Family | None:
    """The family of a MusicXML sound id such as ``wind.reed.oboe``; None for none."""
    return _SOUNDS.get(sound.partition(".")[0])


def family_of_program(program: int) -> Family | None:
    """The family of a General MIDI program, counted from 1; None beyond its 128."""
    if program < 1:
        return None
    return next((family for most, family in _PROGRAMS if program <= most), None)
