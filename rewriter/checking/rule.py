"""What a rule is: when it speaks, what it says, and why anybody should care."""

from collections.abc import Callable
from typing import Any, Generic, Literal, NamedTuple, TypeVar, get_type_hints

import msgspec

from rewriter.checking.places import Places
from rewriter.problems import Place, Severity

Mends = Literal["never", "certain", "on request"]
"""Whether a rule can put right what it finds, and whether it does so unasked."""


class Parameters(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What of a rule a house may set; the defaults are ours.

    Each field is ``Annotated`` with a :class:`msgspec.Meta` whose description says what it is.
    """


class Parameter(NamedTuple):
    """One thing that may be set: its name, what it is by default, and what it means."""

    name: str
    default: object
    meaning: str


class Said(NamedTuple):
    """What a rule says of a fact.

    Attributes:
        place: where it is.
        text: the sentence for people, without the place.
        sounds: what sounds there, by note name.
        wants: what the rule wants.
    """

    place: Place
    text: str
    sounds: str = ""
    wants: str = ""


F = TypeVar("F")
P = TypeVar("P", bound=Parameters)


class Rule(NamedTuple, Generic[F, P]):
    """One thing a score is looked at for.

    Attributes:
        id: the stable word for it, which is also the name of its file.
        title: what is found, in a few words.
        why: what is wrong with it, for somebody who asks.
        instead: what to do.
        source: book, chapter, page; or ``common practice, no source``.
        severity: unless a house says otherwise.
        about: kind of facts it looks at.
        say: what it says of one of them; None where there is nothing to say.
        parameters: as they are by default.
        mends: whether it can put right what it finds.
    """

    id: str
    title: str
    why: str
    instead: str
    source: str
    severity: Severity
    about: type[Any]
    say: Callable[[F, Places, P], Said | None]
    parameters: P
    mends: Mends = "never"

    @property
    def settings(self) -> list[Parameter]:
        """What a house may set, in the order of the file."""
        hints = get_type_hints(type(self.parameters), include_extras=True)
        return [
            Parameter(name, getattr(self.parameters, name), _meaning(hints[name]))
            for name in self.parameters.__struct_fields__
        ]


NONE = Parameters()
"""Of a rule with nothing to set."""


def _meaning(hint: Any) -> str:
    return "".join(
        one.description or ""
        for one in getattr(hint, "__metadata__", ())
        if isinstance(one, msgspec.Meta)
    )
