"""A section told to divide, and to play together again behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.rule import Unmended
from rewriter.editing.edits import InBar, Inserted
from rewriter.notating.words import words_direction
from rewriter.theory.division_words import said

if TYPE_CHECKING:
    from rewriter.checking.finished import Finished
    from rewriter.editing.edits import Edit
    from rewriter.rulefiles.ensembles import Section
    from rewriter.scores.voices import VoiceNote


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


def why_not_divided(score: Finished, part: int, note: VoiceNote) -> Unmended | None:
    """Why a section is not told to divide at a note; None where it may be.

    Args:
        score: it is in.
        part: index in score order.
        note: from which it would divide.
    """
    if one_player(score.players[part].sections[0]):
        return Unmended("one player has nobody to divide with")
    if score.divisions(part).kept_together(note.time, note.form.staff):
        return Unmended("the part says that all play all notes")
    return None


def one_player(section: Section) -> bool:
    """True where a section is one player."""
    return section.players == 1


def who_judges(section: Section) -> str:
    """To whom it is left what can be played: ``the section leader``."""
    return "the player" if one_player(section) else "the section leader"
