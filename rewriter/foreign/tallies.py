"""How many signs of each kind there are in a file, and in the MusicXML made of it.

What there are fewer of has not been read, and the report says so. Counted are signs as
players see them: a slur once, a chord's notes each.
"""

import re
from collections import Counter
from collections.abc import Iterator
from typing import Final

from lxml import etree

NOTES, SLURS, DYNAMICS, HAIRPINS = "notes", "slurs", "dynamics", "hairpins"
FERMATAS, ARTICULATIONS, ORNAMENTS = "fermatas", "articulations", "ornaments"
BOWINGS, WORDS, LYRICS, TEMPO = "bowings", "words", "lyrics", "tempo marks"
OTHER = "other signs"

_MUSICXML: Final = {
    "note/pitch": NOTES,
    "note/unpitched": NOTES,
    "note/notations/slur[@type='start']": SLURS,
    "note/notations/dynamics/*": DYNAMICS,
    "direction/direction-type/dynamics/*": DYNAMICS,
    "direction/direction-type/wedge[@type='crescendo']": HAIRPINS,
    "direction/direction-type/wedge[@type='diminuendo']": HAIRPINS,
    "direction/direction-type/words": WORDS,
    "direction/direction-type/metronome": TEMPO,
    "note/notations/fermata": FERMATAS,
    "note/notations/articulations/*": ARTICULATIONS,
    "note/notations/ornaments/trill-mark": ORNAMENTS,
    "note/notations/ornaments/mordent": ORNAMENTS,
    "note/notations/ornaments/inverted-mordent": ORNAMENTS,
    "note/notations/ornaments/turn": ORNAMENTS,
    "note/notations/ornaments/inverted-turn": ORNAMENTS,
    "note/notations/technical/up-bow": BOWINGS,
    "note/notations/technical/down-bow": BOWINGS,
    "note/lyric/text": LYRICS,
}


def tally_of_musicxml(data: bytes) -> Counter[str]:
    """Kind → count, of a score as :func:`rewriter.foreign.tidying.tidied` gives it."""
    bars = etree.fromstring(data).findall("part/measure")
    return Counter(
        {
            kind: sum(len(bar.findall(path)) for bar in bars for path in paths)
            for kind, paths in _paths_by_kind().items()
        }
    )


def _paths_by_kind() -> dict[str, list[str]]:
    paths: dict[str, list[str]] = {}
    for path, kind in _MUSICXML.items():
        paths.setdefault(kind, []).append(path)
    return paths


_MEI: Final = {
    "note": NOTES, "slur": SLURS, "dynam": DYNAMICS, "hairpin": HAIRPINS, "fermata": FERMATAS,
    "artic": ARTICULATIONS, "trill": ORNAMENTS, "mordent": ORNAMENTS, "turn": ORNAMENTS,
    "ornam": ORNAMENTS, "tempo": TEMPO, "dir": WORDS, "syl": LYRICS, "reh": "rehearsal marks",
    "harm": "chord symbols", "octave": "8va lines", "pedal": "pedal marks", "arpeg": OTHER,
    "breath": OTHER, "caesura": OTHER, "gliss": OTHER,
}  # fmt: skip


def tally_of_mei(music: etree._Element) -> Counter[str]:
    """Kind → count, of the ``<music>`` of an MEI file.

    Source: MEI Guidelines 5, common Western music notation: the elements' names, and the
    attributes that stand for elements.
    """
    found: Counter[str] = Counter()
    for element in music.iter(etree.Element):
        kind = _MEI.get(etree.QName(element).localname)
        if kind:
            found[kind] += 1
        found[ARTICULATIONS] += len(str(element.get("artic", "")).split()) * (kind == NOTES)
        found[FERMATAS] += element.get("fermata") is not None
        found[SLURS] += str(element.get("slur", "")).count("i")
    return found


