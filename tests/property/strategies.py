"""Made-up sketches for hypothesis: valid MusicXML that uses every feature the tool meets.

A sketch is drawn as a number of bars, a set of features and a seed; everything else follows
from the seed. So a failing example shrinks to few bars with just the features it takes, and
prints in one line.
"""

import re
from dataclasses import dataclass, field
from random import Random

from hypothesis import strategies as st

from tests.property.composing import empty_bars, fill, give_pitches, key_xml
from tests.property.music import bars_xml
from tests.property.ornamenting import ON_NOTES
from tests.property.scoring import (
    AROUND,
    CLEFS,
    DEFAULTS,
    other_part,
    second_staff,
    second_voice,
)

IN_BARS = (
    "time changes", "senza misura", "pickup", "split bars", "odd bar numbers", "bar rests",
    "tuplets", "nested tuplets", "rests", "cue notes", "unpitched notes", "chords",
    "double accidentals", "quarter tones", "courtesy accidentals", "naturals",
)  # fmt: skip
IN_SCORE = ("second voice", "two staves", "other parts", "page")
FEATURES = (*IN_BARS, *ON_NOTES, *AROUND, *IN_SCORE)


@dataclass(frozen=True)
class Sketch:
    """A made-up sketch.

    Attributes:
        bars: how many were asked for; a split bar makes one more.
        features: what it may use.
        seed: where everything else follows from.
        data: the MusicXML.
        tune: which staff and voice to take, as the tool wants it said.
    """

    bars: int
    features: frozenset[str]
    seed: int
    data: bytes = field(repr=False, compare=False)
    tune: str = "P1"


def compose(bars: int, features: frozenset[str], seed: int) -> Sketch:
    """The sketch that these make."""
    rng = Random(seed)  # noqa: S311 - music, not secrets
    written = empty_bars(rng, features, bars)
    line = []
    for bar in written:
        bar.voices["1", "1"] = fill(rng, features, bar.length)
        line += bar.voices["1", "1"]
    give_pitches(rng, features, line, low=rng.randint(21, 35))
    written[0].attributes["key"] = key_xml(rng)
    written[0].attributes["clef"] = f"<clef>{rng.choice(CLEFS)}</clef>"
    for name, ornament in ON_NOTES.items():
        if name in features:
            ornament(rng, written, line)
    for name, surround in AROUND.items():
        if name in features:
            surround(rng, written)
    if "second voice" in features:
        second_voice(rng, written)
    if "two staves" in features:
        second_staff(rng, written)
    others = other_part(rng, written) if "other parts" in features else ""
    staves = 2 if "two staves" in features else 1
    tune = "P1 staff 1 voice 1" if staves == 2 else "P1"
    data = _score(bars_xml(written, staves), others, page="page" in features)
    return Sketch(bars, features, seed, data, tune)


def _score(tune: str, other: str, *, page: bool) -> bytes:
    names = '<score-part id="P1"><part-name>Clarinet in B♭</part-name></score-part>'
    parts = f'<part id="P1">{tune}</part>'
    if other:
        names += '<score-part id="P2"><part-name>Oboe</part-name></score-part>'
        parts += f'<part id="P2">{other}</part>'
    head = "<work><work-title>Lantern Song</work-title></work>" if page else ""
    return (
        '<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0">'
        f"{head}{DEFAULTS if page else ''}<part-list>{names}</part-list>{parts}"
        "</score-partwise>"
    ).encode()


def sketches(
    *, without: frozenset[str] = frozenset(), max_bars: int = 6
) -> st.SearchStrategy[Sketch]:
    """Valid sketches.

    Args:
        without: features to leave out.
        max_bars: at most so many bars, split bars not counted.
    """
    allowed = [name for name in FEATURES if name not in without]
    chosen = st.one_of(
        st.sets(st.sampled_from(allowed), max_size=8), st.just(set(allowed))
    ).map(frozenset)
    return st.builds(
        compose, st.integers(1, max_bars), chosen, st.integers(min_value=0, max_value=2**32 - 1)
    )


ENDS = re.compile(
    r'<(?:slur|tied|wedge|octave-shift|tuplet|dashes|wavy-line|glissando|slide)[^>]*"(?:start|stop'
    r'|crescendo|diminuendo|up|down)"[^>]*/>|<tie type="\w+"/>|<beam[^>]*>(?:begin|end)</beam>'
)


def broken_sketches() -> st.SearchStrategy[Sketch]:
    """Sketches with some ends of ties, slurs, hairpins and the like missing."""
    return st.builds(
        _break, sketches(), st.integers(1, 5), st.integers(min_value=0, max_value=2**32 - 1)
    )


def _break(sketch: Sketch, count: int, seed: int) -> Sketch:
    rng, text = Random(seed), sketch.data.decode()  # noqa: S311 - music, not secrets
    places = [match.span() for match in ENDS.finditer(text)]
    for start, end in sorted(rng.sample(places, min(count, len(places))), reverse=True):
        text = text[:start] + text[end:]
    for empty in ("notations", "direction-type", "ornaments"):
        text = text.replace(f"<{empty}></{empty}>", "")
    text = re.sub(
        r"<direction[^>]*>(?:<(?:staff|offset)>\d+</(?:staff|offset)>)*</direction>", "", text
    )
    return Sketch(sketch.bars, sketch.features, sketch.seed, text.encode(), sketch.tune)
