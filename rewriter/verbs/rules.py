"""What rule files there are, and what one of them says."""

from difflib import get_close_matches

import msgspec

from rewriter.problems import Refused
from rewriter.rulefiles.reading import RuleText
from rewriter.rulefiles.shelf import (
    KINDS,
    Kind,
    find_rule,
    is_shipped,
    names,
    path_of_name,
    shown,
)


class RuleEntry(msgspec.Struct, frozen=True, kw_only=True):
    """One rule file.

    Attributes:
        kind: ``ensembles``, ``layouts``, ``plans`` or ``house``.
        name: what commands call it.
        shipped: False for a file of the project's own.
        title: for people.
        summary: one sentence.
        stack: of a layout; empty for other kinds.
        character: of a layout, how it sounds.
        source: where it comes from.
        fault: why it could not be read; empty for a sound file.
    """

    kind: Kind
    name: str
    shipped: bool
    title: str = ""
    summary: str = ""
    stack: str = ""
    character: str = ""
    source: str = ""
    fault: str = ""


class Rules(msgspec.Struct, frozen=True, kw_only=True):
    """What was asked for.

    Attributes:
        entries: by kind, then by name.
        text: the one file's whole content, where one was asked for by name; else empty.
    """

    entries: tuple[RuleEntry, ...]
    text: str = ""


def rules(kind: str | None = None, name: str | None = None) -> Rules:
    """List rule files, or show one.

    Args:
        kind: ``ensembles``, ``layouts``, ``plans`` or ``house``, singular allowed; None for
            all. A rule's own name is understood too, where a kind is not.
        name: which one to show; None to list.

    Raises:
        Refused: no such kind or name.
    """
    if kind is None:
        return Rules(entries=tuple(_entry(each, one) for each in KINDS for one in names(each)))
    known = _kind(kind)
    if known is None and name is None:
        known, name = _kind_of_rule(kind), kind
    if known is None:
        near = get_close_matches(kind.lower(), KINDS, n=1)
        remedy = f"did you mean {near[0]}?" if near else f"there are {', '.join(KINDS)}"
        raise Refused(f'there is no kind of rule called "{kind}"', remedy)
    if name is None:
        return Rules(entries=tuple(_entry(known, one) for one in names(known)))
    _, text = find_rule(known, name)
    return Rules(entries=(_entry(known, name),), text=text)


def _kind(word: str) -> Kind | None:
    """The kind a word means, singular or plural."""
    folded = word.strip().lower()
    return next((kind for kind in KINDS if folded in {kind, kind.removesuffix("s")}), None)


def _kind_of_rule(name: str) -> Kind | None:
    """The first kind that has a rule of this name."""
    return next((kind for kind in KINDS if path_of_name(kind, name)), None)


def _entry(kind: Kind, name: str) -> RuleEntry:
    """The head of one file, read without looking at the rest, so that a listing never stops."""
    path, text = find_rule(kind, name)
    shipped = is_shipped(path)
    try:
        raw = RuleText(text, shown(path)).raw()
    except Refused as fault:
        return RuleEntry(kind=kind, name=name, shipped=shipped, fault=str(fault))
    head = {
        key: str(raw.get(key, ""))
        for key in ("title", "summary", "stack", "character", "source")
    }
    return RuleEntry(kind=kind, name=name, shipped=shipped, **head)
