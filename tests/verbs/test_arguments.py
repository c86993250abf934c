"""Python calls: arguments looked at as strictly as options, verbs that can be found, results
that can be sent to another process."""

import inspect
import pickle
import pydoc
from pathlib import Path
from typing import Any

import pytest

import rewriter
from tests.shorthand import sketch

SKETCH = sketch("4/4 | C5q D5 E5 F5 | G5w |")
STACK = "Vn I / Vc"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"layout": 5}, "layout: 5 stands where a name or a path is wanted"),
        (
            {"layout": b"Vn I"},
            "layout: a value of the type bytes stands where a name or a path is wanted",
        ),
        ({"plan": True}, "plan: True stands where a name or a path is wanted"),
        ({"ensemble": None}, "ensemble: None stands where a name or a path is wanted"),
        ({"chords": "topp"}, 'chords: "topp" is none of top, divide; did you mean top?'),
        (
            {"out_of_range": "kep"},
            'out_of_range: "kep" is none of keep, octave, rest, refuse; did you mean keep?',
        ),
        ({"registers": "all"}, 'registers: "all" is none of singing, measured'),
        ({"language": "sv"}, 'language: "sv" is none of en, it, de, fr'),
        ({"language": 1}, "language: 1 is none of en, it, de, fr"),
        ({"direction": "sideways"}, 'direction: "sideways" is none of nearest, up, down'),
        ({"direction": ""}, 'direction: "" is none of nearest, up, down'),
        (
            {"direction": "up"},
            'direction: "up" says which way, but not where to; name a key or an interval',
        ),
        ({"tune": 3}, "tune: 3 stands where text is wanted"),
        ({"key": ["G"]}, "key: a value of the type list stands where text is wanted"),
        ({"by": None}, "by: None stands where text is wanted"),
        ({"keep_sketch": "yes"}, 'keep_sketch: "yes" stands where True or False is wanted'),
        ({"keep_lyrics": 1}, "keep_lyrics: 1 stands where True or False is wanted"),
        ({"keep_harmony": 0}, "keep_harmony: 0 stands where True or False is wanted"),
        ({"plan": "arc"}, "a layout and a plan are both named; name one of them"),
    ],
    ids=str,
)
def test_what_expand_is_given(given: dict[str, Any], said: str) -> None:
    with pytest.raises(rewriter.Refused) as refused:
        rewriter.expand(SKETCH, **{"layout": STACK, **given})
    assert str(refused.value) == said


@pytest.mark.parametrize(
    ("score", "said"),
    [
        (SKETCH.decode(), "this is XML, where the name of a file is wanted; give XML as bytes"),
        ("  <a/>", "this is XML, where the name of a file is wanted; give XML as bytes"),
        (
            7,
            "a value of the type int is no score; "
            "give a path, the bytes of a file or an lxml tree",
        ),
        (
            None,
            "a value of the type NoneType is no score; "
            "give a path, the bytes of a file or an lxml tree",
        ),
    ],
    ids=["score as text", "any text", "number", "nothing"],
)
def test_what_is_no_score(score: Any, said: str) -> None:
    for name, call in (
        ("sketch", lambda: rewriter.expand(score, STACK)),
        ("score", lambda: rewriter.parts(score)),
    ):
        with pytest.raises(rewriter.Refused) as refused:
            call()
        assert str(refused.value) == f"{name}: {said}"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (
            {"cue_notes": -1},
            "cue_notes: -1 stands where a whole number, 0 for none, is wanted",
        ),
        (
            {"cue_notes": "4"},
            'cue_notes: "4" stands where a whole number, 0 for none, is wanted',
        ),
        (
            {"cue_notes": True},
            "cue_notes: True stands where a whole number, 0 for none, is wanted",
        ),
        ({"tacet": "no"}, 'tacet: "no" stands where True or False is wanted'),
        ({"stem": 1.5}, "stem: 1.5 stands where text is wanted"),
    ],
    ids=str,
)
def test_what_parts_is_given(given: dict[str, Any], said: str) -> None:
    with pytest.raises(rewriter.Refused) as refused:
        rewriter.parts(SKETCH, **given)
    assert str(refused.value) == said


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"tune": 1}, "tune: 1 stands where text is wanted"),
        ({"ensemble": 1}, "ensemble: 1 stands where a name or a path is wanted"),
    ],
    ids=str,
)
def test_what_look_is_given(given: dict[str, Any], said: str) -> None:
    with pytest.raises(rewriter.Refused) as refused:
        rewriter.look(SKETCH, **given)
    assert str(refused.value) == said


