"""What rule files and rules there are, and what one of them says."""

from __future__ import annotations

from contextlib import suppress
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

import msgspec

from rewriter.problems import Refused
from rewriter.rulefiles.shapes import RuleText
from rewriter.rulefiles.shelf import (
    KINDS,
    Kind,
    find_rule,
    is_file_name,
    is_shipped,
    names,
    path_of_name,
    shown,
)
from rewriter.texts import LONGEST_LIST, printable
from rewriter.verbs.arguments import check_texts

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.rule import Rule


class RuleEntry(msgspec.Struct, frozen=True, kw_only=True):
    """One rule file, or one rule of the house.

    Attributes:
        kind: ``ensembles``, ``layouts``, ``plans`` or ``house``.
        name: what commands call it.
        shipped: False for a file of the project's own.
        title: for people.
        summary: one sentence.
        stack: of a layout; empty for other kinds.
        character: of a layout, how it sounds.
        why: of a house file, why it asks what it asks.
        source: where it comes from.
        severity: of a rule of the house, unless a house file says otherwise, or ``off``; else
            empty.
        mends: whether such a rule can put right what it finds; else empty.
        fault: why it could not be read; empty for a sound file.
    """

    kind: Kind
    name: str
    shipped: bool
    title: str = ""
    summary: str = ""
    stack: str = ""
    character: str = ""
    why: str = ""
    source: str = ""
    severity: str = ""
    mends: str = ""
    fault: str = ""


class Rules(msgspec.Struct, frozen=True, kw_only=True):
    """What was asked for.

    Attributes:
        entries: by kind, then by name.
        text: where one was asked for by name, the whole file, or all that is known of the
            rule; else empty.
    """

    entries: tuple[RuleEntry, ...]
    text: str = ""


def rules(kind: str | None = None, name: str | None = None) -> Rules:
    """List rule files and the rules of the house, or show one.

    Args:
        kind: ``ensembles``, ``layouts``, ``plans`` or ``house``, singular allowed; None for
            all. A rule's own name is understood too, where a kind is not.
        name: which one to show; None to list.

    Returns:
        One entry for each rule; where one was asked for by name, its text too.

    Raises:
        Refused: no such kind or name.
    """
    check_texts(kind=kind or "", name=name or "")
    if kind is None:
        return Rules(entries=tuple(one for each in KINDS for one in _entries(each)))
    known = _kind(kind)
    if known is None and name is None:
        known, name = _kind_of_rule(kind), kind
    if known is None:
        near = get_close_matches(kind.lower(), KINDS, n=1)
        remedy = f"did you mean {near[0]}?" if near else f"there are {', '.join(KINDS)}"
        raise Refused(f'there is no kind of rule called "{kind}"', remedy)
    if name is None:
        return Rules(entries=tuple(_entries(known)))
    if known == "house" and not is_file_name(name):
        return _house_rule(name)
    _, text = find_rule(known, name)
    return Rules(entries=(_entry(known, name),), text=text)


def rule_ids() -> list[str]:
    """The ids of all rules of the house, in their order."""
    from rewriter.checking.rules import RULES

    return [rule.id for rule in RULES]


def _entries(kind: Kind) -> Iterator[RuleEntry]:
    """All of a kind: the files, and for the house the rules that files may set."""
    for name in names(kind):
        yield _entry(kind, name)
    if kind == "house":
        from rewriter.checking.rules import RULES

        yield from map(_rule_entry, RULES)


def _house_rule(name: str) -> Rules:
    """One rule of the house with its page, or a file that sets them."""
    from rewriter.checking.rules import RULES

    for rule in RULES:
        if rule.id == name.strip().lower():
            return Rules(entries=(_rule_entry(rule),), text=_page(rule))
    if path_of_name("house", name.strip()):
        _, text = find_rule("house", name)
        return Rules(entries=(_entry("house", name),), text=text)
    known = [*rule_ids(), *names("house")]
    near = get_close_matches(name.strip().lower().replace(" ", "-"), known, n=1)
    remedy = f"did you mean {near[0]}?" if near else "rewriter rules house lists them"
    raise Refused(f'there is no rule and no house file called "{name}"', remedy)


def _page(rule: Rule[Any, Any]) -> str:
    """All that is known of a rule, and what the houses there are make of it."""
    from rewriter.checking.house import load_house
    from rewriter.checking.rates import measured_of
    from rewriter.reporting.rule_page import rule_page

    houses = {}
    for name in names("house"):
        with suppress(Refused):  # a faulty file is listed with its fault
            houses[name] = load_house(name)
    return rule_page(rule, measured_of(rule.id), houses)


def _rule_entry(rule: Rule[Any, Any]) -> RuleEntry:
    return RuleEntry(
        kind="house",
        name=rule.id,
        shipped=True,
        title=rule.title,
        source=rule.source,
        severity=rule.severity,
        mends=rule.mends,
    )


def _kind(word: str) -> Kind | None:
    """The kind a word means, singular or plural."""
    folded = word.strip().lower()
    return next((kind for kind in KINDS if folded in {kind, kind.removesuffix("s")}), None)


def _kind_of_rule(name: str) -> Kind | None:
    """The first kind that has a rule of this name."""
    found = next((kind for kind in KINDS if path_of_name(kind, name)), None)
    return found or ("house" if name.strip().lower() in rule_ids() else None)


def _entry(kind: Kind, name: str) -> RuleEntry:
    """The head of one file, read without looking at the rest, so that a listing never stops."""
    shipped = False
    try:
        path, text = find_rule(kind, name)
        shipped = is_shipped(path)
        raw = RuleText(text, shown(path)).raw()
    except Refused as fault:
        return RuleEntry(kind=kind, name=printable(name), shipped=shipped, fault=str(fault))
    head = {
        key: printable(str(raw.get(key, ""))[:LONGEST_LIST])
        for key in ("title", "summary", "stack", "character", "why", "source")
    }
    return RuleEntry(kind=kind, name=printable(name), shipped=shipped, **head)
