"""The stack: one line of text that says which section plays in which octave."""

from typing import Literal, NamedTuple

from rewriter.rulefiles.ensembles import Ensemble, Section

ShareKind = Literal["whole", "half", "third", "desk", "desks", "solo", "others", "equal"]


class StackFault(ValueError):  # noqa: N818 - the mistake is the writer's, not the program's
    """A stack that cannot be read.

    Attributes:
        stack: the whole text.
        position: character the mistake begins at, from 0.
        length: characters it covers, at least 1.
        what: what is wrong, lower case, no full stop.
        remedy: what to do about it; may be empty.
    """

    def __init__(
        self, what: str, remedy: str = "", *, stack: str, position: int, length: int = 1
    ) -> None:
        super().__init__(f"{what}; {remedy}" if remedy else what)
        self.what = what
        self.remedy = remedy
        self.stack = stack
        self.position = position
        self.length = max(1, length)

    @property
    def quotation(self) -> str:
        """The stack and, under the mistake, a line of ``~``."""
        return f"{self.stack}\n{' ' * self.position}{'~' * self.length}"


class Share(NamedTuple):
    """How much of a section plays a line.

    Attributes:
        kind: ``equal`` is the same section named on several levels without a word.
        first: first desk, from 1, for ``desk`` and ``desks``.
        last: last desk.
    """

    kind: ShareKind = "whole"
    first: int = 0
    last: int = 0

    @property
    def text(self) -> str:
        """The word before the section: ``""``, ``half``, ``desk 1``, ``desks 1-2`` ..."""
        if self.kind in {"whole", "equal"}:
            return ""
        if self.kind == "desk":
            return f"desk {self.first}"
        if self.kind == "desks":
            return f"desks {self.first}-{self.last}"
        return self.kind


class Member(NamedTuple):
    """A section, or part of one, on a level; `section` is its key in the ensemble."""

    section: str
    share: Share = Share()

    @property
    def text(self) -> str:
        """As a stack says it: ``half Vc``."""
        return f"{self.share.text} {self.section}".strip()


class Level(NamedTuple):
    """Lines that share an octave; `depth` is 0 at the top, empty octaves counted."""

    depth: int
    members: tuple[Member, ...]


class Stack(NamedTuple):
    """A layout on one line.

    Attributes:
        text: as it was written.
        levels: top first, empty octaves left out.
        top_octave: whole octaves of the top octave from the tune's sounding pitch; None
            where the stack names none and has yet to be placed.
    """

    text: str
    levels: tuple[Level, ...]
    top_octave: int | None = None

    @property
    def members(self) -> tuple[Member, ...]:
        """Every line of the stack, top first."""
        return tuple(member for level in self.levels for member in level.members)

    def strength_of(self, member: Member, section: Section) -> float:
        """How many play a line of the stack; a desk is two, a solo one."""
        raise NotImplementedError

    def written(self, top_octave: int | None) -> str:
        """The stack with the octave word at its top level; without one for None."""
        raise NotImplementedError


def parse_stack(text: str, ensemble: Ensemble) -> Stack:
    """Read a stack.

    Raises:
        StackFault: with the character where the mistake begins.
    """
    raise NotImplementedError
