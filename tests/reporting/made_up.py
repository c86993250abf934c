"""Reports made up by hand; the music in them is not meant to add up."""

import msgspec

from rewriter.problems import Finding, Place
from rewriter.reporting.results import (
    Compass,
    LineResult,
    PassageResult,
    RegisterTime,
    Report,
    StackLine,
    StrengthTime,
    Usual,
)


def beyond_range(bar: int, pitch: str = "F#7") -> Finding:
    return Finding(
        rule="beyond-range",
        severity="warning",
        place=Place(
            part="P1",
            section="Vn I",
            bar=str(bar),
            bar_counted=bar,
            beat="2.5",
            moment=f"{4 * bar - 2.5:g}",
        ),
        sounds=pitch,
        wants="G3 to E7",
        text=f"{pitch} is above the range (G3 to E7); let the section leader judge",
    )


def below_open_string(bar: int) -> Place:
    return Place(
        part="P3",
        section="Vla",
        bar=str(bar),
        bar_counted=bar,
        beat="1",
        moment=str(4 * bar - 4),
    )


BELOW_OPEN_STRING = Finding(
    rule="below-open-string",
    severity="error",
    place=below_open_string(12),
    sounds="B2",
    wants="C3 or higher",
    text="B2 is below the lowest open string (C3); move the line up or give it to Vc",
)

CELLOS_FROM = Finding(
    rule="cellos-from",
    severity="advice",
    text="the cellos go down to C3; this doubling wants them on the A or D string, from D3",
)


def make_line(
    section: str, octave: int, level: int, lowest: Compass | None, highest: Compass | None
) -> LineResult:
    return LineResult(
        section=section,
        share="half" if section == "Vc" else "",
        players={"Vn I": 16, "Vn II": 14, "Vla": 12, "Vc": 5}[section],
        octave=octave,
        octaves_below_top=level,
        plays="tune",
        is_tune=True,
        handed_over_by="",
        bars="1-32",
        sings={"Vn I": 0.82, "Vn II": 0.9666, "Vla": 0.75, "Vc": 1.0}[section],
        lowest=lowest,
        highest=highest,
        registers=[
            RegisterTime(register="soprano", time=0.8),
            RegisterTime(register="high", time=0.198),
            RegisterTime(register="top", time=0.002),
        ]
        if section == "Vn I"
        else [RegisterTime(register="tenor", time=1.0)],
        usual=Usual(as_high=33, up_to=12) if section == "Vn I" else None,
        notes=64 if lowest else 0,
        passage=0,
    )


LANTERN = Report(
    sketch="lantern.musicxml",
    tune="Flute (P1), the only part with one staff",
    ensemble="Symphonic strings",
    plan="",
    bars=32,
    passages=[
        PassageResult(
            bars="1-32",
            from_beat="",
            to_beat="",
            layout="Three levels, the middle doubled",
            stack_as_written="Vn I / Vn II + Vla / half Vc",
            stack="Vn I 8va / Vn II + Vla / half Vc",
            by="",
            key="D",
            octave_named=False,
            why=(
                "no note lies beyond the extreme, 5 lie beyond the range, and the weakest "
                "line (Vla) is at 0.75"
            ),
            runner_up="an octave lower, where the weakest line (Vc) is at 0.41",
            lines=[
                StackLine(section="Vn I", share="", octave=1, sings=0.82),
                StackLine(section="Vn II", share="", octave=0, sings=0.9666),
                StackLine(section="Vla", share="", octave=0, sings=0.75),
                StackLine(section="Vc", share="half", octave=-1, sings=1.0),
            ],
            strengths=[
                StrengthTime(strength="soft", time=0.75),
                StrengthTime(strength="full", time=0.25),
            ],
            octave_as_plain=2,
            placed_by="singing",
            octave_by_other=0,
        )
    ],
    lines=[
        make_line(
            "Vn I",
            1,
            0,
            Compass(pitch="A4", midi=69, bars=["3"]),
            Compass(pitch="F#7", midi=102, bars=["31", "32"]),
        ),
        make_line(
            "Vn II",
            0,
            1,
            Compass(pitch="A3", midi=57, bars=["3"]),
            Compass(pitch="F#6", midi=90, bars=["31", "32"]),
        ),
        make_line(
            "Vla",
            0,
            1,
            Compass(pitch="A3", midi=57, bars=["3", "7", "21", "22", "23", "24", "30"]),
            Compass(pitch="F#6", midi=90, bars=["31", "32"]),
        ),
        make_line("Vc", -1, 2, None, None),
    ],
    tacet=["Db"],
    kept={"slurs": 12, "ties": 5, "dynamics": 9, "hairpins": 4, "tuplets": 0},
    dropped={"stems": 118, "positions": 64, "lyrics": 40, "chord symbols": 22},
    not_played=["Piano (P2) staff 1", "Piano (P2) staff 2"],
    remarks=["the key has no mode; major is assumed", "2 chords in the tune: top note taken"],
    findings=[
        *(beyond_range(bar) for bar in (1, 2, 3, 4, 5, 40)),
        BELOW_OPEN_STRING,
        CELLOS_FROM,
    ],
)

