"""What stands around the bars of a made-up sketch: repeats, keys, tempo, other parts."""

from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise
from random import Random

from tests.property.composing import fill, give_pitches, key_xml
from tests.property.music import Bar, Note, bars_xml, direction

CLEFS = (
    "<sign>G</sign><line>2</line>",
    "<sign>C</sign><line>3</line>",
    "<sign>F</sign><line>4</line>",
    "<sign>G</sign><line>2</line><clef-octave-change>-1</clef-octave-change>",
)
TRANSPOSITIONS = (
    "<diatonic>-1</diatonic><chromatic>-2</chromatic>",
    "<diatonic>-4</diatonic><chromatic>-7</chromatic>",
    "<diatonic>-2</diatonic><chromatic>-3</chromatic>",
    "<diatonic>0</diatonic><chromatic>0</chromatic><octave-change>-1</octave-change>",
    "<chromatic>0</chromatic><octave-change>1</octave-change>",
    "<diatonic>-1</diatonic><chromatic>-2</chromatic><octave-change>-1</octave-change>",
    "<chromatic>3</chromatic>",
)
DEFAULTS = (
    "<defaults><scaling><millimeters>7</millimeters><tenths>40</tenths></scaling>"
    "<page-layout><page-height>1683</page-height><page-width>1190</page-width></page-layout></defaults>"
    '<credit page="1"><credit-words default-x="595" justify="center">Lantern Song'
    "</credit-words></credit>"
)
PRINT = (
    '<print new-system="yes"><system-layout><system-distance>120</system-distance>'
    "</system-layout></print>"
)

Surrounding = Callable[[Random, list[Bar]], None]


def repeats(rng: Random, bars: list[Bar]) -> None:
    start = rng.randrange(len(bars))
    end = rng.randrange(start, len(bars))
    if not bars[start].left and not bars[end].right:
        bars[start].left += [
            "<bar-style>heavy-light</bar-style>",
            '<repeat direction="forward"/>',
        ]
        bars[end].right += [
            "<bar-style>light-heavy</bar-style>",
            '<repeat direction="backward"/>',
        ]


def endings(rng: Random, bars: list[Bar]) -> None:
    place = rng.randrange(len(bars))
    later = bars[place + 1] if place + 1 < len(bars) else None
    if bars[place].left or bars[place].right or (later and (later.left or later.right)):
        return
    bars[place].left.append('<ending number="1" type="start">1.</ending>')
    bars[place].right += [
        "<bar-style>light-heavy</bar-style>", '<ending number="1" type="stop"/>',
        '<repeat direction="backward"/>',
    ]  # fmt: skip
    if later:
        later.left.append('<ending number="2" type="start">2.</ending>')
        later.right.append('<ending number="2" type="discontinue"/>')


