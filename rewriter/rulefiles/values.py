"""What is wrong with values of a rule file, and the nearest spelling of what was meant."""

import re
from collections.abc import Callable, Iterable
from typing import Any, NamedTuple

from msgspec import inspect

from rewriter.rulefiles.line_numbers import KeyPath
from rewriter.rulefiles.words import (
    DYNAMIC_PATTERN,
    PITCH_PATTERN,
    STRENGTH_PATTERN,
    in_order,
)
from rewriter.texts import printable, unfit_sign

LONGEST_TEXT = 2000
"""Characters of a setting."""

_PATTERNS = {
    PITCH_PATTERN: ("{} is no pitch", "write it like F#4 or Bb3"),
    DYNAMIC_PATTERN: ("{} is no dynamic", "write it like mf, or -1 for a step softer"),
    STRENGTH_PATTERN: ("{} is no dynamic", "write it like mf or pp"),
}

_LONGEST = 60
_LARGEST = 10**15
_TEXT = "text in quotes"
_LIST = "a list"
_TRUTH = "true or false"
_NUMBER = re.compile(r"-?\d{1,9}(\.\d{1,9})?")
_OUR_KEY = re.compile(r"[a-z_]+(-[a-z]+)*")


class Fault(NamedTuple):
    """One thing wrong in a rule file.

    Attributes:
        path: keys and list indexes (from 0) that lead to it.
        what: what is wrong, lower case, no full stop.
        remedy: what to do about it; may be empty.
        quotation: the value and a line of ``~`` under the mistake; may be empty.
    """

    path: KeyPath
    what: str
    remedy: str = ""
    quotation: str = ""


def dotted(path: KeyPath) -> str:
    """A key path as TOML would write it; list places count from 1, in brackets.

    >>> dotted(("line", "Vc", "handover")), dotted(("passage", 1, "bars"))
    ('line."Vc".handover', 'passage[2].bars')
    """
    said = ""
    for part in path:
        if isinstance(part, int):
            said += f"[{part + 1}]"
        else:
            key = part if _OUR_KEY.fullmatch(part) else f'"{printable(part)}"'
            said += f".{key}" if said else key
    return said


def nearest(word: str, known: Iterable[str]) -> str:
    """``did you mean X?`` for the known word nearest to a misspelt one; empty for none near."""
    from difflib import get_close_matches

    folded = {name.lower(): name for name in known}
    near = get_close_matches(word.lower(), folded, n=1, cutoff=0.6)
    return f"did you mean {folded[near[0]]}?" if near else ""


