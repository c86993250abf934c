"""One staff of the tiny notation of ``tests.shorthand``, read bar by bar."""

import re
from fractions import Fraction
from xml.sax.saxutils import escape

from tests.shorthand_xml import ALTERS, DYNAMICS, WRITTEN, Sound, bare_of

PITCH = r"[A-G](?:\#\#|bb|[#bn])?\d(?:\?|-|=(?:\#\#|bb|[#bn]))?"
TOKEN = re.compile(
    rf"""
    (?P<tuplet>\d+(?::\d+)?\{{) | (?P<close>\}}) | (?P<slur>\)\(|[()]) | (?P<voice>&)
    | (?P<note>(?P<kind>`/?|cue:|hidden:)?(?P<pitches>{PITCH}|\[[^\]]+\]|[rRX](?![a-z]*=))
      \s*(?P<length>[bwhqestx](?![a-z=]))?(?P<dots>\.*)(?P<after>(?:\^[\w-]+|_[^\s|~^)]+|~)*))
    | (?P<wedge>[<>!]) | (?P<time>\d+/\d+) | (?P<words>"[^"]*") | (?P<set>\w+=\S+)
    | (?P<dynamics>(?:{DYNAMICS})\b)
    | (?P<line>8va|15ma|8vb|loco) | (?P<pickup>pickup)
    """,
    re.VERBOSE,
)
TYPES = dict(
    zip(
        "bwhqestx",
        ["breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th"],
        strict=True,
    )
)
QUARTERS = {letter: Fraction(8, 2**place) for place, letter in enumerate(TYPES)}
SIGNS = {0: "natural", 1: "sharp", -1: "flat", 2: "double-sharp", -2: "flat-flat"}
CLEFS = {"treble": "G2", "alto": "C3", "tenor": "C4", "bass": "F4"}
LINES = {"8va": ("down", 8), "15ma": ("down", 15), "8vb": ("up", 8)}


