"""The MusicXML that the tiny notation of ``tests.shorthand`` stands for, bar by bar."""

import re
from dataclasses import dataclass, field, replace
from fractions import Fraction
from xml.sax.saxutils import escape

ALTERS = {"": 0, "n": 0, "#": 1, "b": -1, "##": 2, "bb": -2}
ORNAMENTS = {"trill": "trill-mark", "turn": "turn", "mordent": "mordent"}
DYNAMICS = r"p+|f+|m[pf]|s?fz|fp|sf"
WRITTEN = re.compile(r"([A-G])([#bn]*)(\d)(\?|-|=[#bn]+|)")
TECHNICAL = {"up-bow", "down-bow", "open-string", "harmonic", "snap-pizzicato", "stopped"}


@dataclass
class Sound:
    """One note, chord or rest on its way to XML; length in quarters."""

    pitches: list[str]
    kind: str
    length: Fraction
    shape: str
    dots: int
    marks: list[str]
    syllable: str
    ratio: Fraction
    ties_on: bool
    tied_from: set[str] = field(default_factory=set)
    spans: list[str] = field(default_factory=list)
    accidentals: dict[str, str] = field(default_factory=dict)


def _notations(sound: Sound, ties: tuple[bool, bool]) -> str:
    """What hangs on the note, in an order the schema takes."""
    groups: dict[str, str] = {"ornaments": "", "technical": "", "articulations": ""}
    free = "".join(
        f'<tied type="{t}"/>' for t, on in zip(("stop", "start"), ties, strict=True) if on
    )
    free += "".join(sound.spans)
    for mark in sound.marks:
        if end := re.fullmatch(r"(begin|end)-([a-z-]+)-(\d+)", mark):
            kind = "start" if end[1] == "begin" else "stop"
            said = f'<{end[2]} type="{kind}" number="{end[3]}"/>'
            if end[2] == "wavy-line":
                groups["ornaments"] += said
            else:
                free += said
        elif mark in ("fermata", "arpeggiate"):
            free += f"<{mark}/>"
        elif re.fullmatch(DYNAMICS, mark):
            free += f"<dynamics><{mark}/></dynamics>"
        elif mark.isdigit():
            groups["ornaments"] += f'<tremolo type="single">{mark}</tremolo>'
        elif mark == "diamond":
            continue
        elif mark in ORNAMENTS:
            groups["ornaments"] += f"<{ORNAMENTS[mark]}/>"
        else:
            groups["technical" if mark in TECHNICAL else "articulations"] += f"<{mark}/>"
    free += "".join(f"<{name}>{said}</{name}>" for name, said in groups.items() if said)
    return f"<notations>{free}</notations>" if free else ""


def bare_of(pitch: str) -> str:
    """A pitch without what is said of its sign."""
    return re.sub(r"\?|-|=.*", "", pitch).replace("n", "")


def _pitch(text: str) -> str:
    step, alter, octave, _ = WRITTEN.fullmatch(text).groups()  # type: ignore[union-attr]  # read before
    said = f"<alter>{ALTERS[alter]}</alter>" if ALTERS[alter] else ""
    return f"<pitch><step>{step}</step>{said}<octave>{octave}</octave></pitch>"


