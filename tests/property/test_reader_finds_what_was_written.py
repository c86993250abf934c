"""Whatever a score holds, the reader finds each child of each bar when it was written."""

from fractions import Fraction
from random import Random
from typing import NamedTuple

from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from rewriter.scores.events import EventReader, common_divisions
from rewriter.scores.score import read_score

PITCHES = (("C", "", "4"), ("F", "1", "5"), ("B", "-1", "3"), ("G", "0.5", "2"))

TUPLET = (
    "<time-modification><actual-notes>3</actual-notes>"
    "<normal-notes>2</normal-notes></time-modification>"
)


class Child(NamedTuple):
    """A child of a bar as it was written; times in quarters."""

    tag: str
    onset: Fraction
    length: Fraction
    pitch: tuple[str, str, str] | None = None
    voice: str = ""
    staff: str = ""


class Writer:
    """Writes bars, and keeps what it wrote."""

    def __init__(self, rng: Random) -> None:
        self.rng = rng
        self.divisions = rng.choice((1, 2, 3, 8, 480))
        self.now = Fraction(0)
        self.text = ""
        self.wrote: list[Child] = []

    def bar(self, number: int) -> list[Child]:
        self.now, self.wrote = Fraction(0), []
        said = self.rng.choice((str(number), "X1", "0", ""))
        self.text += f'<measure number="{said}">' if said else "<measure>"
        if number == 0:
            self.attributes()
        writers = (self.note, self.note, self.chord, self.grace, self.cue, self.attributes,
                   self.move, self.other, self.comment)  # fmt: skip
        for _ in range(self.rng.randrange(12)):
            self.rng.choice(writers)()
        self.text += "</measure>"
        return self.wrote

    def put(self, tag: str, xml: str, length: Fraction = Fraction(0), **more: object) -> None:
        self.text += xml
        self.wrote.append(Child(tag, self.now, length, **more))  # type: ignore[arg-type]

    def note(
        self, *, before: str = "", advance: bool = True, length: int | None = None
    ) -> Fraction:
        """A note, in or out of a tuplet, of some voice and staff."""
        count = self.rng.randrange(1, 9) if length is None else length
        step, alter, octave = pitch = self.rng.choice(PITCHES)
        voice, staff = self.rng.choice("125"), self.rng.choice("12")
        raised = f"<alter>{alter}</alter>" if alter else ""
        lasting = f"<duration>{count}</duration>" if count else ""
        tuplet = self.rng.choice(("", TUPLET))
        quarters = Fraction(count, self.divisions)
        self.put(
            "note",
            f"<note>{before}<pitch><step>{step}</step>{raised}<octave>{octave}</octave></pitch>"
            f"{lasting}<voice>{voice}</voice>{tuplet}<staff>{staff}</staff><odd/></note>",
            quarters, pitch=pitch, voice=voice, staff=staff,
        )  # fmt: skip
        self.now += quarters if advance else 0
        return quarters

    def chord(self) -> None:
        before = self.now
        self.note()
        after, self.now = self.now, before
        for _ in range(self.rng.randrange(1, 3)):
            self.note(before="<chord/>", advance=False)
        self.now = after

    def grace(self) -> None:
        self.note(before="<grace/>", length=0)

    def cue(self) -> None:
        self.note(before="<cue/>")

    def attributes(self) -> None:
        self.divisions = self.rng.choice((1, 2, 3, 8, 480))
        self.put(
            "attributes",
            f"<attributes><divisions>{self.divisions}</divisions><transpose><chromatic>-2"
            "</chromatic></transpose></attributes>",
        )

    def move(self) -> None:
        """Forward, or back no further than the bar's start."""
        most = int(self.now * self.divisions)
        tag = self.rng.choice(("forward", "backup")) if most else "forward"
        count = self.rng.randrange(1, most + 1 if tag == "backup" else 9)
        length = Fraction(count, self.divisions)
        self.put(tag, f"<{tag}><duration>{count}</duration></{tag}>", length)
        self.now += length if tag == "forward" else -length

    def other(self) -> None:
        tag, xml = self.rng.choice((
            ("odd-thing", "<odd-thing a='>'><note-like/>text</odd-thing>"),
            ("barline", '<barline location="right"><repeat direction="backward"/></barline>'),
            ("direction", "<direction><direction-type><words>a &lt; b</words>"
             "</direction-type></direction>"),
        ))  # fmt: skip
        self.put(tag, xml)

    def comment(self) -> None:
        self.text += self.rng.choice(("<!-- <note/> -->", "<?page turn?>"))


def made(seed: int, parts: int, bars: int) -> tuple[bytes, list[list[list[Child]]]]:
    rng = Random(seed)  # noqa: S311 - music, not secrets
    listed = music = ""
    wrote = []
    for part in range(parts):
        writer = Writer(rng)
        wrote.append([writer.bar(bar) for bar in range(bars)])
        listed += f'<score-part id="P{part}"><part-name>Part</part-name></score-part>'
        music += f'<part id="P{part}">{writer.text}</part>'
    whole = f"<score-partwise><part-list>{listed}</part-list>{music}</score-partwise>"
    return whole.encode(), wrote


@given(st.integers(0, 2**32), st.integers(1, 3), st.integers(1, 4))
def test_each_child_is_found_when_it_was_written(seed: int, parts: int, bars: int) -> None:
    data, wrote = made(seed, parts, bars)
    tree = etree.fromstring(data)
    score = read_score(tree)
    divisions = common_divisions(score.parts)
    for part, expected in zip(score.parts, wrote, strict=True):
        found = [
            [
                Child(
                    event.tag,
                    Fraction(event.onset, divisions),
                    Fraction(event.length, divisions),
                    event.pitch and (event.pitch.step, event.pitch.alter, event.pitch.octave),
                    event.form.voice if event.form else "",
                    event.form.staff if event.form else "",
                )
                for event in bar.events
            ]
            for bar in EventReader(part, divisions).bars()
        ]
        assert found == expected
    assert etree.tostring(tree) == etree.tostring(etree.fromstring(data))
    kept = [len(measure) for measure in tree.iter("measure")]
    assert kept == [
        len(part.children(bar)) for part in score.parts for bar in range(len(part.bars))
    ]