def jumps(rng: Random, bars: list[Bar]) -> None:
    first, last = bars[0], bars[-1]
    first.heading.append(direction("<segno/>", '<sound segno="s1"/>'))
    middle = bars[len(bars) // 2]
    middle.heading.append(direction("<words>To Coda</words>", '<sound tocoda="c1"/>'))
    last.heading.append(direction("<coda/>", '<sound coda="c1"/>'))
    said = rng.choice(("D.S. al Coda", "D.C. al Fine"))
    sound = '<sound dalsegno="s1"/>' if "S" in said else '<sound dacapo="yes"/>'
    last.heading.append(direction(f"<words>{said}</words>", sound))
    if not last.right and rng.random() < 0.5:
        last.right.append("<coda/>")


def tempo(rng: Random, bars: list[Bar]) -> None:
    for bar in bars[:: rng.randint(1, 3)]:
        metronome = (
            "<words>Andante</words></direction-type><direction-type>"
            "<metronome parentheses='yes'><beat-unit>quarter</beat-unit>"
            "<per-minute>72</per-minute></metronome>"
        )
        words = "<words>poco rit.</words>"
        alone = '<sound tempo="60"/>'
        bar.heading.append(
            rng.choice(
                (
                    direction(metronome, alone, ' directive="yes" placement="above"'),
                    direction(words, "", ' system="only-top"'),
                    direction(words, '<sound tempo="66.5"/>'),
                    alone,
                )
            )
        )


def rehearsal_marks(rng: Random, bars: list[Bar]) -> None:
    for name, bar in zip("ABC", bars[:: rng.randint(1, 2)], strict=False):
        bar.heading.append(direction(f"<rehearsal enclosure='square'>{name}</rehearsal>"))


def key_changes(rng: Random, bars: list[Bar]) -> None:
    for bar in bars:
        if rng.random() < 0.4:
            bar.attributes["key"] = key_xml(rng)


def clef_changes(rng: Random, bars: list[Bar]) -> None:
    for bar in bars:
        if rng.random() < 0.4:
            bar.attributes["clef"] = f"<clef>{rng.choice(CLEFS)}</clef>"


def divisions_changes(rng: Random, bars: list[Bar]) -> None:
    for bar in bars:
        bar.factor = rng.choice((1, 2, 3, 5))


def transposing(rng: Random, bars: list[Bar]) -> None:
    bars[0].attributes["transpose"] = f"<transpose>{rng.choice(TRANSPOSITIONS)}</transpose>"


def instrument_changes(rng: Random, bars: list[Bar]) -> None:
    for before, bar in pairwise(bars):
        if rng.random() < 0.4:
            bar.attributes["transpose"] = f"<transpose>{rng.choice(TRANSPOSITIONS)}</transpose>"
            # What is written alike no longer sounds alike, so nothing ties over.
            before.voices["1", "1"][-1].tied_on = bar.voices["1", "1"][0].tied_back = False


def printing(rng: Random, bars: list[Bar]) -> None:
    for bar in bars[1:]:
        bar.width += ' width="210.5"'
        if rng.random() < 0.5:
            bar.heading.insert(0, PRINT)
    bars[0].attributes["style"] = '<measure-style><slash type="stop"/></measure-style>'


def bookmarks(rng: Random, bars: list[Bar]) -> None:
    for bar in bars:
        if rng.random() < 0.5:
            bar.heading.append('<grouping type="single"><feature>motif</feature></grouping>')


AROUND: dict[str, Surrounding] = {
    "repeats": repeats,
    "endings": endings,
    "jumps": jumps,
    "tempo": tempo,
    "rehearsal marks": rehearsal_marks,
    "key changes": key_changes,
    "clef changes": clef_changes,
    "divisions changes": divisions_changes,
    "transposing": transposing,
    "instrument changes": instrument_changes,
    "print": printing,
    "groupings": bookmarks,
}


def second_voice(rng: Random, bars: list[Bar]) -> None:
    """A lower voice in some bars; in some it begins late, after a forward."""
    for bar in bars:
        if rng.random() < 0.6:
            late = bar.length > 1 and rng.random() < 0.3
            notes = [Note("forward", Fraction(1), "")] if late else []
            notes += fill(rng, frozenset({"rests"}), bar.length - (1 if late else 0))
            give_pitches(rng, frozenset(), notes, low=21)
            bar.voices["1", "2"] = notes


def second_staff(rng: Random, bars: list[Bar]) -> None:
    bars[0].attributes["staves"] = "<staves>2</staves>"
    bars[0].attributes["clef2"] = '<clef number="2"><sign>F</sign><line>4</line></clef>'
    for bar in bars:
        bar.attributes = {
            name: said.replace("<clef>", '<clef number="1">')
            for name, said in bar.attributes.items()
        }
        notes = fill(rng, frozenset({"bar rests", "rests"}), bar.length)
        give_pitches(rng, frozenset({"chords"}), notes, low=14)
        bar.voices["2", "5"] = notes


def other_part(rng: Random, tune: list[Bar]) -> str:
    """Bars of another part that fit the tune's."""
    bars = []
    for bar in tune:
        kept = {
            name: bar.attributes[name] for name in ("key", "time") if name in bar.attributes
        }
        other = Bar(bar.length, bar.number, bar.implicit, attributes=kept)
        other.left, other.right = list(bar.left), list(bar.right)
        notes = fill(rng, frozenset({"bar rests", "rests"}), bar.length)
        give_pitches(rng, frozenset(), notes, low=21)
        other.voices["1", "1"] = notes
        bars.append(other)
    return bars_xml(bars)