class Staff:
    """Reads the bars of one staff, keeping what carries over from bar to bar."""

    def __init__(self, number: int, staves: int) -> None:
        self.number, self.staves = number, staves
        self.key, self.metre = 0, (4, 4)
        self.letter = "q"
        self.tied: set[str] = set()
        self.slurs: list[int] = []
        self.signs: dict[str, int] = {}
        self.bar: dict[str, str] = {}

    def read(self, text: str) -> list[list[Sound | str]]:
        """The voices of one bar, as sounds and finished XML in order."""
        self.signs, self.bar, place = {}, {}, 0
        self.waiting: list[str] = []
        self.ratios = [Fraction(1)]
        voices: list[list[Sound | str]] = [[]]
        while place < len(text.rstrip()):
            gap = len(text[place:]) - len(text[place:].lstrip())
            token = TOKEN.match(text, place + gap)
            if not token:
                raise ValueError(f"cannot read {text[place:]!r}")
            place = token.end()
            if token["voice"]:
                voices.append([])
            else:
                kind = next(k for k in READERS if token[k])
                getattr(self, READERS[kind])(token, voices[-1])
        return voices

    def _note(self, token: re.Match[str], voice: list[Sound | str]) -> None:
        self.letter = token["length"] or self.letter
        after = re.findall(r"[\^_~][^\^_~]*", token["after"])
        dots = len(token["dots"])
        length = QUARTERS[self.letter] * (2 - Fraction(1, 2**dots)) * self.ratios[-1]
        if token["pitches"] == "R":
            length = Fraction(4 * self.metre[0], self.metre[1])
        pitches = token["pitches"].strip("[]").split()
        kind = token["kind"] or ""
        sound = Sound(
            pitches,
            kind,
            Fraction(0) if kind.startswith("`") else length,
            TYPES[self.letter],
            dots,
            [mark[1:] for mark in after if mark[0] == "^"],
            "".join(mark[1:] for mark in after if mark[0] == "_"),
            self.ratios[-1],
            "~" in after,
        )
        sound.spans, self.waiting = self.waiting, []
        bare = {bare_of(pitch) for pitch in pitches}
        sound.tied_from = self.tied & bare
        self.tied = (self.tied - bare) | (bare if sound.ties_on else set())
        for pitch in pitches:
            self._sign(pitch, sound)
        voice.append(sound)

    def _sign(self, pitch: str, sound: Sound) -> None:
        if pitch in ("r", "R", "X"):
            return
        step, alter, octave, said = WRITTEN.fullmatch(pitch).groups()  # type: ignore[union-attr]  # read before
        if said == "-":
            return
        if said.startswith("="):
            self.signs[step + octave] = ALTERS[said[1:]]
            sound.accidentals[pitch] = f"<accidental>{SIGNS[ALTERS[said[1:]]]}</accidental>"
            return
        order = "FCGDAEB" if self.key > 0 else "BEADGCF"
        in_key = (1 if self.key > 0 else -1) if step in order[: abs(self.key)] else 0
        known = self.signs.get(step + octave, in_key)
        tied = bare_of(pitch) in sound.tied_from
        if (known != ALTERS[alter] and not tied) or alter == "n" or said:
            cautionary = ' cautionary="yes"' if said else ""
            sound.accidentals[pitch] = (
                f"<accidental{cautionary}>{SIGNS[ALTERS[alter]]}</accidental>"
            )
            self.signs[step + octave] = ALTERS[alter]

    def _slur(self, token: re.Match[str], voice: list[Sound | str]) -> None:
        if ")" in token["slur"]:
            _last(voice).spans.append(f'<slur type="stop" number="{self.slurs.pop()}"/>')
        if "(" in token["slur"]:
            number = next(n for n in range(1, 17) if n not in self.slurs)
            self.slurs.append(number)
            start = f'<slur type="start" number="{number}"/>'
            (_last(voice).spans if token["slur"] == ")(" else self.waiting).append(start)

    def _tuplet(self, token: re.Match[str], voice: list[Sound | str]) -> None:
        if token["close"]:
            stop = f'<tuplet type="stop" number="{len(self.ratios) - 1}"/>'
            _last(voice).spans.append(stop)
            self.ratios.pop()
            return
        actual, _, normal = token["tuplet"].strip("{").partition(":")
        normal = normal or str(max(2**n for n in range(8) if 2**n < int(actual)))
        self.waiting.append(f'<tuplet type="start" number="{len(self.ratios)}"/>')
        self.ratios.append(self.ratios[-1] * Fraction(int(normal), int(actual)))

    def _direction(self, token: re.Match[str], voice: list[Sound | str]) -> None:
        if token["dynamics"]:
            said = f"<dynamics><{token['dynamics']}/></dynamics>"
        elif token["words"]:
            said = f"<words>{escape(token['words'][1:-1])}</words>"
        elif token["wedge"]:
            kind = {"<": "crescendo", ">": "diminuendo", "!": "stop"}[token["wedge"]]
            said = f'<wedge type="{kind}"/>'
        else:
            kind, size = LINES.get(token["line"], ("stop", 8))
            if kind != "stop":
                self.shift = size
            said = f'<octave-shift type="{kind}" size="{self.shift}"/>'
        voice.append(self._directed(said))

    def _directed(self, said: str, sound: str = "") -> str:
        staff = f"<staff>{self.number}</staff>" if self.staves > 1 else ""
        return f"<direction><direction-type>{said}</direction-type>{staff}{sound}</direction>"

    def _set(self, token: re.Match[str], voice: list[Sound | str]) -> None:
        if token["time"]:
            beats, unit = token["time"].split("/")
            self.metre = (int(beats), int(unit))
            said = f"<time><beats>{beats}</beats><beat-type>{unit}</beat-type></time>"
            voice.append(f"@{said}")
            return
        name, _, value = (token["set"] or "pickup=yes").partition("=")
        if name in ("bar", "ending", "pickup", "numbers"):
            self.bar[name] = value
        else:
            self._placed(name, value, voice)

    def _placed(self, name: str, value: str, voice: list[Sound | str]) -> None:
        if name == "key":
            fifths, _, mode = value.partition(",")
            self.key = int(fifths)
            mode = f"<mode>{mode}</mode>" if mode else ""
            voice.append(f"@<key><fifths>{fifths}</fifths>{mode}</key>")
        elif name == "clef":
            sign, line = CLEFS[value]
            number = f' number="{self.number}"' if self.staves > 1 else ""
            voice.append(f"@<clef{number}><sign>{sign}</sign><line>{line}</line></clef>")
        elif name == "transpose":
            names = ("diatonic", "chromatic", "octave-change")
            steps = zip(names, value.split(","), strict=False)
            steps_xml = "".join(f"<{n}>{v}</{n}>" for n, v in steps)
            voice.append(f"@<transpose>{steps_xml}</transpose>")
        elif name == "again":
            style = f'<measure-style><{value}-repeat type="start">1</{value}-repeat>'
            voice.append(f"@{style}</measure-style>")
        elif name == "harmony":
            root, _, kind = value.partition(":")
            voice.append(
                f"<harmony><root><root-step>{root}</root-step></root>"
                f"<kind>{kind or 'major'}</kind></harmony>"
            )
        elif name == "mark":
            voice.append(self._directed(f"<rehearsal>{value}</rehearsal>"))
        elif name == "tempo":
            said = f"<metronome><beat-unit>quarter</beat-unit><per-minute>{value}</per-minute>"
            voice.append(self._directed(f"{said}</metronome>", f'<sound tempo="{value}"/>'))
        else:
            raise ValueError(f"no setting is called {name!r}")


READERS = {
    "note": "_note",
    "slur": "_slur",
    "tuplet": "_tuplet",
    "close": "_tuplet",
    "dynamics": "_direction",
    "words": "_direction",
    "wedge": "_direction",
    "line": "_direction",
    "time": "_set",
    "set": "_set",
    "pickup": "_set",
}


def _last(voice: list[Sound | str]) -> Sound:
    return next(item for item in reversed(voice) if isinstance(item, Sound))
