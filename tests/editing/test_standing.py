"""What is in force, and what has to be said to bring something else into force; by hand."""

import pytest

from rewriter.editing.standing import Standing, standing_before
from rewriter.scores.score import read_score

C, D = b"<key><fifths>0</fifths></key>", b"<key><fifths>2</fifths></key>"
SECOND = b'<key number="2"><fifths>2</fifths></key>'
TREBLE, BASS = (
    b"<clef%b><sign>%b</sign></clef>" % (number, sign)
    for number, sign in ((b"", b"G"), (b' number="2"', b"F"))
)
ALTO = b'<clef number="2"><sign>C</sign><line>3</line></clef>'
MINOR = b"<key><fifths>2</fifths><mode>minor</mode></key>"
COMMON = b'<time symbol="common"><beats>4</beats><beat-type>4</beat-type></time>'
FOUR = b"<time><beats>4</beats><beat-type>4</beat-type></time>"
UNMEASURED = b'<time print-object="no"><senza-misura/></time>'
DOWN = b"<transpose><chromatic>-2</chromatic></transpose>"
UNISON = b"<transpose><chromatic>0</chromatic></transpose>"
HIDDEN = b'<staff-details number="2" print-object="no"/>'
SHOWN = (
    b'<staff-details number="2" print-object="yes"><staff-lines>5</staff-lines></staff-details>'
)


def standing(*children: bytes) -> Standing:
    return Standing().take([b"<attributes>" + b"".join(children) + b"</attributes>"])


@pytest.mark.parametrize(
    ("now", "wanted", "said"),
    [
        ([], [], []),
        ([], [C, TREBLE, UNISON], []),  # what counts unsaid
        ([C], [D], [D]),
        ([D], [], [C]),
        ([D], [MINOR], []),  # the same signs
        ([D], [D, SECOND], []),
        ([C], [C, SECOND], [C, SECOND]),
        ([C, SECOND], [C], [C]),
        ([C], [SECOND], [C, SECOND]),
        ([COMMON], [FOUR], []),
        ([FOUR], [], [UNMEASURED]),
        ([], [DOWN], [DOWN]),
        ([DOWN], [], [UNISON]),
        ([TREBLE, BASS], [TREBLE, ALTO], [ALTO]),
        ([TREBLE, BASS], [TREBLE], []),  # no staff to show it
        ([TREBLE], [TREBLE, BASS], [BASS]),
        ([b"<divisions>4</divisions>", D], [b"<divisions>4.0</divisions>", D], []),
        ([b"<staves>2</staves>"], [], [b"<staves>1</staves>"]),
        ([HIDDEN], [], [SHOWN]),
        ([], [HIDDEN], [HIDDEN]),
        ([SHOWN], [], []),
    ],
)
def test_only_what_differs_is_said(
    now: list[bytes], wanted: list[bytes], said: list[bytes]
) -> None:
    leading = standing(*now).leading_to(standing(*wanted))
    assert leading == said
    there = standing(*now).take([b"<attributes>" + b"".join(leading) + b"</attributes>"])
    assert there.leading_to(standing(*wanted)) == []


def test_changes_count_by_their_moment_wherever_they_stand() -> None:
    rest = b"<note><rest/><duration>2</duration></note>"
    late, early = (
        b"<attributes><clef><sign>%b</sign></clef></attributes>" % sign for sign in (b"C", b"F")
    )
    data = (
        b"<score-partwise><part-list><score-part id='P'><part-name/></score-part></part-list>"
        b"<part id='P'><measure>" + rest + late + rest
        + b"<backup><duration>4</duration></backup>" + early + rest
        + b"</measure><measure/></part></score-partwise>"
    )  # fmt: skip
    part = read_score(data).parts[0]
    assert standing_before(part, 1).leading_to(standing(b"<clef><sign>C</sign></clef>")) == []
    assert standing_before(part, 0).leading_to(standing()) == []
