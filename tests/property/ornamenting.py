"""What is hung on the notes of a made-up sketch, one function for each feature.

Each takes the random source, the bars, and the line: all notes of the tune's voice in order.
"""

from collections.abc import Callable, Iterator
from itertools import pairwise
from random import Random

from tests.property.composing import SHORTER, key_xml
from tests.property.music import Bar, Note, direction

ARTICULATIONS = (
    "accent", "strong-accent", "staccato", "tenuto", "detached-legato", "staccatissimo",
    "spiccato", "scoop", "plop", "doit", "falloff", "stress", "unstress", "soft-accent",
)  # fmt: skip
TECHNICAL = (
    "<up-bow/>", "<down-bow/>", "<fingering>3</fingering>", "<string>2</string>", "<stopped/>",
    "<harmonic><natural/></harmonic>", "<open-string/>", "<snap-pizzicato/>",
    "<pluck>p</pluck>",
    "<harmonic><artificial/><touching-pitch/></harmonic>", "<thumb-position/>",
)  # fmt: skip
ORNAMENTS = (
    "<trill-mark/>", "<trill-mark/><accidental-mark>flat</accidental-mark>", "<turn/>",
    "<inverted-turn/>", "<delayed-turn/>", "<mordent long='yes'/>", "<inverted-mordent/>",
    "<turn/><accidental-mark placement='above'>sharp</accidental-mark>", "<shake/>",
    "<schleifer/>",
)  # fmt: skip
DYNAMICS = ("pp", "p", "mp", "mf", "f", "ff", "sfz", "fp", "rfz", "n")
WORDS = ("dolce", "espr.", "pizz.", "arco", "con sord.", "sul G", "cresc.", "poco a poco")

Line = list[Note]
Ornament = Callable[[Random, list[Bar], Line], None]


def _some(rng: Random, line: Line, chance: float = 0.25) -> Iterator[Note]:
    return (note for note in line if note.sounds and rng.random() < chance)


def _stretches(rng: Random, line: Line) -> Iterator[tuple[Note, Note]]:
    """Pairs of heard notes, the second after the first, one pair after the other."""
    heard = [note for note in line if note.sounds]
    place = rng.randint(0, 2)
    while place + 1 < len(heard):
        end = min(place + rng.randint(1, 5), len(heard) - 1)
        yield heard[place], heard[end]
        place = end + rng.randint(1, 4)