def said(value: object) -> str:
    """A value as the file has it, for messages."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        short = value if len(value) <= _LONGEST else f"{value[:_LONGEST]}..."
        return f'"{printable(short)}"'
    if isinstance(value, dict):
        return "a block of settings"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, int) and abs(value) > _LARGEST:
        return "so large a number"
    return str(value)


def faults_in(value: Any, kind: inspect.Type, path: KeyPath) -> list[Fault]:
    """Every fault of a value.

    Args:
        value: as TOML has it.
        kind: what it is to be.
        path: where it stands.

    Raises:
        TypeError: the kind is one that no rule file may hold.
    """
    if isinstance(kind, inspect.Metadata):
        return faults_in(value, kind.type, path)
    if isinstance(kind, inspect.UnionType):
        return _faults_in_union(value, kind, path)
    look = _LOOKS.get(type(kind))
    if look is None:
        raise TypeError(f"no rule file may hold a {kind}")
    return look(value, kind, path)


def _faults_in_struct(value: Any, kind: Any, path: KeyPath) -> list[Fault]:
    if not isinstance(value, dict):
        return [_not(value, "a block of settings", path)]
    fields = {field.encode_name: field for field in kind.fields}
    faults = []
    for key, inner in value.items():
        if key in fields:
            faults.extend(faults_in(inner, fields[key].type, (*path, key)))
        else:
            remedy = nearest(key, fields) or f"allowed are {', '.join(fields)}"
            faults.append(Fault((*path, key), "no such setting here", remedy))
    faults.extend(
        Fault((*path, name), "this setting is missing", _missing(name, field.type))
        for name, field in fields.items()
        if field.required and name not in value
    )
    return faults


def _faults_in_dict(value: Any, kind: Any, path: KeyPath) -> list[Fault]:
    if not isinstance(value, dict):
        return [_not(value, "a block of settings", path)]
    return [
        fault
        for key, inner in value.items()
        for fault in faults_in(inner, kind.value_type, (*path, key))
    ]


def _faults_in_list(value: Any, kind: Any, path: KeyPath) -> list[Fault]:
    if not isinstance(value, list):
        return [_not(value, _LIST, path)]
    return [
        fault
        for index, inner in enumerate(value)
        for fault in faults_in(inner, kind.item_type, (*path, index))
    ]


def _faults_in_word(value: Any, kind: Any, path: KeyPath) -> list[Fault]:
    if value in kind.values and isinstance(value, str):
        return []
    near = nearest(value, kind.values) if isinstance(value, str) else ""
    choices = ", ".join(in_order(kind.values))
    return [Fault(path, f"{said(value)} is none of {choices}", near)]


def _faults_in_text(value: Any, kind: Any, path: KeyPath) -> list[Fault]:
    if not isinstance(value, str):
        return [_not(value, _TEXT, path)]
    if kind.min_length and len(value) < kind.min_length:
        return [Fault(path, "nothing stands between the quotes")]
    if len(value) > LONGEST_TEXT:
        return [Fault(path, f"this text is longer than {LONGEST_TEXT} characters")]
    if unfit := unfit_sign(value):
        what = f"the character U+{ord(unfit):04X} can stand in no score"
        return [Fault(path, what, "take it out")]
    if kind.pattern and not re.search(kind.pattern, value):
        return [Fault(path, *(part.format(said(value)) for part in _PATTERNS[kind.pattern]))]
    return []


def _faults_in_number(value: Any, kind: Any, path: KeyPath) -> list[Fault]:
    whole = isinstance(kind, inspect.IntType)
    if isinstance(value, bool) or not isinstance(value, int if whole else (int, float)):
        return [_not(value, "a whole number" if whole else "a number", path)]
    low = value if kind.ge is None else kind.ge
    high = value if kind.le is None else kind.le
    if low <= value <= high:
        return []
    limits = f"outside {kind.ge} to {kind.le}"
    if kind.le is None:
        limits = f"less than {kind.ge}"
    elif kind.ge is None:
        limits = f"more than {kind.le}"
    return [Fault(path, f"{said(value)} is {limits}")]


def _faults_in_truth(value: Any, _kind: Any, path: KeyPath) -> list[Fault]:
    return [] if isinstance(value, bool) else [_not(value, _TRUTH, path)]


def _faults_in_union(value: Any, kind: inspect.UnionType, path: KeyPath) -> list[Fault]:
    """Faults by the kind of value that was meant; none if any of those allowed fits."""
    kinds = [one for one in kind.types if not isinstance(one, inspect.NoneType)]
    if len(kinds) > 1 and isinstance(value, str):
        words = [w for one in kinds if isinstance(one, inspect.LiteralType) for w in one.values]
        if words and value not in words:
            known = [str(word) for word in words]
            what = f"{said(value)} is neither a whole number nor {', '.join(known)}"
            return [Fault(path, what, nearest(value, known))]
    tried = [faults_in(value, one, path) for one in kinds]
    meant = (faults for faults in tried if all(fault.path != path for fault in faults))
    return next(meant, tried[0])


def _missing(name: str, kind: inspect.Type) -> str:
    kind = kind.type if isinstance(kind, inspect.Metadata) else kind
    return f'write {name} = "..."' if isinstance(kind, inspect.StrType) else ""


def _not(value: object, wanted: str, path: KeyPath) -> Fault:
    what = f"{said(value)} stands where {wanted} is wanted"
    return Fault(path, what, _as_wanted(value, wanted, path))


def _as_wanted(value: object, wanted: str, path: KeyPath) -> str:
    """How a value would be written as what is wanted; empty where one cannot tell."""
    if wanted == _TEXT and isinstance(value, (bool, int, float)):
        return f'write "{said(value)}"'
    if wanted == _LIST and isinstance(value, dict) and path:
        return f"write [[{path[-1]}]], with two brackets"
    if wanted == _LIST and isinstance(value, str) and len(value) <= _LONGEST:
        return f"write [{said(value)}]"
    if isinstance(value, str) and (_NUMBER.fullmatch(value) or value in {"true", "false"}):
        number = value in {"true", "false"} if wanted == _TRUTH else wanted != _LIST
        return f"write {value}, without quotes" if number else ""
    return ""


_LOOKS: dict[type[inspect.Type], Callable[[Any, Any, KeyPath], list[Fault]]] = {
    inspect.StructType: _faults_in_struct,
    inspect.DictType: _faults_in_dict,
    inspect.VarTupleType: _faults_in_list,
    inspect.LiteralType: _faults_in_word,
    inspect.StrType: _faults_in_text,
    inspect.IntType: _faults_in_number,
    inspect.FloatType: _faults_in_number,
    inspect.BoolType: _faults_in_truth,
    inspect.AnyType: lambda _value, _kind, _path: [],  # looked at by who knows what it is
}
