import msgspec
import pytest
from inline_snapshot import snapshot

from rewriter.problems import Finding
from rewriter.reporting.text import as_text, count_findings, summarise, word
from tests.reporting.made_up import (
    ARC,
    BELOW_OPEN_STRING,
    CELLOS_FROM,
    LANTERN,
    PLAIN,
    below_open_string,
    beyond_range,
)


def test_everything_there_is_to_say() -> None:
    assert as_text(LANTERN, "lantern-strings.musicxml") == snapshot("""\
lantern-strings.musicxml: written, 32 bars, 5 sections; 1 error, 6 warnings, 1 advice

  Tune        Flute (P1), the only part with one staff
  Ensemble    Symphonic strings
  Layout      Three levels, the middle doubled
  Stack       Vn I 8va / Vn II + Vla / half Vc
  Why         no note lies beyond the extreme, 5 lie beyond the range, and the weakest line
              (Vla) is at 0.75
  Runner-up   an octave lower, where the weakest line (Vc) is at 0.41
  Strength    soft 75%, full 25%; without dynamics an octave higher
  Placed by   singing registers; by measured ones an octave lower

  Line     Players  Octave  Sings  Usual     Lowest                        Highest
  Vn I          16  8va      0.82  33%, 12%  A4  bar 3                     F#7 bars 31 and 32
                                             soprano 80% · high 20% · top under 1%
  Vn II         14  loco     0.97            A3  bar 3                     F#6 bars 31 and 32
                                             tenor 100%
  Vla           12  loco     0.75            A3  bars 3, 7, 21 and 4 more  F#6 bars 31 and 32
                                             tenor 100%
  half Vc        5  8vb                      no note

  Tacet       Db
  Kept        slurs 12, ties 5, dynamics 9, hairpins 4
  Dropped     stems 118, positions 64, lyrics 40, chord symbols 22
  Not played  Piano (P2) staff 1; Piano (P2) staff 2
  Remarks     the key has no mode; major is assumed
              2 chords in the tune: top note taken

Errors (1)
  Vla, bar 12, beat 1: B2 is below the lowest open string (C3); move the line up or give it to
      Vc  [below-open-string]

Warnings (6)
  Vn I, bar 1, beat 2.5: F#7 is above the range (G3 to E7); let the section leader judge
      [beyond-range]
  Vn I, bar 2, beat 2.5: F#7 is above the range (G3 to E7); let the section leader judge
      [beyond-range]
  Vn I, bar 3, beat 2.5: F#7 is above the range (G3 to E7); let the section leader judge
      [beyond-range]
  Vn I, bars 4-40: 3 more like these; --report lists all  [beyond-range]

Advice (1)
  the cellos go down to C3; this doubling wants them on the A or D string, from D3
      [cellos-from]
""")


def test_as_little_as_there_is_to_say() -> None:
    assert as_text(PLAIN, "quay-strings.musicxml") == snapshot("""\
quay-strings.musicxml: written, 1 bar, 5 sections; no findings

  Tune        Oboe (P1)
  Ensemble    Chamber strings
  Stack       Vla loco + Vc loco
  Why         the octave is named in the stack
  Strength    plain

  Line  Players  Octave  Sings  Lowest     Highest
  Vla        12  loco     0.75  D4  bar 1  A4  bar 1
                                tenor 100%

  Tacet       Vn I, Vn II, Vc, Db
  Kept        slurs 1
""")


