"""What is refused before any work is done, once for all sketches or scores."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

from rewriter.cli.streams import STREAM
from rewriter.cli.usage import refuse_usage
from rewriter.problems import Refused
from rewriter.rulefiles.projects import SUFFIX

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

    from rewriter.theory.fifths import Direction

T = TypeVar("T")


def check_usage(sketches: Sequence[Path], out: Path | None, out_dir: Path | None) -> None:
    """Refuse a command line whose scores have no place of their own."""
    if out and out_dir:
        refuse_usage("-o and --out-dir exclude each other", "name one of them")
    if STREAM in sketches and not out:
        refuse_usage("the score of - has no name", "name it with -o")
    if out and len(sketches) > 1:
        refuse_usage(
            f"-o names one file for {len(sketches)} sketches", "name a folder with --out-dir"
        )


def check_together(settings: dict[str, Any], *, both_ways: bool) -> None:
    """Refuse options that contradict each other, or that mean nothing alone."""
    for one, other in (("layout", "plan"), ("key", "by")):
        if settings[one] and settings[other]:
            refuse_usage(f"--{one} and --{other} exclude each other", "name one of them")
    if both_ways:
        refuse_usage("--up and --down exclude each other", "name one of them")
    if settings["direction"] != "nearest" and not (settings["key"] or settings["by"]):
        refuse_usage(
            f"--{settings['direction']} says which way, but not where to", "add --key or --by"
        )


def check_tune_told_once(sketch: Path | None, tune: str) -> None:
    """Refuse a tune that is told of twice, or by a sketch that cannot be read.

    Args:
        sketch: whose tune some scores have.
        tune: or the part that has it in all of them.
    """
    from rewriter.verbs.check import tune_told

    if sketch and tune:
        refuse_usage("--sketch and --tune exclude each other", "name one of them")
    tune_told(sketch, tune)


def check_no_parts(asked: Mapping[str, object]) -> None:
    """Refuse options about parts where none are asked for."""
    for name, value in asked.items():
        if value:
            refuse_usage(f"{name} is about parts", "name a folder for them with --parts")


def check_cue_notes(bars: int) -> None:
    """Refuse a number of bars of rest that cannot be."""
    if bars < 0:
        refuse_usage("--cue-notes needs bars of rest", "name a number of bars, 0 for none")


def check_rules(layout: str, plan: str, ensemble: str) -> None:
    """Refuse a rule that cannot be read once, and not again for every sketch."""
    from rewriter.rulefiles.loading import load_ensemble, resolve_layout

    forces = _said_of("--ensemble", load_ensemble, ensemble)
    if layout:
        _said_of("--layout", resolve_layout, layout, forces)
    if plan:
        from rewriter.rulefiles.plan_files import load_plan

        _said_of("--plan", load_plan, plan, forces)


def check_move(key: str, by: str, direction: Direction) -> None:
    """Refuse what is no key or no interval once, and not again for every sketch."""
    from rewriter.theory.fifths import parse_interval, parse_key

    try:
        if key:
            parse_key(key)
        elif by:
            parse_interval(by, direction)
    except ValueError as fault:
        raise Refused(str(fault), file="--key" if key else "--by") from None


def _said_of(option_name: str, read: Callable[..., T], *given: Any) -> T:
    """Read a rule; what is wrong with a text that is no file is said of its option."""
    try:
        return read(*given)
    except Refused as refusal:
        raise refusal.within(option_name) from None


def check_distinct(sketches: Sequence[Path], targets: Sequence[Path]) -> None:
    """Refuse two sketches that would be written to one file, before any work is done."""
    first: dict[Path, Path] = {}
    for sketch, target in zip(sketches, targets, strict=True):
        other = first.setdefault(target, sketch)
        if other is not sketch:
            refuse_usage(
                f"{other} and {sketch} would both become {target}",
                "expand them one by one with -o",
            )


def stem_of(target: Path) -> str:
    """What the names of the parts begin with; ``rewriter parts`` takes it likewise."""
    return target.stem.removesuffix(SUFFIX) or target.stem


def check_distinct_parts(sketches: Sequence[Path], targets: Sequence[Path]) -> None:
    """Refuse sketches whose parts would have the same names, which are plainer than theirs."""
    alike = of_same_parts(sketches, targets)
    if alike:
        refuse_usage(
            f"the parts of {alike[0]} and {alike[1]} would have the same names",
            "expand them one by one, with another folder for --parts",
        )


def of_same_parts(
    sketches: Sequence[Path], targets: Sequence[Path]
) -> tuple[Path, Path] | None:
    """Two sketches whose parts would have the same names; None where there are none such."""
    from rewriter.stands.part_heading import file_names

    first: dict[str, Path] = {}
    for sketch, target in zip(sketches, targets, strict=True):
        other = first.setdefault(file_names(stem_of(target), ["x"])[0].lower(), sketch)
        if other is not sketch:
            return other, sketch
    return None