def _sound_xml(sound: Sound, divisions: int, where: str) -> str:
    notes = []
    for place, pitch in enumerate(sound.pitches):
        ties = (bool(sound.tied_from) and bare_of(pitch) in sound.tied_from, sound.ties_on)
        head = f"<grace{' slash=' + chr(34) + 'yes' + chr(34) if '/' in sound.kind else ''}/>"
        head = head if sound.kind.startswith("`") else ""
        hidden = ' print-object="no"' if sound.kind == "hidden:" else ""
        head += "<cue/>" if sound.kind == "cue:" else ""
        head += "<chord/>" if place else ""
        whole = ' measure="yes"' if pitch == "R" else ""
        said = {"r": "<rest/>", "R": f"<rest{whole}/>"}.get(pitch) or (
            "<unpitched/>" if pitch == "X" else _pitch(pitch)
        )
        length = f"<duration>{int(sound.length * divisions)}</duration>" if sound.length else ""
        tie = "".join(
            f'<tie type="{t}"/>' for t, on in zip(("stop", "start"), ties, strict=True) if on
        )
        shape = "" if pitch == "R" else f"<type>{sound.shape}</type>" + "<dot/>" * sound.dots
        ratio = f"<actual-notes>{sound.ratio.denominator}</actual-notes>"
        ratio += f"<normal-notes>{sound.ratio.numerator}</normal-notes>"
        ratio = f"<time-modification>{ratio}</time-modification>" if sound.ratio != 1 else ""
        hanging = _notations(sound if not place else replace(sound, spans=[], marks=[]), ties)
        sung = (
            f"<lyric><text>{escape(sound.syllable)}</text></lyric>"
            if sound.syllable and not place
            else ""
        )
        touched = "diamond" in sound.marks and place == len(sound.pitches) - 1
        behind = ratio + ("<notehead>diamond</notehead>" if touched else "")
        voice, staff = where.split("/", 1)
        notes.append(
            f"<note{hidden}>{head}{said}{length}{tie}<voice>{voice}</voice>{shape}"
            f"{sound.accidentals.get(pitch, '')}{behind}{staff}{hanging}{sung}</note>"
        )
    return "".join(notes)


def _attributes(said: list[str], first: str) -> str:
    order = ("divis", "key", "time", "stave", "clef", "transpose", "measure-sty")
    said = sorted(said, key=lambda one: next(n for n, w in enumerate(order) if w in one[:12]))
    return f"<attributes>{first}{''.join(said)}</attributes>" if said or first else ""


def numbering_xml(each: str) -> str:
    """How often bar numbers are printed from a bar on; nothing where that is not said."""
    said = f"<measure-numbering>{each}</measure-numbering>"
    return f"<print>{said}</print>" if each else ""


def bar_xml(staves: list[list[list[Sound | str]]], divisions: int, *, first: bool) -> str:
    """One bar of all staves; every voice but the first begins with a backup."""
    said, number, length = "", 0, Fraction(0)
    opening = [item[1:] for voices in staves for item in voices[0] if _leads(item, voices[0])]
    head = f"<divisions>{divisions}</divisions>" if first else ""
    count = f"<staves>{len(staves)}</staves>" if first and len(staves) > 1 else ""
    said += _attributes(opening + [count] * bool(count), head)
    for staff, voices in enumerate(staves, start=1):
        for voice in voices:
            number += 1
            if number > 1 and length:
                said += f"<backup><duration>{int(length * divisions)}</duration></backup>"
            where = f"{number}/" + (f"<staff>{staff}</staff>" if len(staves) > 1 else "")
            for item in voice:
                if isinstance(item, Sound):
                    said += _sound_xml(item, divisions, where)
                elif not item.startswith("@"):
                    said += item
                elif not _leads(item, voice):
                    said += _attributes([item[1:]], "")
            length = sum((s.length for s in voice if isinstance(s, Sound)), Fraction(0))
    return said


def _leads(item: Sound | str, voice: list[Sound | str]) -> bool:
    """True when the item is an attribute before the voice's first sound."""
    if isinstance(item, Sound) or not item.startswith("@"):
        return False
    sounds = [place for place, one in enumerate(voice) if isinstance(one, Sound)]
    place = next(n for n, one in enumerate(voice) if one is item)
    return not sounds or place < sounds[0]


def barline_xml(where: str, kind: str, style: str, ending: str, *, repeat: bool) -> str:
    said = f"<bar-style>{style}</bar-style>" if repeat and style else ""
    if ending:
        said += f'<ending number="{ending}" type="{"start" if where == "left" else "stop"}"/>'
    said += f'<repeat direction="{kind}"/>' if repeat else ""
    return f'<barline location="{where}">{said}</barline>' if said else ""
