import io

import pytest

from rewriter.cli.streams import (
    PLAIN_FORMS,
    complain,
    fit_encoding,
    is_terminal,
    say,
    without_controls,
)
from rewriter.reporting.text import as_text
from tests.reporting.made_up import LANTERN


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252", "utf-8", "cp437"])
def test_a_report_can_be_said_in_any_encoding(
    encoding: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    raw = io.BytesIO()
    monkeypatch.setattr("sys.stdout", io.TextIOWrapper(raw, encoding, errors="strict"))
    say(as_text(LANTERN, "Fähre-strings.musicxml"))
    said = raw.getvalue().decode(encoding)
    dot = fit_encoding("·", encoding)
    assert f"soprano 80% {dot} high 20% {dot} top under 1%" in said
    assert "?" not in said.replace("F?hre", "")


def test_plain_forms_are_plain() -> None:
    assert "".join(PLAIN_FORMS.values()).isascii()


def test_only_what_an_encoding_lacks_is_replaced() -> None:
    assert fit_encoding("Flöte · 3 ≥ 2", "latin-1") == "Flöte · 3 >= 2"


def test_a_file_name_that_is_no_unicode_can_be_said() -> None:
    odd = b"f\xe4hre.xml".decode("utf-8", "surrogateescape")
    assert fit_encoding(odd, "utf-8") == "f?hre.xml"


def test_a_closed_stdout_is_no_terminal_and_no_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdout", None)
    say("nobody hears this\n")
    assert not is_terminal(None)


@pytest.mark.parametrize(
    "sign", ["\x1b", "\x9b", "\x07", "\x08", "\r", "\u202e", "\x7f", "\u2028"]
)
def test_no_terminal_takes_orders_from_a_file(
    sign: str, capsys: pytest.CaptureFixture[str]
) -> None:
    say(f"dolce{sign}[2J\n")
    complain(f"dolce{sign}[2J")
    said = capsys.readouterr()
    assert said.out == said.err == f"dolce{ascii(sign)[1:-1]}[2J\n"


def test_rows_and_tabs_stay() -> None:
    assert without_controls("title\t= 1\r\n\nF\u00e4hre") == "title\t= 1\r\n\nF\u00e4hre"