def test_a_narrow_terminal() -> None:
    report = msgspec.structs.replace(LANTERN, findings=[BELOW_OPEN_STRING])
    assert as_text(report, "lantern-strings.musicxml", 72) == snapshot("""\
lantern-strings.musicxml: written, 32 bars, 5 sections; 1 error

  Tune        Flute (P1), the only part with one staff
  Ensemble    Symphonic strings
  Layout      Three levels, the middle doubled
  Stack       Vn I 8va / Vn II + Vla / half Vc
  Why         no note lies beyond the extreme, 5 lie beyond the range,
              and the weakest line (Vla) is at 0.75
  Runner-up   an octave lower, where the weakest line (Vc) is at 0.41
  Strength    soft 75%, full 25%; without dynamics an octave higher
  Placed by   singing registers; by measured ones an octave lower

  Line     Players  Octave  Sings  Lowest                 Highest
  Vn I          16  8va      0.82  A4  bar 3              F#7 bars 31 and 32
                                   usual 33%, 12%: soprano 80% ·
                                   high 20% · top under 1%
  Vn II         14  loco     0.97  A3  bar 3              F#6 bars 31 and 32
                                   tenor 100%
  Vla           12  loco     0.75  A3  bars 3 and 6 more  F#6 bars 31 and 32
                                   tenor 100%
  half Vc        5  8vb            no note

  Tacet       Db
  Kept        slurs 12, ties 5, dynamics 9, hairpins 4
  Dropped     stems 118, positions 64, lyrics 40, chord symbols 22
  Not played  Piano (P2) staff 1; Piano (P2) staff 2
  Remarks     the key has no mode; major is assumed
              2 chords in the tune: top note taken

Errors (1)
  Vla, bar 12, beat 1: B2 is below the lowest open string (C3); move the
      line up or give it to Vc  [below-open-string]
""")


def test_a_plan_is_told_passage_by_passage() -> None:
    assert as_text(ARC, "lantern-strings.musicxml") == snapshot("""\
lantern-strings.musicxml: written, 32 bars, 5 sections; 7 errors, 1 advice

  Tune        Flute (P1), the only part with one staff
  Ensemble    Symphonic strings
  Plan        The lantern, lit and put out

  Line     Players  Octave  Sings  Usual     Compass    Registers

Bars 1-8    Vn I 8va / Vn II + Vla / half Vc
            Three levels, the middle doubled
            no note lies beyond the extreme, 5 lie beyond the range, and the weakest line (Vla)
            is at 0.75
            runner-up an octave lower, where the weakest line (Vc) is at 0.41
            strength soft 75%, full 25%; without dynamics an octave higher
            by singing registers; by measured ones an octave lower
  Vn I          16  8va      0.82  33%, 12%  A4 to F#7  soprano 80%, high 20%, top under 1%
  Vn II         14  loco     0.97            A3 to F#6  tenor 100%
  Vla           12  loco     0.75            A3 to F#6  tenor 100%
  half Vc        5  8vb                      no note

Bars 9-16   Vn I 8va / Vn II + Vla / half Vc, as before
  Vn I          16  8va      0.82  33%, 12%  A4 to F#7  soprano 80%, high 20%, top under 1%
  Vn II         14  loco     0.97            A3 to F#6  handed over by Vc: tenor 100%
  half Vc        5  8vb                      no note
  Db             8  8vb     -0.25            A3 to F#6  Piano (P2) staff 2: below the range 5%,
                                                        all 95%

Bars 17-24  Vla 8va, from beat 3.5, up M2 (E)
            strength full
  Vla           12  loco     0.75            A3 to F#6  tenor 100%

Bar 25      Vla loco + Vc loco
            strength plain
  Vla           12  loco     0.75            D4 to A4   tenor 100%

  Kept        slurs 12, ties 5, dynamics 9, hairpins 4
  Dropped     stems 118, positions 64, lyrics 40, chord symbols 22
  Not played  Piano (P2) staff 1; Piano (P2) staff 2
  Remarks     the key has no mode; major is assumed
              2 chords in the tune: top note taken

Errors (7)
  Vla, bar 2, beat 1: B2 is below the lowest open string (C3); move the line up or give it to Vc
      [below-open-string]
  Vla, bar 3, beat 1: B2 is below the lowest open string (C3); move the line up or give it to Vc
      [below-open-string]
  Vla, bar 5, beat 1: B2 is below the lowest open string (C3); move the line up or give it to Vc
      [below-open-string]
  Vla, bars 9, 12 and 15: 4 more like these; --report lists all  [below-open-string]

Advice (1)
  the cellos go down to C3; this doubling wants them on the A or D string, from D3
      [cellos-from]
""")


