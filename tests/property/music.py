"""Bars and notes of a made-up sketch, and the MusicXML they are printed as."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from math import lcm

GROUPS = ("ornaments", "technical", "articulations")


@dataclass
class Pitch:
    """A written pitch with the sign printed before it, if any."""

    step: str
    alter: float
    octave: int
    sign: str = ""

    def xml(self) -> str:
        alter = f"<alter>{self.alter:g}</alter>" if self.alter else ""
        return f"<pitch><step>{self.step}</step>{alter}<octave>{self.octave}</octave></pitch>"


@dataclass
class Note:
    """A note, chord, rest, cue or unpitched note; length in quarters as it sounds.

    ``before`` and ``after`` hold finished elements around it, ``within`` one that stands in
    the middle of its length, ``marks`` what hangs in the groups of its notations.
    """

    kind: str
    length: Fraction
    shape: str
    dots: int = 0
    ratio: Fraction = Fraction(1)
    in_tuplet: bool = False
    pitches: list[Pitch] = field(default_factory=list)
    before: list[str] = field(default_factory=list)
    graces: list[str] = field(default_factory=list)
    within: str = ""
    after: list[str] = field(default_factory=list)
    spans: list[str] = field(default_factory=list)
    marks: dict[str, list[str]] = field(default_factory=lambda: {group: [] for group in GROUPS})
    tied_back: bool = False
    tied_on: bool = False
    beams: list[str] = field(default_factory=list)
    lyric: str = ""
    notehead: str = ""
    footnote: str = ""
    play: str = ""
    attributes: str = ""
    offset: str = ""

    @property
    def sounds(self) -> bool:
        """True for a note or chord that is heard."""
        return self.kind == "note"


@dataclass
class Bar:
    """One bar: its voices by staff and voice name, and what stands around them."""

    length: Fraction
    number: str = ""
    implicit: bool = False
    heading: list[str] = field(default_factory=list)
    attributes: dict[str, str] = field(default_factory=dict)
    left: list[str] = field(default_factory=list)
    right: list[str] = field(default_factory=list)
    voices: dict[tuple[str, str], list[Note]] = field(default_factory=dict)
    factor: int = 1
    width: str = ""


ATTRIBUTES = ("divisions", "key", "time", "staves", "clef", "clef2", "transpose", "style")


def attributes_xml(attributes: dict[str, str]) -> str:
    """The children given, in the order the schema wants them."""
    said = "".join(attributes.get(name, "") for name in ATTRIBUTES)
    return f"<attributes>{said}</attributes>" if said else ""


def direction(types: str, rest: str = "", attributes: str = "") -> str:
    """A direction with one or more finished children of ``<direction-type>``."""
    return f"<direction{attributes}><direction-type>{types}</direction-type>{rest}</direction>"


def bars_xml(bars: list[Bar], staves: int = 1) -> str:
    """The bars of a part; divisions are written where they change."""
    said, divisions = "", 0
    for bar in bars:
        lengths = [note.length for voice in bar.voices.values() for note in voice]
        wanted = 2 * bar.factor * lcm(bar.length.denominator, *(n.denominator for n in lengths))
        if not divisions or bar.factor > 1 or wanted > divisions or divisions % wanted:
            divisions = wanted
            bar.attributes["divisions"] = f"<divisions>{divisions}</divisions>"
        said += _bar_xml(bar, divisions, staves)
    return said


def _bar_xml(bar: Bar, divisions: int, staves: int) -> str:
    said = "".join(bar.heading)
    if bar.left:
        said += f'<barline location="left">{"".join(bar.left)}</barline>'
    said += attributes_xml(bar.attributes)
    for place, ((staff, voice), notes) in enumerate(bar.voices.items()):
        if place:
            said += f"<backup>{_duration(bar.length, divisions)}</backup>"
        where = (voice, staff if staves > 1 else "")
        said += "".join(_note_xml(note, where, divisions) for note in notes)
    if bar.right:
        said += f'<barline location="right">{"".join(bar.right)}</barline>'
    implicit = ' implicit="yes"' if bar.implicit else ""
    return f'<measure number="{bar.number}"{implicit}{bar.width}>{said}</measure>'


def _duration(length: Fraction, divisions: int) -> str:
    return f"<duration>{int(length * divisions)}</duration>"


def _note_xml(note: Note, where: tuple[str, str], divisions: int) -> str:
    voice, staff = where
    tail = f"<voice>{voice}</voice>"
    in_staff = f"<staff>{staff}</staff>" if staff else ""
    before = [_placed(one, in_staff) for one in note.before]
    if note.offset:
        offset = f"<offset>{int(note.length * divisions) // 2}</offset>"
        before.append(_placed(note.offset, offset + in_staff))
    if note.kind == "forward":
        return "".join(
            [*before, f"<forward>{_duration(note.length, divisions)}{tail}{in_staff}</forward>"]
        )
    graces = [one.replace("<type>", f"{tail}<type>", 1) for one in note.graces]
    if staff:
        graces = [_after_shape(one, in_staff) for one in graces]
    heads = note.pitches or [None]
    main = "".join(
        _head_xml(note, head, first=place == 0, where=(tail, in_staff), divisions=divisions)
        for place, head in enumerate(heads)
    )
    return "".join([*before, *graces, main, _within(note, divisions), *note.after])


def _placed(element: str, where: str) -> str:
    """A direction with its offset and staff, which go before ``<sound>``."""
    if not element.startswith("<direction"):
        return element
    tag = "<sound" if "<sound" in element else "</direction>"
    return element.replace(tag, where + tag, 1)


def _after_shape(grace: str, in_staff: str) -> str:
    """A grace note of a part with staves: ``<staff>`` goes before beams and notations."""
    for tag in ("<beam", "<notations", "</note>"):
        if tag in grace:
            return grace.replace(tag, f"{in_staff}{tag}", 1)
    raise AssertionError(grace)


def _within(note: Note, divisions: int) -> str:
    if not note.within:
        return ""
    half = _duration(note.length / 2, divisions)
    return f"<backup>{half}</backup>{note.within}<forward>{half}</forward>"


def _head_xml(
    note: Note, head: Pitch | None, *, first: bool, where: tuple[str, str], divisions: int
) -> str:
    kinds = {
        "rest": "<rest/>",
        "bar rest": '<rest measure="yes"/>',
        "unpitched": "<unpitched><display-step>B</display-step>"
        "<display-octave>4</display-octave></unpitched>",
    }
    said = "<cue/>" if note.kind == "cue" else ""
    said += "" if first else "<chord/>"
    said += kinds.get(note.kind) or (head.xml() if head else "")
    said += _duration(note.length, divisions)
    ties = [kind for kind, on in (("stop", note.tied_back), ("start", note.tied_on)) if on]
    said += "".join(f'<tie type="{kind}"/>' for kind in ties)
    said += (note.footnote if first else "") + where[0]
    if note.kind != "bar rest":
        said += f"<type>{note.shape}</type>" + "<dot/>" * note.dots
    said += head.sign if head else ""
    said += _ratio_xml(note.ratio) + note.notehead + where[1]
    said += "".join(note.beams) if first else ""
    said += _notations(note, ties, first=first) + (note.lyric if first else "")
    said += note.play if first else ""
    attributes = note.attributes if first else ""
    return f"<note{attributes}>{said}</note>"


def _ratio_xml(ratio: Fraction) -> str:
    if ratio == 1:
        return ""
    return (
        f"<time-modification><actual-notes>{ratio.denominator}</actual-notes>"
        f"<normal-notes>{ratio.numerator}</normal-notes></time-modification>"
    )


def _notations(note: Note, ties: Iterable[str], *, first: bool) -> str:
    said = "".join(f'<tied type="{kind}"/>' for kind in ties)
    if first:
        said += "".join(note.spans)
        said += "".join(
            f"<{group}>{''.join(marks)}</{group}>"
            for group, marks in note.marks.items()
            if marks
        )
    return f"<notations>{said}</notations>" if said else ""
