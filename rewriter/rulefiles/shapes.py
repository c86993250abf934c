"""A rule file against its shape: every fault with its place."""

from functools import lru_cache
from typing import Any, TypeVar

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
from rewriter.rulefiles.values import LONGEST_TEXT, Fault, dotted, faults_in

Shape = TypeVar("Shape", bound=msgspec.Struct)

_TELLS_KIND = {
    "passage": "plan",
    "stack": "layout",
    "section": "ensemble",
    "based_on": "ensemble",
    "rule": "house file",
    "scoring": "house file",
    "extends": "house file",
}
"""A setting that only one kind of rule file has → the kind."""

_MOST_TOLD = 40  # faults of one file
_OF_SEVERAL_ROWS = ('"""', "'''")
_DOUBTFUL = ("\\", "\ufffe", "\uffff")  # tomllib takes no other sign that XML does not hold


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

    def place(self, path: KeyPath) -> str:
        """File, row and setting, as messages name them."""
        return f"{self.file}:{line_of(self.text, path)}: {dotted(path)}"

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
        self.faults.extend(faults_in(raw, inspect.type_info(shape), ()))
        self.refuse_if_faulty()
        return msgspec.convert(raw, shape)

    def look(self, value: Any, shape: type[Shape], path: KeyPath) -> Shape | None:
        """A block of the file as a record; None, and its faults noted, where it is none.

        Args:
            value: what stands where the block is to be, as TOML.
            shape: what it may hold.
            path: of the block.
        """
        found = faults_in(value, inspect.type_info(shape), path)
        self.faults.extend(found)
        return None if found else msgspec.convert(value, shape)

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
    if _is_doubtful(text) and faults_in(raw, inspect.type_info(shape), ()):
        raise msgspec.ValidationError  # it has a text that no score can hold
    return record


def _is_doubtful(text: str) -> bool:
    """True where a text in the file may be one that no score can hold, or longer than any is.

    Only one of several rows can be so long, as no row is.
    """
    long = len(text) > LONGEST_TEXT and any(quotes in text for quotes in _OF_SEVERAL_ROWS)
    return long or any(sign in text for sign in _DOUBTFUL)