def test_a_plan_on_a_usual_terminal() -> None:
    report = msgspec.structs.replace(ARC, findings=[])
    assert as_text(report, "lantern-strings.musicxml", 80) == snapshot("""\
lantern-strings.musicxml: written, 32 bars, 5 sections; no findings

  Tune        Flute (P1), the only part with one staff
  Ensemble    Symphonic strings
  Plan        The lantern, lit and put out

  Line     Players  Octave  Sings  Usual     Compass    Registers

Bars 1-8    Vn I 8va / Vn II + Vla / half Vc
            Three levels, the middle doubled
            no note lies beyond the extreme, 5 lie beyond the range, and the
            weakest line (Vla) is at 0.75
            runner-up an octave lower, where the weakest line (Vc) is at 0.41
            strength soft 75%, full 25%; without dynamics an octave higher
            by singing registers; by measured ones an octave lower
  Vn I          16  8va      0.82  33%, 12%  A4 to F#7  soprano 80%, high 20%,
                                                        top under 1%
  Vn II         14  loco     0.97            A3 to F#6  tenor 100%
  Vla           12  loco     0.75            A3 to F#6  tenor 100%
  half Vc        5  8vb                      no note

Bars 9-16   Vn I 8va / Vn II + Vla / half Vc, as before
  Vn I          16  8va      0.82  33%, 12%  A4 to F#7  soprano 80%, high 20%,
                                                        top under 1%
  Vn II         14  loco     0.97            A3 to F#6  handed over by Vc:
                                                        tenor 100%
  half Vc        5  8vb                      no note
  Db             8  8vb     -0.25            A3 to F#6  Piano (P2) staff 2:
                                                        below the range 5%,
                                                        all 95%

Bars 17-24  Vla 8va, from beat 3.5, up M2 (E)
            strength full
  Vla           12  loco     0.75            A3 to F#6  tenor 100%

Bar 25      Vla loco + Vc loco
            strength plain
  Vla           12  loco     0.75            D4 to A4   tenor 100%

  Kept        slurs 12, ties 5, dynamics 9, hairpins 4
  Dropped     stems 118, positions 64, lyrics 40, chord symbols 22
  Not played  Piano (P2) staff 1; Piano (P2) staff 2
  Remarks     the key has no mode; major is assumed
              2 chords in the tune: top note taken
""")


def test_a_cue_moved_as_a_whole_says_so_once() -> None:
    passages = [msgspec.structs.replace(one, by="down m3", key="B") for one in ARC.passages]
    text = as_text(msgspec.structs.replace(ARC, passages=passages), "lantern-strings.musicxml")
    assert "  Key         down m3, beginning in B\n" in text
    assert text.count("down m3") == 1


def test_lines_of_other_staves_and_lines_handed_over_are_told_in_one_table_too() -> None:
    lines = [one for one in ARC.lines if one.passage == 1]
    report = msgspec.structs.replace(LANTERN, lines=lines, findings=[])
    assert as_text(report, "lantern-strings.musicxml") == snapshot("""\
lantern-strings.musicxml: written, 32 bars, 4 sections; no findings

  Tune        Flute (P1), the only part with one staff
  Ensemble    Symphonic strings
  Layout      Three levels, the middle doubled
  Stack       Vn I 8va / Vn II + Vla / half Vc
  Why         no note lies beyond the extreme, 5 lie beyond the range, and the weakest line
              (Vla) is at 0.75
  Runner-up   an octave lower, where the weakest line (Vc) is at 0.41
  Strength    soft 75%, full 25%; without dynamics an octave higher
  Placed by   singing registers; by measured ones an octave lower

  Line     Players  Octave  Sings  Usual     Lowest                        Highest
  Vn I          16  8va      0.82  33%, 12%  A4  bar 3                     F#7 bars 31 and 32
                                             tune: soprano 80% · high 20% · top under 1%
  Vn II         14  loco     0.97            A3  bar 3                     F#6 bars 31 and 32
                                             tune, handed over by Vc: tenor 100%
  half Vc        5  8vb                      no note
                                             tune
  Db             8  8vb     -0.25            A3  bars 3, 7, 21 and 4 more  F#6 bars 31 and 32
                                             Piano (P2) staff 2: below the range 5% · all 95%

  Tacet       Db
  Kept        slurs 12, ties 5, dynamics 9, hairpins 4
  Dropped     stems 118, positions 64, lyrics 40, chord symbols 22
  Not played  Piano (P2) staff 1; Piano (P2) staff 2
  Remarks     the key has no mode; major is assumed
              2 chords in the tune: top note taken
""")


