"""The stack: one line of text that says which section plays in which octave.

What it can say, in full::

    stack   = level { "/" { "/" } level }         every "/" goes down an octave
    level   = member { "+" member }
    member  = [ share ] name [ octave ]
    share   = "half" | "third" | "solo" | "others" | "desk" N | "desks" N "-" N
    octave  = "15ma" | "8va" | "loco" | "8vb" | "15mb" | "octave" SIGN N
    name    = words that are none of these, or any text in double quotes
"""

from collections import Counter
from collections.abc import Sequence
from math import ceil
from typing import TYPE_CHECKING, NoReturn

import msgspec

from rewriter.rulefiles.ensembles import Ensemble, Section
from rewriter.rulefiles.stack_lines import (
    PLAYERS_AT_A_DESK,
    Level,
    Member,
    Share,
    ShareKind,
    Stack,
    octave_word,
)
from rewriter.rulefiles.stack_text import StackFault, Token, tokens_of
from rewriter.theory.numbers import whole

if TYPE_CHECKING:
    from rewriter.rulefiles.stack_hints import Hint

_HALF_A_PLAYER = 0.5
_OF_SEVERAL = frozenset(("half", "third", "others"))
"""Shares that a single player has not."""
_LONGEST = 1000  # characters; the longest that is shipped has 60


def parse_stack(text: str, ensemble: Ensemble) -> Stack:
    """Read a stack.

    Args:
        text: such as ``Vn I 8va / Vn II + Vla / half Vc``.
        ensemble: whose sections it may name.

    Raises:
        StackFault: with the character where the mistake begins.
    """
    if len(text) > _LONGEST:
        what = f"a stack of more than {_LONGEST} characters"
        raise StackFault(what, "name each section once", stack=text, position=_LONGEST)
    parser = _Parser(text, ensemble)
    found = parser.stack()
    _look_for_repeats(text, found)
    for section in ensemble.sections:
        _look_at_shares(text, section, [one for one in found if one.section == section.key])
    plain = Counter(one.section for one in found if one.share.kind == "whole")
    by_depth: dict[int, list[Member]] = {}
    for one in found:
        equal = one.share.kind == "whole" and plain[one.section] > 1
        member = Member(one.section, Share("equal") if equal else one.share)
        by_depth.setdefault(one.depth, []).append(member)
    levels = tuple(Level(depth, tuple(members)) for depth, members in by_depth.items())
    return Stack(text, levels, parser.top_octave)


class _Found(msgspec.Struct, frozen=True):
    """A line of the stack and where its words stand."""

    section: str
    share: Share
    depth: int
    position: int
    length: int

    @property
    def text(self) -> str:
        return Member(self.section, self.share).text