def test_what_rules_and_write_parts_are_given(tmp_path: Path) -> None:
    made = rewriter.parts(SKETCH)
    for call, said in (
        (lambda: rewriter.rules(5), "kind: 5 stands where text is wanted"),  # type: ignore[arg-type]  # on purpose
        (lambda: rewriter.rules("layouts", 5), "name: 5 stands where text is wanted"),  # type: ignore[arg-type]  # likewise
        (
            lambda: rewriter.write_parts(made, 7),  # type: ignore[arg-type]  # likewise
            "folder: 7 stands where a name or a path is wanted",
        ),
        (
            lambda: rewriter.write_parts(made, tmp_path, force="yes"),  # type: ignore[arg-type]  # likewise
            'force: "yes" stands where True or False is wanted',
        ),
        (
            lambda: rewriter.write_parts(made, tmp_path, copy=0),  # type: ignore[arg-type]  # likewise
            "copy: 0 stands where True or False is wanted",
        ),
        (
            lambda: rewriter.differences(SKETCH, SKETCH, keep_breaks=1),  # type: ignore[arg-type]  # likewise
            "keep_breaks: 1 stands where True or False is wanted",
        ),
    ):
        with pytest.raises(rewriter.Refused) as refused:
            call()
        assert str(refused.value) == said


def test_paths_wherever_a_name_or_a_file_is(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text('title = "A"\nstack = "Vn I / Vc"\n')
    (tmp_path / "p.toml").write_text('[[passage]]\nbars = "1-2"\nstack = "Vn I / Vc"\n')
    (tmp_path / "e.toml").write_text('title = "E"\nbased_on = "chamber"\n')
    (tmp_path / "s.musicxml").write_bytes(SKETCH)
    path = tmp_path / "s.musicxml"
    by_layout = rewriter.expand(path, tmp_path / "a.toml", ensemble=tmp_path / "e.toml")
    by_plan = rewriter.expand(path, plan=tmp_path / "p.toml", ensemble=Path("chamber"))
    assert [line.players for line in by_layout.report.lines] == [6, 3]
    assert [line.players for line in by_plan.report.lines] == [6, 3]
    written = rewriter.write_parts(
        rewriter.parts(path), str(tmp_path / "p"), inputs=[str(path)]
    )
    assert [each.parent for each in written] == [tmp_path / "p"]


def test_verbs_are_found_before_they_are_loaded() -> None:
    assert dir(rewriter) == sorted(rewriter.__all__)
    shown = pydoc.plain(pydoc.render_doc(rewriter))
    for verb in ("differences", "expand", "look", "parts", "rules", "write_parts"):
        assert f"\n    {verb}(" in shown


@pytest.mark.parametrize(
    "verb", ["differences", "expand", "look", "parts", "rules", "write_parts"]
)
def test_each_verb_says_what_it_takes_returns_and_refuses(verb: str) -> None:
    function = getattr(rewriter, verb)
    said = inspect.getdoc(function) or ""
    assert [
        part for part in ("Args:", "Returns:", "Raises:") if f"\n{part}\n" not in said
    ] == []
    for name in inspect.signature(function).parameters:
        assert f"\n    {name}: " in said


def test_results_can_be_sent_to_another_process() -> None:
    made = rewriter.expand(SKETCH, STACK)
    with pytest.raises(rewriter.Refused) as refused:
        rewriter.expand(SKETCH, "Vn I / Vcc")
    results = (
        made,
        rewriter.look(SKETCH),
        rewriter.parts(made.score),
        rewriter.differences(SKETCH, made.score),
        rewriter.rules(),
    )
    for result in results:
        assert pickle.loads(pickle.dumps(result)) == result  # noqa: S301 - our own
    again = pickle.loads(pickle.dumps(refused.value))  # noqa: S301 - our own
    assert (str(again), again.quotation) == (str(refused.value), refused.value.quotation)
