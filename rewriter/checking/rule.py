"""What a rule is: when it speaks, what it says, and why anybody should care."""

from __future__ import annotations

from typing import (
    TYPE_CHECKING,
    Any,
    Final,
    Generic,
    Literal,
    NamedTuple,
    TypeVar,
    get_type_hints,
)

import msgspec

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.editing.edits import Edit
    from rewriter.problems import Place, Severity
    from rewriter.rulefiles.houses import Scoring
    from rewriter.rulefiles.words import HouseSeverity

Mends = Literal["never", "certain", "on request"]
"""Whether a rule can put right what it finds, and whether it does so unasked."""


class Parameters(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What of a rule a house may set; the defaults are ours.

    Each field is ``Annotated`` with a :class:`msgspec.Meta` whose description says what it is.
    """


class Parameter(msgspec.Struct, frozen=True):
    """One thing that may be set: its name, what it is by default, and what it means."""

    name: str
    default: object
    meaning: str


class Said(msgspec.Struct, frozen=True):
    """What a rule says of a fact.

    Attributes:
        place: where it is.
        text: the sentence for people, without the place.
        sounds: what sounds there, by note name.
        wants: what the rule wants.
        severity: of this one; None for what the rule has in the house.
    """

    place: Place
    text: str
    sounds: str = ""
    wants: str = ""
    severity: Severity | None = None


class Mend(NamedTuple):
    """How a fault is put right, where that is certain.

    Attributes:
        what: is done, in a few words, such as ``print the sharp``.
        edits: of the score that was looked at.
    """

    what: str
    edits: tuple[Edit, ...]


class Deferred(NamedTuple):
    """How a fault is put right, where working that out takes long: only who mends does.

    Attributes:
        what: is done, likewise.
        make: works it out; why it is not certain after all, where it is not.
    """

    what: str
    make: Callable[[], Mend | Unmended]


class Unmended(NamedTuple):
    """Why a fault that can be put right elsewhere is left here.

    Attributes:
        why: in a few words.
    """

    why: str


CANNOT_BE_WRITTEN: Final = Unmended("it cannot be written there")
"""Of a mend that the file, or the standard, has no place for."""

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
        severity: unless a house says otherwise; ``off`` where only a house asks for it.
        about: kind of facts it looks at.
        say: what it says of one of them, told where that is; None where there is nothing to
            say.
        parameters: as they are by default.
        mends: whether it can put right what it finds.
        find: facts in a finished score, of which only those it is about count; None for a rule
            about the work of expanding.
        mend: what puts a fact of a finished score right; asked only where ``say`` spoke. None
            for what is no fault of the score.
        runs: True where findings in bars that follow each other are one fault.
        needs_tune: True where it can only be asked when the tune is known.
        needs_parts: True where it can only be asked when the parts on the stands are given.
        find_asked: facts in a finished score by what the house asks of its layouts; None where
            that is nothing to it.
    """

    id: str
    title: str
    why: str
    instead: str
    source: str
    severity: HouseSeverity
    about: type[Any]
    say: Callable[[F, Any, P], Said | None]
    parameters: P
    mends: Mends = "never"
    find: Callable[[Finished, P], Iterable[Any]] | None = None
    mend: Callable[[Finished, F, P], Mend | Deferred | Unmended | None] | None = None
    runs: bool = False
    needs_tune: bool = False
    needs_parts: bool = False
    find_asked: Callable[[Finished, Sequence[Scoring]], Iterable[Any]] | None = None

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