_ABC_WORDS: Final = {
    **dict.fromkeys(
        ["p", "pp", "ppp", "pppp", "f", "ff", "fff", "ffff", "mp", "mf", "sfz"], DYNAMICS
    ),
    **dict.fromkeys(["crescendo(", "<(", "diminuendo(", ">("], HAIRPINS),
    **dict.fromkeys(["crescendo)", "<)", "diminuendo)", ">)", "trill)"], ""),
    **dict.fromkeys(["fermata", "invertedfermata"], FERMATAS),
    **dict.fromkeys(
        [
            "trill",
            "trill(",
            "mordent",
            "lowermordent",
            "uppermordent",
            "pralltriller",
            "roll",
            "turn",
            "turnx",
            "invertedturn",
            "invertedturnx",
        ],
        ORNAMENTS,
    ),
    **dict.fromkeys(
        ["accent", ">", "emphasis", "tenuto", "wedge", "staccato", "marcato", "^"],
        ARTICULATIONS,
    ),
    **dict.fromkeys(["upbow", "downbow"], BOWINGS),
}
_ABC_LETTERS: Final = {
    ".": ARTICULATIONS, "L": ARTICULATIONS, "~": ORNAMENTS, "M": ORNAMENTS, "P": ORNAMENTS,
    "T": ORNAMENTS, "H": FERMATAS, "u": BOWINGS, "v": BOWINGS, "O": OTHER, "S": OTHER,
}  # fmt: skip
_ABC_TEXT: Final = re.compile(r'"[^"\n]*"')
_ABC_SIGN: Final = re.compile(r"!([^!\s]*)!")
_ABC_LETTER: Final = re.compile(r"[.~HLMOPSTuv](?=[.~HLMOPSTuv]*[\^_=]*[A-Ga-g\[(])")
_ABC_FIELD: Final = re.compile(r"\[[A-Za-z]:[^\]\n]*\]|\{[^}\n]*\}")
_SYLLABLE: Final = re.compile(r"[^\s\-|*_\\]+")


def tally_of_abc(text: str) -> Counter[str]:
    """Kind → count, of what a tune prints; its notes are not counted.

    Source: the ABC standard 2.1, sections 4.14 (decorations), 4.11 (slurs), 4.19
    (annotations) and 5.1 (aligned lyrics).
    """
    found: Counter[str] = Counter()
    for row in text.splitlines():
        music = row.partition("%")[0]
        if music.startswith("w:"):
            found[LYRICS] += len(_SYLLABLE.findall(music[2:]))
        if music[1:2] == ":" and music[:1].isalpha():
            continue
        texts = _ABC_TEXT.findall(music)
        found[WORDS] += sum(text[1:2] in set("^_<>@") for text in texts)
        music = _ABC_TEXT.sub("", music)
        found.update(_ABC_WORDS.get(sign, OTHER) for sign in _ABC_SIGN.findall(music))
        music = _ABC_FIELD.sub("", _ABC_SIGN.sub("", music))
        found[SLURS] += len(re.findall(r"\((?!\d)", music))
        found.update(_ABC_LETTERS[letter] for letter in _ABC_LETTER.findall(music))
    del found[""]
    return found


_KERN: Final = {
    "(": SLURS, ";": FERMATAS, "'": ARTICULATIONS, "^": ARTICULATIONS, "~": ARTICULATIONS,
    "`": ARTICULATIONS, "T": ORNAMENTS, "t": ORNAMENTS, "M": ORNAMENTS, "m": ORNAMENTS,
    "W": ORNAMENTS, "w": ORNAMENTS, "S": ORNAMENTS, "$": ORNAMENTS, "u": BOWINGS, "v": BOWINGS,
}  # fmt: skip
_SPLIT, _JOIN, _END = "*^", "*v", "*-"
_DYNAMIC: Final = re.compile(r"[pmf]+z?|s?fz?p?")
_LYRIC_COLUMNS: Final = {"**text", "**silbe", "**lyrics"}


def tally_of_humdrum(text: str) -> Counter[str]:
    """Kind → count, of the columns of a Humdrum file.

    Source: the Humdrum User Guide, chapters 2 (**kern) and 5 (spine paths); **dynam and **text
    representations.
    """
    found: Counter[str] = Counter()
    for column, token in _tokens(text):
        if column == "**kern":
            found[NOTES] += len(re.findall(r"(?:^| )[^ r]*?[a-gA-G]", token))
            found.update(_KERN[sign] for sign in token if sign in _KERN)
        elif column == "**dynam":
            found[HAIRPINS] += sum(sign in "<>" for sign in token)
            found[DYNAMICS] += bool(_DYNAMIC.search(token))
        elif column in _LYRIC_COLUMNS:
            found[LYRICS] += bool(_SYLLABLE.search(token))
    return found


def _tokens(text: str) -> Iterator[tuple[str, str]]:
    """What stands in the columns, each with the name of its column."""
    columns: list[str] = []
    for row in text.splitlines():
        if not row or row.startswith("!"):
            continue
        tokens = row.split("\t")
        if row.startswith("*"):
            columns = list(_columns_after(columns, tokens))
        elif not row.startswith("="):
            yield from (pair for pair in zip(columns, tokens, strict=False) if pair[1] != ".")


def _columns_after(columns: list[str], tokens: list[str]) -> Iterator[str]:
    """The columns below a row that begins, splits, joins or ends some."""
    joined = ""
    for column, said in zip([*columns, *[""] * len(tokens)], tokens, strict=False):
        if said.startswith("**"):
            yield said
        elif said == _SPLIT:
            yield from (column, column)
        elif said == _JOIN:
            if joined != column:
                yield column
        elif said != _END:
            yield column
        joined = column if said == _JOIN else ""
