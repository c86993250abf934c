"""Whatever a plan does, each player plays as the music asks who plays as he was told last.

The written score is read as a player reads it: the words of his own line, and nothing else.
What the tune and the bass ask for is known from how they were made up here; no line of this is
shared with the package. The tune has the letters C to F, the bass G to B, so that each written
note tells whose it is. A half alone is the front half; of two halves the upper line is.
(Common practice, no source.)
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from tests.outside.reference import Clock, Event, score_root
from tests.planned import SECTIONS, by_plan, layout
from tests.shorthand import sketch

MEANING = {
    "pizz.": ("bow", "pizz"), "arco": ("bow", "arco"), "col legno": ("bow", "legno"),
    "con sord.": ("mute", "on"), "senza sord.": ("mute", "off"),
    "sul pont.": ("place", "pont"), "ord.": ("place", "ord"),
}  # fmt: skip
NOBODY_TOLD = {"bow": "arco", "mute": "off", "place": "ord"}
TUNE_BARS = ("C5q D5q E5q F5q", "rq D5q rq F5q", "C5h. E5q", "rq C5h.", "R")
BASS_BARS = ("G3h A3h", "rh B3h", "B3w", "R")
Ways = dict[str, str]


class Line(NamedTuple):
    """A line of a section in a passage: whose notes, at which octave of the tune, who plays."""

    source: str
    octave: int
    players: frozenset[int]


BOTH, FRONT, BACK = frozenset({0, 1}), frozenset({0}), frozenset({1})
CHOICES = {
    "rests": [],
    "tune": [Line("tune", 0, BOTH)],
    "half tune": [Line("tune", 0, FRONT)],
    "octaves": [Line("tune", 0, FRONT), Line("tune", -1, BACK)],
    "half and half": [Line("tune", 0, FRONT), Line("bass", 0, BACK)],
    "bass": [Line("bass", 0, BOTH)],
    "half bass": [Line("bass", 0, FRONT)],
}


class Passage(NamedTuple):
    """Bars counted from 1, what violas and cellos do, whether cellos hand over what is high."""

    first: int
    last: int
    doing: dict[str, str]
    handover: bool


class Case(NamedTuple):
    """Bars of tune and bass with words in them, and passages over all of them."""

    tune: list[str]
    bass: list[str]
    passages: list[Passage]


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """A cue of some bars in some passages."""
    count = draw(st.integers(2, 7))
    tune = [_with_words(draw, draw(st.sampled_from(TUNE_BARS))) for _ in range(count)]
    bass = [_with_words(draw, draw(st.sampled_from(BASS_BARS))) for _ in range(count)]
    tune[0], bass[0] = TUNE_BARS[0], BASS_BARS[0]
    cuts = sorted(draw(st.sets(st.integers(2, count), max_size=3)))
    passages = []
    for first, behind in zip([1, *cuts], [*cuts, count + 1], strict=True):
        doing = {one: draw(st.sampled_from(sorted(CHOICES))) for one in ("Vla", "Vc")}
        passages.append(Passage(first, behind - 1, doing, draw(st.booleans())))
    return Case(tune, bass, passages)


def _with_words(draw: st.DrawFn, bar: str) -> str:
    words = [f'"{word}"' for word in MEANING]
    said = []
    for note in bar.split():
        if draw(st.integers(0, 4)) == 0:
            said.append(draw(st.sampled_from(words)))
        said.append(note)
    return " ".join(said)


def expanded(case: Case) -> bytes:
    """The score of a case; first violins always have the tune."""
    parts = {"Bass": f"4/4 | {' | '.join(case.bass)} |"}
    data = sketch(f"4/4 | {' | '.join(case.tune)} |", tune="Melody", others=parts)
    passages, layouts = [], {}
    for at, one in enumerate(case.passages):
        passages.append(f'bars = "{one.first}-{one.last}"\nlayout = "l{at}.toml"')
        layouts[f"l{at}"] = _layout(one)
    return by_plan(data, *passages, **layouts).score


def _layout(passage: Passage) -> str:
    top, below, bass = ["Vn I loco"], [], []
    for section, doing in passage.doing.items():
        half = "half " if doing.startswith("half") else ""
        if doing in {"tune", "half tune", "half and half", "octaves"}:
            top.append(half + section)
        below += [section] if doing == "octaves" else []
        if doing in {"bass", "half bass", "half and half"}:
            bass.append(f"{half}{section} loco")
    stack = " + ".join(top) + (f" / {' + '.join(below)}" if below else "")
    lines = []
    if passage.handover and passage.doing["Vc"] == "tune":
        lines += ['[line."Vc"]', 'handover = { above = "D5", to = "Vn II", at = "bar" }']
    for one in bass:
        lines += ["[[with]]", 'from = "Bass"', f'to = "{one}"']
    return layout(stack, *lines)


def after(ways: Ways, word: str) -> Ways:
    family, value = MEANING[word]
    bow = {"bow": "arco"} if word == "ord." and ways["bow"] == "legno" else {}
    return {**ways, family: value, **bow}


class Asked(NamedTuple):
    """How each note of a source is to be played, and its words, by bar and onset."""

    ways: dict[tuple[int, Fraction], Ways]
    words: set[tuple[int, Fraction, str]]


def asked(bars: list[str]) -> Asked:
    lengths = {"q": Fraction(1), "h": Fraction(2), "h.": Fraction(3), "w": Fraction(4)}
    ways, found = dict(NOBODY_TOLD), Asked({}, set())
    for bar, text in enumerate(bars):
        onset = Fraction(0)
        for token in text.replace('" ', '"|').replace(' "', '|"').split("|"):
            for one in [token] if '"' in token else token.split():
                if '"' in one:
                    ways = after(ways, one.strip('"'))
                    found.words.add((bar, onset, one.strip('"')))
                else:
                    found.ways[bar, onset] = ways
                    onset += lengths.get(one.lstrip("rABCDEFG0123456789"), Fraction(4))
    return found


class Segment(NamedTuple):
    """One voice of a bar as it is written: words and notes in order."""

    number: int
    events: list[Event]


def segments(part: etree._Element) -> Iterator[list[Segment]]:
    clock = Clock()
    for measure in part.findall("measure"):
        voices: list[list[Event]] = [[]]
        for event in clock.events(measure):
            if event.element.tag == "backup":
                voices.append([])
            elif event.element.tag in {"direction", "note"}:
                voices[-1].append(event)
        yield [Segment(number, events) for number, events in enumerate(voices)]


class Reader:
    """The players of one section, reading: nobody is told again what all of them know."""

    def __init__(self, case: Case, section: str, parts: list[etree._Element]) -> None:
        self.case = case
        self.section = section
        self.asked = {"tune": asked(case.tune), "bass": asked(case.bass)}
        self.told = {player: dict(NOBODY_TOLD) for player in BOTH}
        self.staves = [list(segments(part)) for part in parts]

    def read(self) -> None:
        """Read all staves of the section, bar by bar."""
        for bar in range(len(self.case.tune)):
            told = []
            for number, staff in enumerate(self.staves):
                playing = self.lines(bar, number)
                for segment in staff[bar]:
                    told += [(event, playing, segment) for event in segment.events]
            for event, playing, segment in sorted(told, key=lambda one: one[0].onset):
                if event.element.tag == "note":
                    self._play(bar, event, playing)
                elif event.element.find("voice") is None:
                    self._take_words(bar, event, playing)  # for all that read the staff
                else:
                    self._take_words(bar, event, self._of_side(event, segment, playing))

    def lines(self, bar: int, staff: int) -> list[Line]:
        """The lines that stand on a staff."""
        passage = next(one for one in self.case.passages if one.first <= bar + 1 <= one.last)
        if self.section not in passage.doing:
            return [Line("tune", 0, BOTH)]  # first violins, and seconds who take over
        lines = CHOICES[passage.doing[self.section]]
        below = [
            event
            for later in self.staves[1:]
            for measure in later[passage.first - 1 : passage.last]
            for segment in measure
            for event in segment.events
            if event.element.find("rest") is None
        ]
        return lines[staff : staff + 1] if below else lines[: None if staff == 0 else 0]

    def _of_side(self, event: Event, segment: Segment, playing: list[Line]) -> list[Line]:
        """The line of a voice, by its notes, else by its place; on a stem by the side."""
        here = [line for one in segment.events for line in _of_note(one, playing)]
        found = [line for line in playing if line in here] or playing
        below = event.element.get("placement") == "below"
        return found[-1:] if below else found[:1]

    def _take_words(self, bar: int, event: Event, lines: list[Line]) -> None:
        for sign in event.element.iter("words"):
            word = sign.text or ""
            if word in MEANING:
                lines = [one for one in lines if self._reads(one, bar, event, word)] or lines
                players = frozenset[int]().union(*(line.players for line in lines))
                known = {player: self.told[player] for player in players}
                now = {player: after(ways, word) for player, ways in known.items()}
                own = {line.source for line in lines}
                if not any((bar, event.onset, word) in self.asked[one].words for one in own):
                    where = (self.section, bar + 1, word)
                    assert (where, now) != (where, known)
                self.told |= now

    def _reads(self, line: Line, bar: int, event: Event, word: str) -> bool:
        """True where a line has notes in the passage, or asks for just this."""
        if (bar, event.onset, word) in self.asked[line.source].words:
            return True
        passage = next(one for one in self.case.passages if one.first <= bar + 1 <= one.last)
        return any(
            _of_note(other, [line])
            for staff in self.staves
            for measure in staff[passage.first - 1 : passage.last]
            for segment in measure
            for other in segment.events
        )

    def _play(self, bar: int, event: Event, playing: list[Line]) -> None:
        lines = _of_note(event, playing)
        assert lines or event.element.find("rest") is not None, (self.section, bar + 1)
        for line in lines:
            wanted = self.asked[line.source].ways[bar, event.onset]
            for player in line.players:
                where = (self.section, bar + 1, event.onset, player)
                assert (where, self.told[player]) == (where, wanted)


def _of_note(event: Event, playing: list[Line]) -> list[Line]:
    step, octave = (event.element.findtext(f"pitch/{one}") for one in ("step", "octave"))
    if step is None:
        return []
    if step in "GAB":
        return [line for line in playing if line.source == "bass"]
    deep = int(octave or 0) - 5
    return [line for line in playing if line.source == "tune" and line.octave == deep]


@given(cases())
def test_everybody_plays_as_he_was_told_last(case: Case) -> None:
    parts = score_root(expanded(case)).findall("part")
    for place, section in enumerate(SECTIONS, start=1):
        own = [part for part in parts if part.get("id") in {f"P{place}", f"P{place}b"}]
        Reader(case, section, own).read()
