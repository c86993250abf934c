"""Finished scores looked at, on all cores if they are many; one that fails stops no other."""

from __future__ import annotations

import sys
from contextlib import closing
from typing import TYPE_CHECKING, Any, NamedTuple

import msgspec

from rewriter.cli.batch import do_all, in_order, with_progress
from rewriter.cli.streams import is_terminal
from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

    from rewriter.reporting.checked import Checked


class Look(msgspec.Struct, frozen=True):
    """One score to look at.

    Attributes:
        score: the file, as it was named.
        settings: keyword arguments of the verb.
        data: of the score, where it came from stdin; else None.
    """

    score: Path
    settings: Mapping[str, Any]
    data: bytes | None = None


class Looked(NamedTuple):
    """What became of one score: what was found, or a refusal.

    Attributes:
        score: the file, as it was named.
        checked: None where the score was refused.
        refusal: what is wrong and what to do about it; empty with what was found.
    """

    score: Path
    checked: Checked | None
    refusal: str = ""


def look_at_all(looks: Sequence[Look]) -> Iterator[Looked]:
    """What was found, in the order in which the scores were named, as it comes."""
    files = [look.score for look in looks]
    shown = len(looks) > 1 and is_terminal(sys.stderr)
    with in_order(len(looks)), closing(do_all(_look, looks, files, _stopped)) as work:
        yield from with_progress(work, len(looks), "checking", shown=shown)


def _look(look: Look) -> Looked:
    from rewriter.verbs.check import check

    source = look.score if look.data is None else look.data
    try:
        return Looked(look.score, check(source, **look.settings))
    except Refused as refusal:
        return Looked(look.score, None, str(refusal.within(str(look.score))))
    except MemoryError:
        what = "this takes more memory than there is"
        return Looked(look.score, None, f"{look.score}: {what}; take fewer bars at a time")


def _stopped(look: Look, why: str) -> Looked:
    return Looked(look.score, None, why)
