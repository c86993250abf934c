"""The same sketch gives the same bytes, and what is reported is what is there."""

import io
import os
import subprocess
import sys
import zipfile
from collections import defaultdict
from hashlib import sha256
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

import rewriter
from tests.outside.reference import bar_starts, heard_by_reference, score_root
from tests.property.expanding import LAYOUTS, RANGES, SECTIONS, expand
from tests.property.strategies import FEATURES, Sketch, compose, sketches

BEYOND = {"beyond-range", "beyond-extreme", "below-lowest-string"}


@given(sketches(), st.sampled_from(LAYOUTS))
def test_same_input_same_bytes(sketch: Sketch, layout: str) -> None:
    first, again = expand(sketch, layout), expand(sketch, layout)
    assert first.score == again.score
    assert first.report == again.report


@given(sketches())
def test_a_tree_and_a_zipped_score_give_the_same_music(sketch: Sketch) -> None:
    zipped = io.BytesIO()
    with zipfile.ZipFile(zipped, "w") as archive:
        rootfile = '<rootfile full-path="lantern.musicxml"/>'
        container = f"<container><rootfiles>{rootfile}</rootfiles></container>"
        archive.writestr("META-INF/container.xml", container)
        archive.writestr("lantern.musicxml", sketch.data)
    sources = (sketch.data, etree.ElementTree(etree.fromstring(sketch.data)), zipped.getvalue())
    heard = [
        heard_by_reference(rewriter.expand(source, "Vn I / Vc", tune=sketch.tune).score)
        for source in sources
    ]
    assert heard[0] == heard[1] == heard[2]


def test_same_bytes_in_another_process_with_another_hash_seed() -> None:
    code = (
        "import hashlib, rewriter\n"
        "from tests.property.strategies import FEATURES, compose\n"
        "data = compose(6, frozenset(FEATURES), 7).data\n"
        "score = rewriter.expand(data, 'Vn I / Vla', tune='P1 staff 1 voice 1').score\n"
        "print(hashlib.sha256(score).hexdigest())"
    )
    here = compose(6, frozenset(FEATURES), 7)
    expected = sha256(expand(here, "Vn I / Vla").score).hexdigest()
    for seed in ("1", "2"):
        found = subprocess.run(  # noqa: S603 - our own interpreter, our own words
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": seed},
            cwd=Path(__file__).parents[2],
            capture_output=True,
            text=True,
            check=True,
        )
        assert found.stdout.strip() == expected


@given(sketches(without=frozenset({"grace notes"})), st.sampled_from(LAYOUTS))
def test_findings_name_the_bars_of_the_notes_out_of_range(sketch: Sketch, layout: str) -> None:
    expansion = expand(sketch, layout)
    starts = bar_starts(expansion.score)
    names = [
        bar.get("number") for bar in score_root(expansion.score).iterfind("part[1]/measure")
    ]
    expected, found = defaultdict[str, set[str]](set), defaultdict[str, set[str]](set)
    for section, notes in zip(SECTIONS, heard_by_reference(expansion.score), strict=True):
        low, high = RANGES[section]
        for note in notes:
            if not low <= note.midi <= high:
                bar = max(
                    place for place, start in enumerate(starts[:-1]) if start <= note.onset
                )
                expected[section].add(str(names[bar]))
    for finding in expansion.report.findings:
        if finding.rule in BEYOND:
            found[finding.place.section].add(finding.place.bar)
    # Of bars that follow each other the first is named.
    assert found.keys() == expected.keys()
    assert all(bars <= expected[section] for section, bars in found.items())
