"""What two scores do not have alike, as music."""

import msgspec

from rewriter.problems import Place


class Stands(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A thing as one of two scores has it.

    Attributes:
        says: what it says, such as `F5` or `mf`; empty where its kind says it all.
        place: where it stands or begins: part, voice, bar and beat of its own score.
        staff: of its part, counted from the top; empty for what belongs to all.
        until: where it ends, of what spans.
    """

    says: str
    place: Place
    staff: str = ""
    until: Place | None = None


class Told(msgspec.Struct, frozen=True, kw_only=True):
    """One thing that two scores do not have alike.

    Attributes:
        kind: of thing, such as `pitch`, `slur`, `dynamic`; `note`, `bar` or `part` where one
            of the scores only has it.
        part: name of the part; empty for what all parts have, or the whole score.
        place: where it is, in bars of the first score; of the second where the first has no
            such bar.
        was: as the first score has it; null where it has nothing.
        now: as the second score has it; null where it has nothing.
        text: the sentence for people, without the place.
    """

    kind: str
    part: str
    place: Place
    was: Stands | None
    now: Stands | None
    text: str


class Lost(msgspec.Struct, frozen=True, kw_only=True):
    """A kind of thing that the first score has and the second has nowhere.

    Attributes:
        kind: of thing.
        number: how many the first score has.
    """

    kind: str
    number: int


class ChangedPart(msgspec.Struct, frozen=True, kw_only=True):
    """A part in which something is not as it was.

    Attributes:
        part: its name.
        id: of the second score's `<part>`; of the first's where only that has it.
        bars: as they are printed in the second score, runs as `5-8`.
    """

    part: str
    id: str
    bars: list[str]


class ChangedPage(msgspec.Struct, frozen=True, kw_only=True):
    """A page of the second score on which something is not as it was.

    Attributes:
        page: as it is numbered, else counted from 1.
        bars: printed numbers of its first and last bar: `12-31`.
    """

    page: str
    bars: str


class Differences(msgspec.Struct, frozen=True, kw_only=True):
    """All that two scores do not have alike.

    Attributes:
        a: the first score, as the user named it.
        b: the second.
        differences: in the order of bars and parts, without what is lost.
        lost: kinds of things that the second score has nowhere, as a program loses them when
            it saves a file; each named once and no difference for each thing.
        changed_parts: parts with differences, or with things that are lost.
        changed_pages: pages of the second score likewise; empty where its file does not say
            where pages end.
        pages: how many it has; 0 where its file does not say.
    """

    a: str
    b: str
    differences: list[Told]
    lost: list[Lost]
    changed_parts: list[ChangedPart]
    changed_pages: list[ChangedPage]
    pages: int

    @property
    def are_none(self) -> bool:
        """True where both are the same music."""
        return not (self.differences or self.lost)
