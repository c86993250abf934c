"""The report as JSON, for other programs; one shape for one score and for many."""

import hashlib
from collections.abc import Sequence
from typing import Final, Literal

import msgspec

from rewriter import __version__
from rewriter.problems import Finding
from rewriter.reporting.results import Report

FORMAT: Final = "rewriter report 1"
"""First value of every report file; the number rises when a field changes its meaning."""


BLANK: Final = "0" * 64
"""What stands in the place of the digest while it is made."""


class PartAccount(msgspec.Struct, frozen=True, kw_only=True):
    """One part that was written with a score.

    Attributes:
        name: as the score calls the section.
        written_to: the file as the user may find it.
        bars: how many, as in the score.
        tacet: True where the section plays nothing at all.
        multi_bar_rests: how many multi-bar rests it has.
        cue_notes: how many entries have cue notes before them.
        replaced: True where another file was there.
        copy: the copy of it as it was made; empty where none is kept.
    """

    name: str
    written_to: str
    bars: int
    tacet: bool
    multi_bar_rests: int
    cue_notes: int
    replaced: bool
    copy: str = ""


class EarlierPartAccount(msgspec.Struct, frozen=True, kw_only=True):
    """A part that an earlier run has written, and this one does not.

    Attributes:
        file: as the user may find it.
        changed: True where somebody has changed it since; then it stays.
        removed: True where it was taken away.
    """

    file: str
    changed: bool
    removed: bool


class ScoreAccount(msgspec.Struct, frozen=True, kw_only=True):
    """One score that was written.

    Attributes:
        written_to: the file as the user may find it; empty when none was written.
        replaced: True where another file was there.
        changed: what is not as in the file that was replaced, for people; empty for a new one.
        copy: the copy of it as it was made; empty where none is kept.
        parts: in score order; empty where none were asked for.
        earlier_parts: by name; empty where no parts were asked for.
        errors: how many findings of the report are errors.
        warnings: how many are warnings.
        advice: how many are advice.
        report: everything the expansion has to say.
    """

    written_to: str
    replaced: bool
    changed: list[str]
    copy: str
    parts: list[PartAccount]
    earlier_parts: list[EarlierPartAccount]
    errors: int
    warnings: int
    advice: int
    report: Report


class RefusedSketch(msgspec.Struct, frozen=True, kw_only=True):
    """One sketch that could not be worked with; nothing was written for it.

    Attributes:
        sketch: the file as the user named it.
        message: what is wrong and what to do about it.
    """

    sketch: str
    message: str


class ReportFile(msgspec.Struct, frozen=True, kw_only=True):
    """A whole report file.

    Attributes:
        format: tells a report from other files; its number rises when a field changes its
            meaning.
        version: version of the tool.
        digest: SHA-256 of the file with zeros in this place; it tells a report from one that
            somebody has written into.
        scores: those that were written, in the order in which the sketches were named.
        refused: the sketches that could not be worked with, in the same order.
    """

    format: Literal["rewriter report 1"]
    version: str
    digest: str
    scores: list[ScoreAccount]
    refused: list[RefusedSketch]


def as_json(report: Report, written_to: str) -> bytes:
    """One report as a whole report file.

    Args:
        report: what the expansion has to say.
        written_to: the file that was written.

    Returns:
        UTF-8, indented, fields in the order of the attributes, ended by a line break.
    """
    return report_file([account_of(report, written_to)])


def account_of(
    report: Report,
    written_to: str,
    parts: Sequence[PartAccount] = (),
    *,
    changed: Sequence[str] = (),
    copy: str = "",
    earlier_parts: Sequence[EarlierPartAccount] = (),
) -> ScoreAccount:
    """A report with the files it is about, and its findings counted.

    Args:
        report: what the expansion has to say.
        written_to: the score.
        parts: that were written with it.
        changed: what is not as in the file that was replaced; empty for a new one.
        copy: of the score as it was made; empty where none is kept.
        earlier_parts: that were there and are not of this run.
    """
    numbers = {"error": 0, "warning": 0, "advice": 0}
    for finding in report.findings:
        numbers[finding.severity] += 1
    return ScoreAccount(
        written_to=_printable(written_to),
        replaced=bool(changed),
        changed=list(changed),
        copy=_printable(copy),
        parts=[
            msgspec.structs.replace(
                part, written_to=_printable(part.written_to), copy=_printable(part.copy)
            )
            for part in parts
        ],
        earlier_parts=[
            msgspec.structs.replace(part, file=_printable(part.file)) for part in earlier_parts
        ],
        errors=numbers["error"],
        warnings=numbers["warning"],
        advice=numbers["advice"],
        report=msgspec.structs.replace(report, sketch=_printable(report.sketch)),
    )


def report_file(
    scores: Sequence[ScoreAccount], refused: Sequence[tuple[str, str]] = ()
) -> bytes:
    """A report file over several scores.

    Args:
        scores: what was written.
        refused: the sketches nothing was written for, each with its message.

    Returns:
        Bytes as :func:`as_json` gives them.
    """
    document = ReportFile(
        format=FORMAT,
        version=__version__,
        digest=BLANK,
        scores=list(scores),
        refused=[
            RefusedSketch(sketch=_printable(sketch), message=_printable(message))
            for sketch, message in refused
        ],
    )
    return digested(document)


def digested(document: msgspec.Struct) -> bytes:
    """A document as a file that tells whether somebody has changed it since.

    Args:
        document: its first fields are ``format``, ``version`` and ``digest``, this being
            :data:`BLANK`.
    """
    data = msgspec.json.format(msgspec.json.encode(document), indent=2) + b"\n"
    return data.replace(BLANK.encode(), hashlib.sha256(data).hexdigest().encode(), 1)


class _Marked(msgspec.Struct):
    """As much of a report file as has to stay the same in every version of the tool."""

    format: str
    digest: str = ""


def is_report(data: bytes) -> bool:
    """True when a file is a report of this tool, of any version."""
    marked = _marked(data)
    return marked is not None and marked.format.startswith("rewriter report ")


def is_untouched_report(data: bytes) -> bool:
    """True when a report is just as the tool wrote it, and may be replaced."""
    marked = _marked(data)
    if marked is None or not is_report(data) or len(marked.digest) != len(BLANK):
        return False
    blank = data.replace(marked.digest.encode(), BLANK.encode(), 1)
    return hashlib.sha256(blank).hexdigest() == marked.digest


def _marked(data: bytes) -> _Marked | None:
    try:
        return msgspec.json.decode(data, type=_Marked)
    except msgspec.MsgspecError:
        return None


class _OldReport(msgspec.Struct):
    findings: list[Finding]


class _OldScore(msgspec.Struct):
    written_to: str
    report: _OldReport


class _OldReports(msgspec.Struct):
    scores: list[_OldScore]


def findings_in(data: bytes) -> dict[str, list[Finding]]:
    """Findings of an older report file, by the score they are about; none of another file."""
    try:
        old = msgspec.json.decode(data, type=_OldReports)
    except msgspec.MsgspecError:
        return {}
    return {score.written_to: score.report.findings for score in old.scores}


def _printable(name: str) -> str:
    """A file name as Unicode text; bytes that are none in its encoding become ``?``."""
    return name.encode("utf-8", "replace").decode("utf-8")
