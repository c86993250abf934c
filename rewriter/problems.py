"""Everything that can be said about a score: a place in it, a finding, a refusal."""

from fractions import Fraction
from typing import Literal

import msgspec

Severity = Literal["error", "warning", "advice"]


class Finding(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One place where the music is not as it should be; about the music, never an exception.

    Attributes:
        rule: stable id of what was looked at, such as ``beyond-range``.
        severity: ``error`` makes the exit status 1.
        section: section name as the ensemble abbreviates it, empty for the whole score.
        bar: printed bar number, empty for the whole cue.
        beat: counted from 1 in the denominator of the printed metre, as text (``2.5``).
        sounds: what sounds there, by note name.
        wants: what the rule wants.
        text: the sentence for people, without the place.
    """

    rule: str
    severity: Severity
    text: str
    section: str = ""
    bar: str = ""
    beat: str = ""
    sounds: str = ""
    wants: str = ""

    @property
    def place(self) -> str:
        """Where it is, for people: ``Vn I, bar 31, beat 2.5``."""
        parts = [self.section]
        if self.bar:
            parts.append(f"bar {self.bar}")
        if self.beat:
            parts.append(f"beat {self.beat}")
        return ", ".join(part for part in parts if part)


class Refused(Exception):  # noqa: N818 - a refusal is not a programming error
    """The input or the request cannot be worked with; exit status 2, nothing written.

    Raised where the place is known and caught once, in ``cli/main.py``. Its text is one
    line: ``FILE: PLACE: WHAT; REMEDY``.

    Attributes:
        what: what is wrong, lower case, no full stop.
        remedy: what to do about it; may be empty.
        file: the file as the user named it; may be filled in further up with :meth:`within`.
        place: part, bar and beat, or the line of a rule file.
        quotation: the offending text and a line of ``~~~~`` under the mistake, for a terminal.
    """

    def __init__(
        self,
        what: str,
        remedy: str = "",
        *,
        file: str = "",
        place: str = "",
        quotation: str = "",
    ) -> None:
        super().__init__(what, remedy)
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
        said = f"{self.what}; {self.remedy}" if self.remedy else self.what
        return ": ".join(part for part in (self.file, self.place, said) if part)


def beat_text(beat: Fraction) -> str:
    """A beat as people write it: whole, or with at most three decimals.

    >>> beat_text(Fraction(3)), beat_text(Fraction(5, 2)), beat_text(Fraction(4, 3))
    ('3', '2.5', '1.333')
    """
    return f"{float(beat):.3f}".rstrip("0").rstrip(".")
