"""A rule file against its shape: every fault with its place, and the nearest spelling."""

import re
from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import Any, NamedTuple, TypeVar

import msgspec
from msgspec import inspect

from rewriter.problems import Refused
from rewriter.rulefiles.ensembles import Ensemble
from rewriter.rulefiles.line_numbers import KeyPath, line_of
from rewriter.rulefiles.shelf import mistaken
from rewriter.rulefiles.stack import parse_stack
from rewriter.rulefiles.stack_lines import Stack
from rewriter.rulefiles.stack_text import StackFault
from rewriter.rulefiles.toml_faults import NoToml, toml_of
from rewriter.rulefiles.words import DYNAMIC_PATTERN, PITCH_PATTERN, in_order
from rewriter.texts import printable, unfit_sign

Shape = TypeVar("Shape", bound=msgspec.Struct)

_PATTERNS = {
    PITCH_PATTERN: ("{} is no pitch", "write it like F#4 or Bb3"),
    DYNAMIC_PATTERN: ("{} is no dynamic", "write it like mf, or -1 for a step softer"),
}

_TELLS_KIND = {
    "passage": "plan",
    "stack": "layout",
    "section": "ensemble",
    "based_on": "ensemble",
}
"""A setting that only one kind of rule file has → the kind."""

_LONGEST = 60
_LONGEST_TEXT = 2000  # characters of a setting
_MOST_TOLD = 40  # faults of one file
_LARGEST = 10**15
_TEXT = "text in quotes"
_LIST = "a list"
_TRUTH = "true or false"
_NUMBER = re.compile(r"-?\d{1,9}(\.\d{1,9})?")
_OUR_KEY = re.compile(r"[a-z_]+")


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


class Setting(str):
    """A text of a rule file that knows where it stands, for faults found only with a sketch."""

    __slots__ = ("_path", "_rule")
    _rule: "RuleText"
    _path: KeyPath

    @classmethod
    def of(cls, rule: "RuleText", path: KeyPath, text: str) -> "Setting":
        """The text at a path of a file."""
        setting = cls(text)
        setting._rule, setting._path = rule, path
        return setting

    def named_in(self, refusal: Refused) -> Refused:
        """The same refusal, with rule file and setting named."""
        rule = self._rule
        refusal.file = f"{rule.file}:{line_of(rule.text, self._path)}"
        refusal.place = dotted(self._path)
        return refusal


class RuleText:
    """The text of one rule file and the faults found in it so far.

    Attributes:
        file: how messages name it.
        text: the whole content.
        faults: in the order found.
    """

    def __init__(self, text: str, file: str) -> None:
        self.text = text
        self.file = file
        self.faults: list[Fault] = []

    def fault(self, path: KeyPath, what: str, remedy: str = "", quotation: str = "") -> None:
        """Note a fault and go on, so that all are told at once."""
        self.faults.append(Fault(path, what, remedy, quotation))

    def refused(self, path: KeyPath, refusal: Refused) -> None:
        """Note what is wrong with another rule that is named here."""
        if not refusal.file:
            remedy = refusal.remedy.replace("name it with --", "name it as ")
            self.fault(path, refusal.what, remedy, refusal.quotation)
            return
        for line in str(refusal).split("\n"):
            self.fault(path, line)

    def stack(self, path: KeyPath, text: str, ensemble: Ensemble) -> Stack:
        """A stack in the file; where it cannot be read, an empty one and a fault noted."""
        try:
            return parse_stack(text, ensemble)
        except StackFault as fault:
            self.fault(path, fault.what, fault.remedy, fault.quotation)
            return Stack(text, ())

    def raw(self) -> dict[str, Any]:
        """The file as TOML, whatever its keys.

        Raises:
            Refused: it is no TOML.
        """
        try:
            return toml_of(self.text)
        except NoToml as fault:
            raise Refused(*fault.args, file=f"{self.file}:{fault.line}") from None

    def read(self, shape: type[Shape]) -> Shape:
        """The file as a record.

        Raises:
            Refused: it is no TOML, or its keys or values are not of the shape.
        """
        try:
            sound: Shape = _sound(self.text, shape)
        except (NoToml, msgspec.ValidationError):
            raw = self.raw()  # the one fault that stopped it is told among all others
        else:
            return sound
        self._refuse_other_kinds(raw, shape)
        self.faults.extend(_faults(raw, inspect.type_info(shape), ()))
        self.refuse_if_faulty()
        return msgspec.convert(raw, shape)

    def _refuse_other_kinds(self, raw: dict[str, Any], shape: type[msgspec.Struct]) -> None:
        """Refuse a sound file of another kind as a whole, not setting by setting."""
        known = {_TELLS_KIND.get(name) for name in shape.__struct_fields__} - {None}
        found = [_TELLS_KIND[name] for name in raw if name in _TELLS_KIND]
        for own in known:
            if found and own not in found:
                raise mistaken("this", found[0], str(own)).within(self.file)

    def refuse_if_faulty(self) -> None:
        """Do nothing without faults.

        Raises:
            Refused: all faults, one line each, in the order of the file.
        """
        if not self.faults:
            return
        placed = [(line_of(self.text, fault.path), fault) for fault in self.faults]
        placed.sort(key=lambda pair: pair[0])
        refusals = [
            Refused(
                fault.what,
                fault.remedy,
                file=f"{self.file}:{line}",
                place=dotted(fault.path),
                quotation=fault.quotation,
            )
            for line, fault in placed
        ]
        first, *more = refusals[:_MOST_TOLD]
        if len(refusals) > _MOST_TOLD:
            what = f"{len(refusals) - _MOST_TOLD} more faults"
            more.append(Refused(what, "mend these first", file=self.file))
        first.more = more
        raise first


@lru_cache(maxsize=32)
def _sound(text: str, shape: type[Shape]) -> Shape:
    """A file without faults, read once however often it is used; nobody changes a record."""
    raw = toml_of(text)
    record: Shape = msgspec.convert(raw, shape)
    doubtful = "\\" in text or len(text) > _LONGEST_TEXT
    if doubtful and _faults(raw, inspect.type_info(shape), ()):
        raise msgspec.ValidationError  # it has a text that no score can hold
    return record


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


def _faults(value: Any, kind: inspect.Type, path: KeyPath) -> list[Fault]:
    if isinstance(kind, inspect.Metadata):
        return _faults(value, kind.type, path)
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
            faults.extend(_faults(inner, fields[key].type, (*path, key)))
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
        for fault in _faults(inner, kind.value_type, (*path, key))
    ]


def _faults_in_list(value: Any, kind: Any, path: KeyPath) -> list[Fault]:
    if not isinstance(value, list):
        return [_not(value, _LIST, path)]
    return [
        fault
        for index, inner in enumerate(value)
        for fault in _faults(inner, kind.item_type, (*path, index))
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
    if len(value) > _LONGEST_TEXT:
        return [Fault(path, f"this text is longer than {_LONGEST_TEXT} characters")]
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
    if not low <= value <= high:
        return [Fault(path, f"{said(value)} is outside {kind.ge} to {kind.le}")]
    return []


def _faults_in_truth(value: Any, _kind: Any, path: KeyPath) -> list[Fault]:
    return [] if isinstance(value, bool) else [_not(value, _TRUTH, path)]


def _faults_in_union(value: Any, kind: inspect.UnionType, path: KeyPath) -> list[Fault]:
    """Faults by the kind of value that was meant; none if any of those allowed fits."""
    kinds = [one for one in kind.types if not isinstance(one, inspect.NoneType)]
    tried = [_faults(value, one, path) for one in kinds]
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
}
