"""A command line that cannot be understood, said in one line."""

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import NoReturn

import click

from rewriter.problems import Refused

_CURLY = ("\u201c", "\u201d", "\u201e", "\u00ab")


def refuse_usage(what: str, remedy: str = "") -> NoReturn:
    """Refuse the command line as it stands.

    Args:
        what: what is wrong, lower case, no full stop.
        remedy: what to do about it; without one the command's own help is named.

    Raises:
        click.UsageError: always.
    """
    context = click.get_current_context(silent=True)
    raise click.UsageError(f"{what}; {remedy}" if remedy else what, context)


def word_usage(fault: click.ClickException, args: Sequence[str]) -> str:
    """What click found wrong with a command line, in one line: ``COMMAND: WHAT; REMEDY``.

    Args:
        fault: what click raised.
        args: the command line; it names the command where click does not say which it was.
    """
    context = fault.ctx if isinstance(fault, click.UsageError) else None
    named = " ".join(["rewriter", *args[:1]]) if args and args[0].isalpha() else "rewriter"
    command = context.command_path if context else named
    said = _one_hyphen(fault, context, args) or _word(fault, context)
    if "; " not in said:
        said = f"{said}; see {command} --help"
    return f"{command}: {said}"


def refuse_curly_quotes(args: Sequence[str]) -> None:
    """Refuse a word torn out of curly quotes, which no shell takes for quotes.

    Args:
        args: the command line.

    Raises:
        Refused: one begins with such a quote and does not end it, and is no file.
    """
    for arg in args:
        begins = arg[:1] in _CURLY and not set(_CURLY) & set(arg[1:])
        if begins and not Path(arg).exists():
            what = f"{arg} begins with a curly quote"
            raise Refused(what, 'write straight quotes, "..."', file="rewriter")


def suggest(name: str, allowed: Iterable[str]) -> str:
    """The nearest spellings as a remedy; empty when nothing is near.

    >>> suggest("--layuot", ["--layout", "--tune"]), suggest("x", ["--tune"])
    ('did you mean --layout?', '')
    """
    from difflib import get_close_matches

    near = get_close_matches(name, sorted(allowed), n=1)
    return f"did you mean {near[0]}?" if near else ""


def _one_hyphen(
    fault: click.ClickException, context: click.Context | None, args: Sequence[str]
) -> str:
    """What to say of ``-layout``, of which click sees one letter; else nothing."""
    if not isinstance(fault, click.NoSuchOption) or fault.option_name.startswith("--"):
        return ""
    for arg in args:
        name = arg.partition("=")[0]
        one_letter = name == fault.option_name
        near = "" if one_letter else suggest(f"-{name}", _option_names(context))
        if near and name.startswith(fault.option_name) and not name.startswith("--"):
            return f"there is no option {name}; {near}"
    return ""


def _word(fault: click.ClickException, context: click.Context | None) -> str:
    match fault:
        case click.NoSuchOption():
            known = _option_names(context)
            return _join(f"there is no option {fault.option_name}", fault.option_name, known)
        case click.MissingParameter():
            return f"{_name_of(fault)} is missing"
        case click.BadParameter():
            return _word_bad_value(fault)
        case click.BadOptionUsage():
            needs = "needs a value" if "requires" in fault.message else "takes no value"
            return f"{fault.option_name} {needs}"
        case _:
            return _sentence(fault.message)


def _word_bad_value(fault: click.BadParameter) -> str:
    kind = fault.param.type if fault.param else None
    if isinstance(kind, click.Choice):
        allowed = [str(choice) for choice in kind.choices]
        given = fault.message.split("'")[1] if fault.message.startswith("'") else ""
        what = f'{_name_of(fault)}: "{given}" is none of {", ".join(allowed)}'
        return _join(what, given, allowed)
    if isinstance(kind, click.types.IntParamType):
        given = fault.message.split("'")[1] if fault.message.startswith("'") else ""
        return f'{_name_of(fault)}: "{given}" is no whole number'
    return f"{_name_of(fault)}: {_sentence(fault.message)}"


def _join(what: str, name: str, allowed: Iterable[str]) -> str:
    remedy = suggest(name, allowed)
    return f"{what}; {remedy}" if remedy else what


def _name_of(fault: click.BadParameter) -> str:
    """An option as it is typed, an argument as the help calls it."""
    if fault.param is None:
        return str(fault.param_hint or "value")
    if isinstance(fault.param, click.Option):
        return max(fault.param.opts, key=len)
    return fault.param.make_metavar(fault.ctx or click.Context(click.Command(None)))


def _option_names(context: click.Context | None) -> list[str]:
    if context is None:
        return []
    return [name for param in context.command.get_params(context) for name in param.opts]


def _sentence(message: str) -> str:
    """A message in the tool's manner: lower case, no full stop."""
    said = message.strip().rstrip(".")
    return said[:1].lower() + said[1:]