PLAIN = Report(
    sketch="quay.mxl",
    tune="Oboe (P1)",
    ensemble="Chamber strings",
    plan="",
    bars=1,
    passages=[
        PassageResult(
            bars="1",
            from_beat="",
            to_beat="",
            layout="Vla loco + Vc loco",
            stack_as_written="Vla loco + Vc loco",
            stack="Vla loco + Vc loco",
            by="",
            key="G minor",
            octave_named=True,
            why="the octave is named in the stack",
            runner_up="",
            lines=[StackLine(section="Vla", share="", octave=0, sings=0.75)],
            strengths=[StrengthTime(strength="plain", time=1.0)],
            octave_as_plain=None,
            placed_by="singing",
            octave_by_other=None,
        )
    ],
    lines=[
        make_line(
            "Vla",
            0,
            0,
            Compass(pitch="D4", midi=62, bars=["1"]),
            Compass(pitch="A4", midi=69, bars=["1"]),
        )
    ],
    tacet=["Vn I", "Vn II", "Vc", "Db"],
    kept={"slurs": 1},
    dropped={},
    not_played=[],
    remarks=[],
    findings=[],
)


def _in_passage(passage: int, bars: str, *lines: LineResult) -> list[LineResult]:
    return [msgspec.structs.replace(line, passage=passage, bars=bars) for line in lines]


def _handed_over() -> LineResult:
    line = LANTERN.lines[1]
    return msgspec.structs.replace(line, octave=0, handed_over_by="Vc", octaves_below_top=1)


def _bass() -> LineResult:
    return msgspec.structs.replace(
        LANTERN.lines[2],
        section="Db",
        players=8,
        octave=-1,
        plays="Piano (P2) staff 2",
        is_tune=False,
        sings=-0.25,
        registers=[
            RegisterTime(register="below the range", time=0.05),
            RegisterTime(register="all", time=0.95),
        ],
    )


def _passage(bars: str, like: PassageResult, **changes: object) -> PassageResult:
    return msgspec.structs.replace(like, bars=bars, **changes)


VIOLAS = PassageResult(
    bars="17-24",
    from_beat="",
    to_beat="",
    layout="Vla 8va",
    stack_as_written="Vla 8va",
    stack="Vla 8va",
    by="up M2",
    key="E",
    octave_named=True,
    why="the octave is named in the stack",
    runner_up="",
    lines=[StackLine(section="Vla", share="", octave=1, sings=0.5)],
    strengths=[StrengthTime(strength="full", time=1.0)],
    octave_as_plain=None,
    placed_by="measured",
    octave_by_other=None,
)

ARC = msgspec.structs.replace(
    LANTERN,
    plan="The lantern, lit and put out",
    passages=[
        _passage("1-8", LANTERN.passages[0]),
        _passage("9-16", LANTERN.passages[0]),
        msgspec.structs.replace(VIOLAS, from_beat="3.5", to_beat="4"),
        _passage("25", PLAIN.passages[0]),
    ],
    lines=[
        *_in_passage(0, "1-8", *LANTERN.lines),
        *_in_passage(1, "9-16", LANTERN.lines[0], _handed_over(), LANTERN.lines[3], _bass()),
        *_in_passage(2, "17-24", LANTERN.lines[2]),
        *_in_passage(3, "25", PLAIN.lines[0]),
    ],
    tacet=[],
    findings=[
        *(
            msgspec.structs.replace(BELOW_OPEN_STRING, place=below_open_string(bar))
            for bar in (2, 3, 5, 9, 12, 12, 15)
        ),
        CELLOS_FROM,
    ],
)
"""A cue in four passages: the second as the first, the third in another key."""