def slurs(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    """Slurs, some chained on a note, some with a second one inside."""
    heard = [note for note in line if note.sounds]
    place = rng.randint(0, 2)
    while place + 1 < len(heard):
        end = min(place + rng.randint(1, 6), len(heard) - 1)
        heard[place].spans.append('<slur type="start" number="1" placement="above"/>')
        if end - place >= 3 and rng.random() < 0.4:
            heard[place + 1].spans.append('<slur type="start" number="2"/>')
            heard[end - 1].spans.append('<slur type="stop" number="2"/>')
        heard[end].spans.append('<slur type="stop" number="1"/>')
        place = end + (0 if rng.random() < 0.4 else rng.randint(1, 3))


def ties(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for note, after in pairwise(line):
        if note.sounds and after.sounds and rng.random() < 0.3:
            after.pitches = list(note.pitches)
            note.tied_on = after.tied_back = True


def tremolos(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for bar in bars:
        notes = next(iter(bar.voices.values()), [])
        pairs = pairwise(notes)
        for one, two in pairs:
            free = one.sounds and two.sounds and one.ratio == two.ratio == 1
            same = (one.shape, one.dots, 0) == (two.shape, two.dots, two.dots)
            tied = one.tied_back or one.tied_on or two.tied_back or two.tied_on
            taken = one.marks["ornaments"] or two.marks["ornaments"]
            if free and same and not tied and not taken and one.shape in SHORTER:
                if rng.random() < 0.4:
                    one.shape = two.shape = SHORTER[one.shape]
                    one.ratio = two.ratio = one.ratio / 2
                    one.marks["ornaments"].append('<tremolo type="start">3</tremolo>')
                    two.marks["ornaments"].append('<tremolo type="stop">3</tremolo>')
            elif one.sounds and rng.random() < 0.2 and not taken:
                one.marks["ornaments"].append(
                    f'<tremolo type="single">{rng.randint(1, 4)}</tremolo>'
                )


def grace_notes(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for note in line:
        if note.tied_back or (rng.random() > 0.25 and note is not line[0]):
            continue
        count = rng.randint(1, 3)
        slashed = ' slash="yes"' if rng.random() < 0.5 else ""
        slurred = rng.random() < 0.5 and note.sounds
        for place in range(count):
            beam = {0: "begin", count - 1: "end"}.get(place, "continue") if count > 1 else ""
            beam = f'<beam number="1">{beam}</beam>' if beam else ""
            slur = '<slur type="start" number="6"/>' if slurred and place == 0 else ""
            slur = f"<notations>{slur}</notations>" if slur else ""
            step, octave = rng.choice("CDEFGAB"), rng.randint(4, 5)
            alter = rng.choice(("", "<alter>1</alter>", "<alter>-1</alter>"))
            note.graces.append(
                f"<note><grace{slashed}/><pitch><step>{step}</step>{alter}"
                f"<octave>{octave}</octave></pitch><type>16th</type>{beam}{slur}</note>"
            )
        if slurred:
            note.spans.insert(0, '<slur type="stop" number="6"/>')


def articulations(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for note in _some(rng, line, 0.4):
        chosen = rng.sample(ARTICULATIONS, rng.randint(1, 2))
        note.marks["articulations"] += [f"<{one}/>" for one in chosen]


def breath_marks(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for note in _some(rng, line):
        note.marks["articulations"].append(
            rng.choice(("<breath-mark>comma</breath-mark>", "<caesura>normal</caesura>"))
        )


def technical(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for note in _some(rng, line, 0.4):
        note.marks["technical"].append(rng.choice(TECHNICAL))


def ornaments(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for note in _some(rng, line):
        note.marks["ornaments"].append(rng.choice(ORNAMENTS))
    for one, two in _stretches(rng, line):
        if rng.random() < 0.4:
            one.marks["ornaments"].append('<trill-mark/><wavy-line type="start" number="1"/>')
            two.marks["ornaments"].append('<wavy-line type="stop" number="1"/>')
    for note in _some(rng, line, 0.1):
        ends = (f'<wavy-line type="{end}" number="2"/>' for end in ("start", "stop"))
        note.marks["ornaments"].append("".join(ends))


def others(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    """Elements a reader need not understand and must carry along."""
    for note in _some(rng, line, 0.4):
        note.marks["ornaments"].append("<other-ornament>pralltriller</other-ornament>")
        note.marks["technical"].append("<other-technical>sul tasto</other-technical>")
        note.marks["articulations"].append("<other-articulation>rim</other-articulation>")
        note.spans.append('<other-notation type="single">wedge stroke</other-notation>')
        note.notehead = "<notehead filled='no'>diamond</notehead>"
        note.footnote = "<footnote>as in the autograph</footnote>"
        note.play = '<play><other-play type="bow">light</other-play></play>'
        note.attributes += ' dynamics="81.5"'


def fermatas(rng: Random, bars: list[Bar], line: Line) -> None:
    for note in line:
        if note.kind in {"note", "rest"} and rng.random() < 0.2:
            note.spans.append(
                rng.choice(("<fermata/>", '<fermata type="inverted">angled</fermata>'))
            )
    bars[-1].right.insert(0, "<fermata/>")
    if len(bars[-1].right) > 1 and bars[-1].right[1].startswith("<bar-style"):
        bars[-1].right[:2] = bars[-1].right[1::-1]


def arpeggios(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for note in _some(rng, line):
        note.spans.append(rng.choice(("<arpeggiate/>", '<arpeggiate direction="up"/>')))


def glissandi(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for one, two in _stretches(rng, line):
        kind = rng.choice(("glissando", "slide"))
        wavy = rng.choice(("", ' line-type="wavy"'))
        one.spans.append(f'<{kind} type="start" number="1"{wavy}>gliss.</{kind}>')
        two.spans.append(f'<{kind} type="stop" number="1"{wavy}/>')


def dynamics(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for note in _some(rng, line):
        mark = f"<dynamics><{rng.choice(DYNAMICS)}/></dynamics>"
        note.before.append(direction(mark, '<sound dynamics="67"/>', ' placement="below"'))
    for note in _some(rng, line, 0.1):
        note.spans.append("<dynamics><sfp/></dynamics>")


def hairpins(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for one, two in _stretches(rng, line):
        kind = rng.choice(("crescendo", "diminuendo"))
        niente = ' niente="yes"' if rng.random() < 0.2 else ""
        one.before.append(direction(f'<wedge type="{kind}" number="1"{niente}/>'))
        stop = direction('<wedge type="stop" number="1" spread="12"/>')
        (two.before if rng.random() < 0.5 else two.after).append(stop)


def dashes(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for one, two in _stretches(rng, line):
        words = "<words font-style='italic'>cresc.</words></direction-type><direction-type>"
        one.before.append(direction(f'{words}<dashes type="start" number="1"/>'))
        two.after.append(direction('<dashes type="stop" number="1"/>'))
        if rng.random() < 0.3:
            line_end = 'line-end="down" number="2"'
            one.before.append(direction(f'<bracket type="start" {line_end}/>'))
            two.after.append(direction(f'<bracket type="stop" {line_end}/>'))


def octave_lines(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for one, two in _stretches(rng, line):
        kind, size = rng.choice((("down", 8), ("down", 15), ("up", 8)))
        one.before.append(direction(f'<octave-shift type="{kind}" size="{size}"/>'))
        two.after.insert(0, direction(f'<octave-shift type="stop" size="{size}"/>'))


def words(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for note in _some(rng, line):
        said = rng.choice(WORDS)
        sound = '<sound pizzicato="yes"/>' if said == "pizz." else ""
        sound = '<sound pizzicato="no"/>' if said == "arco" else sound
        note.before.append(direction(f"<words>{said}</words>", sound))


def offset_directions(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for note in _some(rng, line):
        note.offset = direction(f"<words>{rng.choice(WORDS)}</words>")


def directions_in_long_notes(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for note in line:
        if note.length >= 1 and note.sounds and rng.random() < 0.5:
            note.within = direction("<dynamics><f/></dynamics>")


def lyrics(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for note in _some(rng, line, 0.6):
        note.lyric = '<lyric number="1"><syllabic>single</syllabic><text>la</text></lyric>'


def chord_symbols(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for note in _some(rng, line):
        note.before.append(
            f"<harmony><root><root-step>{rng.choice('CDEFGAB')}</root-step></root>"
            "<kind text='m7'>minor-seventh</kind></harmony>"
        )
        note.before.append(
            "<figured-bass><figure><figure-number>6</figure-number></figure></figured-bass>"
        )


def beams(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for bar in bars:
        run: Line = []
        for note in [*next(iter(bar.voices.values()), []), None]:
            if (
                note
                and note.shape in {"eighth", "16th", "32nd"}
                and note.kind in {"note", "cue"}
            ):
                run.append(note)
                continue
            if len(run) > 1:
                for place, one in enumerate(run):
                    beam = {0: "begin", len(run) - 1: "end"}.get(place, "continue")
                    one.beams = [f'<beam number="1">{beam}</beam>']
            run = []
    for one, two in pairwise(bars):
        _beam_over(rng, *(next(iter(bar.voices.values()), []) for bar in (one, two)))


def _beam_over(rng: Random, before: Line, after: Line) -> None:
    """Now and then one beam over the barline."""
    ends, begins = '<beam number="1">end</beam>', '<beam number="1">begin</beam>'
    if not before or not after or rng.random() > 0.3:
        return
    if before[-1].beams == [ends] and after[0].beams == [begins]:
        before[-1].beams = after[0].beams = ['<beam number="1">continue</beam>']


def mid_bar_attributes(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for bar in bars:
        notes = next(iter(bar.voices.values()), [])
        for note in notes[1:]:
            if not note.in_tuplet and rng.random() < 0.2:
                clef = f"<clef><sign>{rng.choice('CF')}</sign><line>4</line></clef>"
                change = rng.choice((clef, key_xml(rng)))
                note.before.insert(0, f"<attributes>{change}</attributes>")


def colours(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for note in line:
        note.attributes += ' default-x="31.5" color="#AA2200"'


def ids(rng: Random, bars: list[Bar], line: Line) -> None:  # noqa: ARG001
    for place, note in enumerate(line):
        if note.kind != "forward":
            note.attributes += f' id="n{place}"'
    bars[0].width += ' id="bar1"'


ON_NOTES: dict[str, Ornament] = {
    "ties": ties,  # first: it changes pitches
    "grace notes": grace_notes,
    "slurs": slurs,
    "ornaments": ornaments,
    "tremolos": tremolos,
    "articulations": articulations,
    "breath marks": breath_marks,
    "technical": technical,
    "others": others,
    "fermatas": fermatas,
    "arpeggios": arpeggios,
    "glissandi": glissandi,
    "octave lines": octave_lines,
    "dynamics": dynamics,
    "hairpins": hairpins,
    "dashes": dashes,
    "words": words,
    "offset directions": offset_directions,
    "directions in long notes": directions_in_long_notes,
    "lyrics": lyrics,
    "chord symbols": chord_symbols,
    "beams": beams,
    "mid-bar attributes": mid_bar_attributes,
    "colours": colours,
    "ids": ids,
}
