"""What a stack says once it is read: levels, the lines on them, who plays each."""

from typing import Literal, NamedTuple

import msgspec

from rewriter.rulefiles.ensembles import Section
from rewriter.rulefiles.stack_text import OCTAVE_WORDS, RESERVED

ShareKind = Literal["whole", "half", "third", "desk", "desks", "solo", "others", "equal"]

PLAYERS_AT_A_DESK = 2


class Share(msgspec.Struct, frozen=True):
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

    def players(self, section_players: int) -> float:
        """How many of a section a named share is; all of it for ``whole``.

        ``others`` and ``equal`` depend on the rest of the stack: see
        :meth:`Stack.players_of`.
        """
        if self.kind in {"desk", "desks"}:
            before = PLAYERS_AT_A_DESK * (self.first - 1)
            return max(0, min(section_players, PLAYERS_AT_A_DESK * self.last) - before)
        fractions = {"half": section_players / 2, "third": section_players / 3, "solo": 1}
        return fractions.get(self.kind, section_players)


class Member(msgspec.Struct, frozen=True):
    """A section, or a share of one, on a level; `section` is its key in the ensemble."""

    section: str
    share: Share = Share()

    @property
    def text(self) -> str:
        """As a stack says it: ``half Vc``."""
        words = self.section.lower().split()
        reserved = any(word in RESERVED for word in words) or set('/+"') & set(self.section)
        name = f'"{self.section}"' if reserved else self.section
        return f"{self.share.text} {name}".strip()


class Level(msgspec.Struct, frozen=True):
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

    def players_of(self, member: Member, section: Section) -> float:
        """How many play a line of the stack.

        A desk is two players (the last desk of an odd section one), a solo one; halves and
        thirds may come out as fractions, since nobody here decides who sits where.
        """
        if member.share.kind == "equal":
            return section.players / sum(one == member for one in self.members)
        if member.share.kind == "others":
            taken = sum(
                one.share.players(section.players)
                for one in self.members
                if one.section == member.section and one.share.kind != "others"
            )
            return section.players - taken
        return member.share.players(section.players)

    def written(self, top_octave: int | None) -> str:
        """The stack with the octave word at its top level; without one for None.

        >>> Stack("", (Level(0, (Member("Vn I"),)), Level(2, (Member("Vc"),)))).written(1)
        'Vn I 8va // Vc'
        """
        said = ""
        above = 0
        for level in self.levels:
            if said:
                said += f" {'/' * (level.depth - above)} "
            said += " + ".join(member.text for member in level.members)
            if level.depth == 0 and top_octave is not None:
                said += f" {octave_word(top_octave)}"
            above = level.depth
        return said


def octave_word(octave: int) -> str:
    """The word for whole octaves from the tune: ``8va`` for 1, ``octave +3`` for 3."""
    words = {number: word for word, number in OCTAVE_WORDS.items()}
    return words.get(octave, f"octave {octave:+d}")
