"""Houses: how grave the findings of each rule are, and how a score is to be laid out."""

from collections.abc import Mapping
from typing import Any, Literal, NamedTuple

import msgspec

from rewriter.problems import Severity
from rewriter.rulefiles.ensembles import Ensemble
from rewriter.rulefiles.layouts import Handover, Layout
from rewriter.rulefiles.plans import Point
from rewriter.rulefiles.words import HouseSeverity, Language


class RuleSettings(NamedTuple):
    """What a house sets of one rule.

    Attributes:
        severity: None for the rule's own.
        given: its parameters that are set, by name, of the types the rule has them in.
    """

    severity: HouseSeverity | None
    given: Mapping[str, Any]


class Where(msgspec.Struct, frozen=True, kw_only=True):
    """Where a rule of scoring holds: all that is said must be so; nothing is everywhere.

    Attributes:
        start: where the stretch begins, as a passage does; None for the whole score.
        stop: where it ends, as a passage does; None likewise.
        by_bars: True when both were given as ``bars``, so that names are bar numbers.
        statement: of the tune, counted from 1, or the last; None for any.
        dynamic_at_least: softest dynamic in force; empty for any.
        dynamic_at_most: loudest dynamic in force; empty for any.
        tune_in: key of a section that has the tune; empty for any.
        above: the tune sounds above this MIDI number; None for no matter.
        below: the tune sounds below this MIDI number; None for no matter.
    """

    start: Point | None = None
    stop: Point | None = None
    by_bars: bool = False
    statement: int | Literal["last"] | None = None
    dynamic_at_least: str = ""
    dynamic_at_most: str = ""
    tune_in: str = ""
    above: int | None = None
    below: int | None = None


class Doubling(NamedTuple):
    """Sections that are to play what another plays; all are keys of the ensemble."""

    sections: tuple[str, ...]
    leading: str


class Handing(NamedTuple):
    """A section that is to hand over, by its key, and where and to whom."""

    section: str
    handover: Handover


class Scoring(msgspec.Struct, frozen=True, kw_only=True):
    """A rule about the layout itself: one or more things asked for where it holds.

    Attributes:
        place: file, row and block, as messages name them.
        where: where it holds.
        want: the layout asked for; None for none.
        levels_at_least: fewest levels of the tune; None for no matter.
        levels_at_most: most levels of the tune; None for no matter.
        broader: True where it must have more levels than the statement before.
        must_play: keys of sections that must.
        must_not_play: keys of sections that must not.
        double: None for none.
        handover: None for none.
        replace: True when a section may lose music of its own to what is asked for.
        severity: of what is found.
        why: for people; may be empty.
    """

    place: str
    where: Where
    want: Layout | None = None
    levels_at_least: int | None = None
    levels_at_most: int | None = None
    broader: bool = False
    must_play: tuple[str, ...] = ()
    must_not_play: tuple[str, ...] = ()
    double: Doubling | None = None
    handover: Handing | None = None
    replace: bool = False
    severity: Severity = "warning"
    why: str = ""


class HouseRules(msgspec.Struct, frozen=True, kw_only=True):
    """What a house file says, and what those it extends say where it says nothing.

    Attributes:
        name: file name without ``.toml``.
        file: how messages name it.
        title: for people; the name where the file gives none.
        summary: one sentence; may be empty.
        why: why these rules; may be empty.
        language: of names on the page; None for the ensemble's.
        ensemble: whose sections are meant; None where nothing says.
        leading: key of the section whose marks win among those that double; empty for none.
        rules: by id, those that are set.
        scoring: in the order of the files, those of an extended file first.
    """

    name: str = ""
    file: str = ""
    title: str = ""
    summary: str = ""
    why: str = ""
    language: Language | None = None
    ensemble: Ensemble | None = None
    leading: str = ""
    rules: Mapping[str, RuleSettings] = {}
    scoring: tuple[Scoring, ...] = ()