def test_a_plan_in_one_passage_has_a_title_too() -> None:
    report = msgspec.structs.replace(PLAIN, plan="All of it")
    assert "  Plan        All of it\n" in as_text(report, "quay-strings.musicxml")


@pytest.mark.parametrize("width", [60, 72, 80, 96, 100])
def test_nothing_is_wider_than_asked_for_down_to_a_usual_terminal(width: int) -> None:
    one = LANTERN if width >= 80 else msgspec.structs.replace(LANTERN, lines=[])
    for report in (one, ARC):
        text = as_text(report, "lantern-strings.musicxml", width)
        assert max(len(line) for line in text.splitlines()) <= width


@pytest.mark.parametrize(
    ("findings", "said"),
    [
        ([], "no findings"),
        ([CELLOS_FROM, CELLOS_FROM], "2 advice"),
        ([CELLOS_FROM, beyond_range(3)], "1 warning, 1 advice"),
        ([CELLOS_FROM, BELOW_OPEN_STRING, BELOW_OPEN_STRING], "2 errors, 1 advice"),
    ],
)
def test_findings_are_counted_worst_first(findings: list[Finding], said: str) -> None:
    assert count_findings(findings) == said


def test_a_finding_is_one_sentence_with_its_place_and_rule() -> None:
    assert word(beyond_range(31)) == (
        "Vn I, bar 31, beat 2.5: F#7 is above the range (G3 to E7); "
        "let the section leader judge  [beyond-range]"
    )


@pytest.mark.parametrize(("number", "told"), [(1, 1), (3, 3), (4, 4), (5, 3), (30, 3)])
def test_many_findings_alike_are_told_three_times_and_counted(number: int, told: int) -> None:
    findings = [beyond_range(bar) for bar in range(1, number + 1)]
    report = msgspec.structs.replace(PLAIN, findings=findings)
    lines = as_text(report, "quay-strings.musicxml", 200).splitlines()
    at = lines.index(f"Warnings ({number})")
    assert lines[at + 1 : at + 1 + told] == [
        f"  {word(finding)}" for finding in findings[:told]
    ]
    rest = [
        f"  Vn I, bars {told + 1}-{number}: {number - told} more like these; "
        "--report lists all  [beyond-range]"
    ]
    assert lines[at + 1 + told :] == (rest if number > told else [])


def test_of_errors_every_bar_is_named() -> None:
    bars = [*range(1, 9), 30, 30, 41]
    findings = [
        msgspec.structs.replace(BELOW_OPEN_STRING, place=below_open_string(bar)) for bar in bars
    ]
    report = msgspec.structs.replace(PLAIN, findings=findings)
    lines = as_text(report, "quay-strings.musicxml", 200).splitlines()
    assert lines[-1] == (
        "  Vla, bars 4, 5, 6, 7, 8, 30 and 41: 8 more like these; "
        "--report lists all  [below-open-string]"
    )


def test_bars_of_several_movements_are_named_apart() -> None:
    places = [
        msgspec.structs.replace(below_open_string(bar), movement=movement)
        for movement, bar in [(1, 1), (1, 2), (1, 3), (1, 4), (2, 1), (2, 4), (2, 4)]
    ]
    findings = [msgspec.structs.replace(BELOW_OPEN_STRING, place=place) for place in places]
    report = msgspec.structs.replace(PLAIN, findings=findings)
    lines = as_text(report, "quay-strings.musicxml", 200).splitlines()
    assert lines[-1] == (
        "  Vla, movement 1, bar 4; movement 2, bars 1 and 4: 4 more like these; "
        "--report lists all  [below-open-string]"
    )


def test_without_a_file_the_sketch_is_named() -> None:
    assert summarise(PLAIN, "") == "quay.mxl: expanded, 1 bar, 5 sections; no findings"


def test_figures_that_changed_after_placing_are_said_to_be_others() -> None:
    lines = [msgspec.structs.replace(LANTERN.lines[0], sings=0.9), *LANTERN.lines[1:]]
    said = as_text(msgspec.structs.replace(LANTERN, lines=lines), "x.musicxml")
    figures = (
        "the reasons have those of the stack as placed, the lines those of what is written"
    )
    assert f"  Figures     {figures}\n" in said
    assert "Figures" not in as_text(LANTERN, "x.musicxml")
