import json

import msgspec
from inline_snapshot import snapshot

from rewriter.reporting.as_json import (
    ReportFile,
    account_of,
    as_json,
    is_report,
    report_file,
)
from tests.reporting.made_up import ARC, BELOW_OPEN_STRING, LANTERN, PLAIN


def test_a_whole_file() -> None:
    assert as_json(PLAIN, "quay-strings.musicxml").decode() == snapshot("""\
{
  "format": "rewriter report 1",
  "version": "0.1.0",
  "digest": "1b07c7f6249fab4ef9c86542c19d1f026c076aa8edc5b5cc86a220899b16c19a",
  "scores": [
    {
      "written_to": "quay-strings.musicxml",
      "replaced": false,
      "changed": [],
      "copy": "",
      "parts": [],
      "earlier_parts": [],
      "errors": 0,
      "warnings": 0,
      "advice": 0,
      "report": {
        "sketch": "quay.mxl",
        "tune": "Oboe (P1)",
        "ensemble": "Chamber strings",
        "plan": "",
        "bars": 1,
        "passages": [
          {
            "bars": "1",
            "movement": 0,
            "to_movement": 0,
            "from_beat": "",
            "to_beat": "",
            "layout": "Vla loco + Vc loco",
            "stack": "Vla loco + Vc loco",
            "stack_as_written": "Vla loco + Vc loco",
            "by": "",
            "key": "G minor",
            "octave_named": true,
            "why": "the octave is named in the stack",
            "runner_up": "",
            "lines": [
              {
                "section": "Vla",
                "share": "",
                "octave": 0,
                "sings": 0.75
              }
            ],
            "strengths": [
              {
                "strength": "plain",
                "time": 1.0
              }
            ],
            "octave_as_plain": null,
            "placed_by": "singing",
            "octave_by_other": null
          }
        ],
        "lines": [
          {
            "section": "Vla",
            "share": "",
            "players": 12,
            "octave": 0,
            "octaves_below_top": 0,
            "plays": "tune",
            "is_tune": true,
            "handed_over_by": "",
            "bars": "1-32",
            "sings": 0.75,
            "lowest": {
              "pitch": "D4",
              "midi": 62,
              "bars": [
                "1"
              ],
              "movements": []
            },
            "highest": {
              "pitch": "A4",
              "midi": 69,
              "bars": [
                "1"
              ],
              "movements": []
            },
            "registers": [
              {
                "register": "tenor",
                "time": 1.0
              }
            ],
            "usual": null,
            "notes": 64,
            "passage": 0
          }
        ],
        "tacet": [
          "Vn I",
          "Vn II",
          "Vc",
          "Db"
        ],
        "kept": {
          "slurs": 1
        },
        "dropped": {},
        "not_played": [],
        "remarks": [],
        "findings": []
      }
    }
  ],
  "refused": []
}
""")


def test_a_plan_reads_back_the_same() -> None:
    read = msgspec.json.decode(as_json(ARC, "lantern-strings.musicxml"), type=ReportFile)
    assert read.scores[0].report == ARC


def test_what_is_written_reads_back_the_same() -> None:
    read = msgspec.json.decode(as_json(LANTERN, "lantern-strings.musicxml"), type=ReportFile)
    (score,) = read.scores
    assert score.report == LANTERN
    assert (score.written_to, score.errors, score.warnings, score.advice) == (
        "lantern-strings.musicxml",
        1,
        6,
        1,
    )


def test_several_scores_keep_their_order_and_the_refused_sketches_their_message() -> None:
    data = report_file(
        [account_of(LANTERN, "b.musicxml"), account_of(PLAIN, "a.musicxml")],
        [("torn.mxl", "torn.mxl: the zip ends too early; export the score again")],
    )
    read = json.loads(data)
    assert [score["written_to"] for score in read["scores"]] == ["b.musicxml", "a.musicxml"]
    assert read["refused"] == [
        {
            "sketch": "torn.mxl",
            "message": "torn.mxl: the zip ends too early; export the score again",
        }
    ]


def test_a_finding_says_where_it_is_in_fields() -> None:
    (finding,) = json.loads(msgspec.json.encode([BELOW_OPEN_STRING]))
    assert finding["place"] == {
        "part": "P3", "section": "Vla", "bar": "12", "bar_counted": 12, "beat": "1",
        "moment": "44",
    }  # fmt: skip


def test_a_file_name_that_is_no_unicode_is_still_written() -> None:
    odd = b"f\xe4hre.xml".decode("utf-8", "surrogateescape")
    data = as_json(msgspec.structs.replace(PLAIN, sketch=odd), odd)
    assert json.loads(data)["scores"][0]["report"]["sketch"] == "f?hre.xml"


def test_only_a_report_is_taken_for_one() -> None:
    assert is_report(as_json(PLAIN, "quay-strings.musicxml"))
    assert is_report(b'{"format": "rewriter report 7", "other": []}')
    for other in (b"", b"{}", b"[]", b'{"format": "ledger"}', b"\xff\xfe", b'{"format": 3}'):
        assert not is_report(other)
