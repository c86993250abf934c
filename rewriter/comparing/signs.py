"""What stands between the notes: directions, chord symbols, figures, barlines."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.comparing.marks import dynamic, fermata
from rewriter.comparing.things import Sign, plain_text
from rewriter.scores.staff_signs import alter_in
from rewriter.theory.fifths import Interval, transpose
from rewriter.theory.pitch import FIFTHS_OF_STEP, Pitch

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from lxml.etree import _Element as Element

_STARTS: Final = {
    "crescendo": "start", "diminuendo": "start", "up": "start", "down": "start",
    "start": "start", "sostenuto": "start", "stop": "stop", "change": "change",
}  # fmt: skip
_SPANS: Final = {
    "wedge": "hairpin", "octave-shift": "8va line", "pedal": "pedal", "dashes": "line",
    "bracket": "line",
}  # fmt: skip


def direction(element: Element) -> Iterator[Sign]:
    """What a ``<direction>`` says; words that follow each other are one text."""
    return (sign for sign, _ in told_by(element))


def told_by(element: Element) -> Iterator[tuple[Sign, list[Element]]]:
    """What a ``<direction>`` says, and which of its elements say it."""
    words: list[Element] = []
    for sign in element.iterfind("direction-type/*"):
        tag = str(sign.tag)
        if tag in {"words", "symbol"}:
            words.append(sign)
            continue
        yield from _text(words)
        words = []
        if tag in _SPANS:
            yield from ((one, [sign]) for one in _span(sign, tag))
        else:
            kind, read = _DIRECTIONS.get(tag, ("direction", _any))
            yield Sign(kind, read(sign)), [sign]
    yield from _text(words)


def _text(words: list[Element]) -> Iterator[tuple[Sign, list[Element]]]:
    if text := plain_text(" ".join(one.text or "" for one in words)):
        yield Sign("words", text), words


def _span(sign: Element, tag: str) -> Iterator[Sign]:
    said = sign.get("type", "")
    end = _STARTS.get(said, "")
    number = f"{tag} {sign.get('number', '1')}"
    what = {
        "wedge": said + (" niente" if sign.get("niente") == "yes" else ""),
        "octave-shift": f"{sign.get('size', '8')} {said}",
        "pedal": said if said == "sostenuto" else "",
    }.get(tag, tag)
    if end in {"stop", "change"}:
        yield Sign(_SPANS[tag], "", "stop", number)
    if end in {"start", "change"}:
        yield Sign(_SPANS[tag], what, "start", number)


def _any(sign: Element) -> str:
    return plain_text(" ".join([str(sign.tag), *(str(text) for text in sign.itertext())]))


def _metronome(sign: Element) -> str:
    """``quarter. = 72``, however the number is written."""
    said = ""
    for child in sign.iter():
        if child.tag == "beat-unit":
            said += f"{' = ' if said else ''}{plain_text(child.text)}"
        elif child.tag == "beat-unit-dot":
            said += "."
        elif child.tag == "per-minute":
            said += f" = {_number(plain_text(child.text))}"
    return said or _any(sign)


def _number(text: str) -> str:
    """A number without what does not count; any other text as it is.

    >>> _number("72.0"), _number("c. 80")
    ('72', 'c. 80')
    """
    try:
        return f"{float(text):g}"
    except ValueError:
        return text


_DIRECTIONS: Final[dict[str, tuple[str, Callable[[Element], str]]]] = {
    "dynamics": ("dynamic", dynamic),
    "metronome": ("tempo", _metronome),
    "rehearsal": ("rehearsal mark", lambda sign: plain_text(sign.text)),
    "segno": ("jump", lambda _: "segno"),
    "coda": ("jump", lambda _: "coda"),
}


def harmony(element: Element, by: Interval) -> Sign:
    """What a chord symbol says: root, kind, bass, degrees; not how it is printed.

    Args:
        element: ``<harmony>``.
        by: moves root and bass.
    """
    words: list[str] = []
    degrees: list[str] = []
    for child in element:
        tag = str(child.tag)
        if tag in {"root", "bass"}:
            words.append(("/" if tag == "bass" else "") + _name(child, tag, by))
        elif tag in {"kind", "function", "numeral"}:
            words.append(plain_text(" ".join(str(text) for text in child.itertext())))
        elif tag == "inversion" and element.find("bass") is None:
            words.append(f"inversion {plain_text(child.text)}")
        elif tag == "degree":
            degrees.append(_degree(child))
    return Sign("chord symbol", " ".join([*words, *sorted(degrees)]))


def _go_on(_: str) -> None:
    """An alteration that cannot be counts as none."""


def _name(element: Element, tag: str, by: Interval) -> str:
    step = plain_text(element.findtext(f"{tag}-step"))
    alter = alter_in(element.findtext(f"{tag}-alter"), _go_on)
    if step not in FIFTHS_OF_STEP:
        return step
    return str(transpose(Pitch(step, alter, 4), by))[:-1].rstrip("-")


def _degree(element: Element) -> str:
    value, alter, kind = (
        plain_text(element.findtext(f"degree-{part}")) for part in ("value", "alter", "type")
    )
    return f"{kind} {_number(alter or '0')} {value}"


def figures(element: Element) -> Sign:
    """What the figures of a bass say."""
    return Sign("figures", plain_text(" ".join(str(text) for text in element.itertext())))


def breaks(element: Element) -> Iterator[Sign]:
    """Where a ``<print>`` breaks the page or the system; a page that ends ends its system."""
    if element.get("new-page") == "yes":
        yield Sign("page break", "")
    elif element.get("new-system") == "yes":
        yield Sign("system break", "")


def barline(element: Element) -> Iterator[Sign]:
    """What a ``<barline>`` says; the strokes of a repeat go with it."""
    style = plain_text(element.findtext("bar-style"))
    repeat = element.find("repeat")
    if repeat is not None:
        times = repeat.get("times", "2")
        yield Sign("repeat", repeat.get("direction", "") + (f" {times}" * (times != "2")))
    elif style not in {"", "regular"}:
        yield Sign("barline", style)
    for ending in element.iterfind("ending"):
        said = ending.get("type", "")
        number = ", ".join(plain_text(ending.get("number")).replace(",", " ").split())
        if said == "start":
            yield Sign("ending", number, "start", number)
        else:
            yield Sign("ending", "open" * (said == "discontinue"), "stop", number)
    for sign in element.iterfind("fermata"):
        yield Sign("fermata", fermata(sign))
    for tag in ("segno", "coda"):
        if element.find(tag) is not None:
            yield Sign("jump", tag)