class _Parser:
    """One function for each line of the grammar; reads tokens from left to right."""

    def __init__(self, text: str, ensemble: Ensemble) -> None:
        self.text = text
        self.ensemble = ensemble
        self.tokens = tokens_of(text)
        self.at = 0
        self.octave: tuple[Token, int] | None = None

    @property
    def top_octave(self) -> int | None:
        """Octave of the top level, from whichever level named one."""
        if self.octave is None:
            return None
        token, depth = self.octave
        return token.octave + depth

    def peek(self) -> Token:
        return self.tokens[self.at]

    def take(self) -> Token:
        self.at += 1
        return self.tokens[self.at - 1]

    def refuse(
        self, what: str, remedy: str = "", *, at: Token, to: Token | None = None
    ) -> NoReturn:
        length = (to or at).stop - at.position
        raise StackFault(what, remedy, stack=self.text, position=at.position, length=length)

    def refuse_by(self, hint: "Hint | None") -> None:
        """Say what was probably meant, where there is any idea of it."""
        if hint is not None:
            self.refuse(hint.what, hint.remedy, at=hint.first, to=hint.last)

    def stack(self) -> list[_Found]:
        if all(token.kind in {"/", "end"} for token in self.tokens):
            self.refuse("the stack is empty", "write it like Vn I / Vc", at=self.peek())
        if self.peek().kind == "/":
            self.refuse('nothing stands above this "/"', at=self.peek())
        depth = 0
        found = self.level(depth)
        while self.peek().kind == "/":
            slash = self.take()
            depth += 1
            if self.peek().kind == "/":
                continue
            if self.peek().kind == "end":
                self.refuse('nothing stands below this "/"', at=slash)
            found += self.level(depth)
        return found

    def level(self, depth: int) -> list[_Found]:
        found = self.member(depth)
        while self.peek().kind == "+":
            self.take()
            found += self.member(depth)
        if self.peek().kind not in {"/", "end"}:
            from rewriter.rulefiles.stack_hints import hint_after

            self.refuse_by(hint_after(self.tokens[self.at - 1], self.peek()))
            self.refuse(f'no "/" or "+" stands before "{self.peek().text}"', at=self.peek())
        return found

    def member(self, depth: int) -> list[_Found]:
        first = self.peek()
        share = self.share() if first.kind == "share" else Share()
        sections, last = self.name()
        if self.peek().kind == "share":
            remedy = f"write {self.peek().text} {sections[0].key}"
            what = f'"{self.peek().text}" stands after its section'
            self.refuse(what, remedy, at=self.peek())
        while self.peek().kind == "octave":
            self.anchor(self.take(), depth)
        length = last.stop - first.position
        return [
            _Found(section.key, share, depth, first.position, length) for section in sections
        ]

    def share(self) -> Share:
        word = self.take()
        kind = word.text.lower()
        if kind == "desk":
            number = self.number(word)
            return Share("desk", number, number)
        if kind == "desks":
            return self.desks(word)
        kinds: dict[str, ShareKind] = {
            "half": "half",
            "third": "third",
            "solo": "solo",
            "others": "others",
        }
        return Share(kinds[kind])

    def number(self, word: Token) -> int:
        token = self.peek()
        if token.kind != "word" or not whole(token.text):
            self.refuse(
                f'"{word.text}" has no number', "write it like desk 1 or desks 1-2", at=word
            )
        return int(self.take().text)

    def desks(self, word: Token) -> Share:
        said = ""
        while self.peek().kind == "word" and set(self.peek().text) <= set(
            "0123456789-\u2013\u2212"
        ):
            said += self.take().text
            if said[-1].isdecimal() and not said.isdecimal():
                break
        first, dash, last = said.replace("\u2013", "-").replace("\u2212", "-").partition("-")
        if not dash or not first.isdecimal() or not last.isdecimal() or "0" in {first, last}:
            self.refuse('"desks" has no first and last number', "write desks 1-2", at=word)
        if int(last) < int(first):
            self.refuse(f"desks {said} run backwards", f"write desks {last}-{first}", at=word)
        return Share("desks", int(first), int(last))

    def name(self) -> tuple[tuple[Section, ...], Token]:
        """The sections a name means, and its last token."""
        if self.peek().kind == "quoted":
            words = [self.take()]
        else:
            words = []
            while self.peek().kind == "word":
                words.append(self.take())
        if not words:
            self.refuse_nameless()
        name = " ".join(word.text for word in words)
        sections = self.ensemble.find(name)
        if not sections:
            self.refuse_unknown(name, words)
        return sections, words[-1]

    def refuse_nameless(self) -> NoReturn:
        token = self.peek()
        before = self.tokens[self.at - 1] if self.at else None
        if token.kind == "octave":
            self.refuse(
                f'"{token.text}" stands before a section',
                "write it after the section",
                at=token,
            )
        if token.kind == "+" and (before is None or before.kind in {"/", "+"}):
            self.refuse('no section stands before this "+"', at=token)
        if before is not None and before.kind not in {"/", "+"}:
            self.refuse(f'no section stands after "{before.text}"', at=before)
        self.refuse('no section stands after this "+"', at=before or token)

    def refuse_unknown(self, name: str, words: Sequence[Token]) -> NoReturn:
        for cut in range(1, len(words)):
            left, right = (
                " ".join(word.text for word in part) for part in (words[:cut], words[cut:])
            )
            if self.ensemble.find(left) and self.ensemble.find(right):
                what = f'no "/" or "+" stands between "{left}" and "{right}"'
                self.refuse(what, at=words[cut], to=words[-1])
        from rewriter.rulefiles.stack_hints import hint

        self.refuse_by(hint(words, self.ensemble.find))
        near = self.ensemble.nearest(name)
        there_are = ", ".join(section.key for section in self.ensemble.sections)
        remedy = f"did you mean {near}?" if near else f"there are {there_are}"
        what = f'no section is called "{name}" in {self.ensemble.name}'
        self.refuse(what, remedy, at=words[0], to=words[-1])

    def anchor(self, token: Token, depth: int) -> None:
        """Take an octave word; further ones may only say the same."""
        if self.octave is None:
            self.octave = (token, depth)
            return
        first, first_depth = self.octave
        due = first.octave + first_depth - depth
        if token.octave != due:
            what = f'"{token.text}" contradicts "{first.text}"'
            remedy = f"by that word this level is {octave_word(due)}; one octave word is enough"
            self.refuse(what, remedy, at=token)


