"""Everything that can be said about a score: a place in it, a finding, a refusal."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Final, Literal

import msgspec

from rewriter.texts import LONGEST_LIST, one_row, printable

Severity = Literal["error", "warning", "advice"]


class Place(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Where in a score something is; the words for people are made of it at the end.

    Attributes:
        part: id of the ``<part>``: of the score where a section is named, else of the sketch.
        section: as the ensemble abbreviates it; empty where it is about the sketch.
        share: of the section, as lines have it (``half``); empty for the whole.
        voice: of the sketch's part, as its file numbers it; empty where a section is named.
        movement: of the bar, counted from 1; 0 in a file of one movement.
        bar: as printed; empty for the whole cue.
        bar_counted: the same bar counted from 1 from the beginning of the file; 0 for the
            whole cue.
        beat: counted from 1 in the denominator of the printed metre, exactly: ``2.5``, or a
            fraction such as ``4/3``; empty for the whole bar.
        moment: quarter notes from the beginning of the file, exactly, likewise.
    """

    part: str = ""
    section: str = ""
    share: str = ""
    voice: str = ""
    movement: int = 0
    bar: str = ""
    bar_counted: int = 0
    beat: str = ""
    moment: str = ""

    @property
    def who(self) -> str:
        """The players, for people: ``half Vc``."""
        return f"{self.share} {self.section}".strip()

    @property
    def text(self) -> str:
        """For people: ``Vn I, bar 31, beat 2.5``."""
        parts = [self.who]
        if self.bar and self.movement:
            parts.append(f"movement {self.movement}")
        if self.bar:
            parts.append(f"bar {self.bar}")
        if self.beat:
            parts.append(f"beat {beat_text(Fraction(self.beat))}")
        return ", ".join(part for part in parts if part)


class Finding(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One place where the music is not as it should be; about the music, never an exception.

    Attributes:
        rule: stable id of what was looked at, such as ``beyond-range``.
        severity: ``error`` makes the exit status 1.
        text: the sentence for people, without the place.
        place: where it is.
        sounds: what sounds there, by note name.
        wants: what the rule wants.
        mend: what would put it right, or why nothing does; empty where its rule never mends.
    """

    rule: str
    severity: Severity
    text: str
    place: Place = Place()
    sounds: str = ""
    wants: str = ""
    mend: str = ""


class Refused(Exception):  # noqa: N818 - a refusal is not a programming error
    """The input or the request cannot be worked with; exit status 2, nothing written.

    Raised where the place is known and caught once, in ``cli/main.py``. Its text is one
    line: ``FILE: PLACE: WHAT; REMEDY``, whatever the parts quote; one line for each of the
    faults of a rule file.

    Attributes:
        what: what is wrong, lower case, no full stop.
        remedy: what to do about it; may be empty.
        file: the file as the user named it; may be filled in further up with :meth:`within`.
        place: part, bar and beat, or the line of a rule file.
        quotation: the offending text and a line of ``~~~~`` under the mistake, for a terminal.
        more: other faults of the same file.
    """

    def __init__(
        self,
        what: str,
        remedy: str = "",
        *,
        file: str = "",
        place: str = "",
        quotation: str = "",
        more: Sequence["Refused"] = (),
    ) -> None:
        super().__init__(what, remedy)
        self.more = more
        self.what = what
        self.remedy = remedy
        self.file = file
        self.place = place
        self.quotation = quotation

    def within(self, file: str) -> "Refused":
        """The same refusal, with the file named unless one is named already."""
        self.file = self.file or file
        return self

    def __str__(self) -> str:
        remedy = one_row(self.remedy, LONGEST_LIST)
        said = "; ".join(part for part in (one_row(self.what), remedy) if part)
        parts = (printable(self.file[:LONGEST_LIST]), one_row(self.place), said)
        return "\n".join([": ".join(part for part in parts if part), *map(str, self.more)])


def beat_text(beat: Fraction) -> str:
    """A beat as people write it: whole, or with at most three decimals.

    >>> beat_text(Fraction(3)), beat_text(Fraction(5, 2)), beat_text(Fraction(4, 3))
    ('3', '2.5', '1.333')
    """
    return f"{float(beat):.3f}".rstrip("0").rstrip(".")


_EXACT: Final = 10**12
"""Whole numbers below it are written out."""
_TENS: Final = 10**40
_MILLION: Final = 10**6


def exact_text(number: Fraction) -> str:
    """A number as text that says neither more nor less: a decimal, or else a fraction.

    >>> exact_text(Fraction(3)), exact_text(Fraction(5, 2)), exact_text(Fraction(4, 3))
    ('3', '2.5', '4/3')
    """
    if number.denominator == 1 and abs(number.numerator) < _EXACT:
        return str(number.numerator)
    if _TENS % number.denominator:  # such as thirds, which no decimal says
        return str(number)
    decimal = f"{float(number):.12g}"
    short = _MILLION % number.denominator == 0 and abs(number.numerator) < _MILLION
    return decimal if short or Fraction(decimal) == number else str(number)
