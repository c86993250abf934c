"""A section told to divide, and to play together again behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.rule import Mend, Unmended
from rewriter.editing.edits import InBar, Inserted
from rewriter.notating.words import words_direction
from rewriter.theory.division_words import said

if TYPE_CHECKING:
    from rewriter.checking.finished import Finished
    from rewriter.editing.edits import Edit
    from rewriter.rulefiles.ensembles import Section
    from rewriter.scores.voices import VoiceNote


def divided(score: Finished, part: int, first: VoiceNote, end: int) -> Mend | Unmended:
    """A section told to divide in two, and to play together where one line goes on.

    Args:
        score: it is in.
        part: index in score order.
        first: note from which on there are two lines.
        end: divisions from the start of the piece, up to where it has to be divided.
    """
    divisions, staff = score.divisions(part), first.form.staff
    if one_player(score.players[part].sections[0]):
        return Unmended("one player has nobody to divide with")
    if divisions.kept_together(first.time, staff):
        return Unmended("the part says that all play all notes")
    alone, most = _alone(score, part, first, end)
    if most > 2:  # noqa: PLR2004 - half and half
        return Unmended("more than two notes at once can be divided in several ways")
    edits: list[Edit] = [told_before(score, part, first, "div")]
    until = alone.time if alone else None
    said_already = any(
        one.time > first.time and (until is None or one.time <= until)
        for one in divisions.told
        if one.staff in {"", staff}
    )
    if alone is None or said_already:
        return Mend("print div.", tuple(edits))
    edits.append(told_before(score, part, alone, "unis"))
    return Mend("print div., and unis. behind it", tuple(edits))


def _alone(
    score: Finished, part: int, first: VoiceNote, end: int
) -> tuple[VoiceNote | None, int]:
    """The first note that is everybody's again, and how many there are at most before it."""
    moments, staff, most = score.moments(part), first.form.staff, 0
    for bar in range(first.bar, len(score.score.parts[part].bars)):
        if score.movement(bar) != score.movement(first.bar):
            break
        for sounds in moments.sounds(bar, staff):
            if sounds.time < first.time:
                continue
            alone = sounds.notes[-1]
            if sounds.time >= end and len(sounds.notes) == 1 and not alone.form.stops_tie:
                return alone, most
            most = max(most, len(sounds.notes))
    return None, most


def told_before(score: Finished, part: int, note: VoiceNote, word: str) -> Edit:
    """Words printed over a note.

    Args:
        score: it is in.
        part: index in score order.
        note: the first they hold for.
        word: ``div``, ``unis`` ..., as :func:`rewriter.theory.division_words.said` takes it.
    """
    language = score.players[part].sections[0].language
    data = words_direction(said(word, language)).strip()
    if score.score.parts[part].staves > 1:
        staff = b"<staff>%d</staff></direction>" % int(note.form.staff)
        data = data.replace(b"</direction>", staff)
    return Inserted(InBar(part, note.bar), note.event.place, data)


def one_player(section: Section) -> bool:
    """True where a section is one player."""
    return section.players == 1


def who_judges(section: Section, *, divide: bool = True) -> str:
    """Who is to judge what may strain players, and what may help.

    Args:
        section: they are of.
        divide: True where a division would help.
    """
    if one_player(section):
        return "let the player judge"
    return f"{'print div., or ' if divide else ''}let the section leader judge"