def _look_for_repeats(text: str, found: Sequence[_Found]) -> None:
    seen = set()
    for one in found:
        if (one.depth, one.section) in seen:
            what = f"{one.section} stands twice on one level"
            _refuse(text, one, what, "name it once on a level")
        seen.add((one.depth, one.section))


def _look_at_shares(text: str, section: Section, found: Sequence[_Found]) -> None:
    """The shares of one section must be there and must not add up to more than all of it."""
    taken: list[_Found] = []
    if section.players == 1:
        _look_at_one_player(text, section, found)
    for one in found:
        _look_at_desks(text, section, one)
        for other in taken:
            _look_at_pair(text, one, other)
        taken.append(one)
    named = [one for one in found if one.share.kind not in {"whole", "others"}]
    players = sum(one.share.players(section.players) for one in named)
    if players > section.players + _HALF_A_PLAYER:
        _refuse(
            text,
            named[-1],
            f"the shares of {section.key} add up to more than its {section.players} players",
        )
    others = [one for one in found if one.share.kind == "others"]
    if others and section.players - players < _HALF_A_PLAYER:
        _refuse(text, others[0], f"nobody of {section.key} is left for the others")


def _look_at_one_player(text: str, section: Section, found: Sequence[_Found]) -> None:
    parted = found[1:] or [one for one in found if one.share.kind in _OF_SEVERAL]
    if parted:
        what = f"{section.key} is one player and cannot be divided"
        _refuse(text, parted[0], what, "name it once, without a share")


def _look_at_desks(text: str, section: Section, one: _Found) -> None:
    desks = ceil(section.players / PLAYERS_AT_A_DESK)
    if one.share.last > desks:
        _refuse(text, one, f"{section.key} has no desk {one.share.last}", f"it has {desks}")


def _look_at_pair(text: str, one: _Found, other: _Found) -> None:
    """Two shares of a section that cannot both be there."""
    kinds = {one.share.kind, other.share.kind}
    if "whole" in kinds and kinds != {"whole"}:
        what = f"{other.text} and {one.text} are more than the section"
        _refuse(text, one, what, f"write others {one.section} for the rest")
    if kinds == {"others"}:
        _refuse(text, one, f"{one.text} stands twice", "say which others play on which level")
    both_desks = bool(one.share.first and other.share.first)
    if (
        both_desks
        and one.share.first <= other.share.last
        and other.share.first <= one.share.last
    ):
        desk = max(one.share.first, other.share.first)
        _refuse(text, one, f"desk {desk} of {one.section} is named twice")


def _refuse(text: str, one: _Found, what: str, remedy: str = "") -> NoReturn:
    raise StackFault(what, remedy, stack=text, position=one.position, length=one.length)
