"""A note whose printed sign, or whose want of one, says another pitch than the file."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.rule import NONE, Mend, Parameters, Rule, Said, Unmended
from rewriter.checking.signs_read import WrongSign, wrong_signs
from rewriter.musicxml.accidentals import name_of
from rewriter.musicxml.escaping import word

if TYPE_CHECKING:
    from rewriter.checking.finished import Finished


def find(score: Finished, _: Parameters) -> list[WrongSign]:
    """Notes read as another pitch than the file's."""
    return list(wrong_signs(score))


def say(fact: WrongSign, at: Finished, _: Parameters) -> Said:
    """Say what is printed, and as what it is read."""
    form = fact.event.form
    printed = _named(form.printed) if form is not None and form.printed else "no sign"
    means, reads = str(fact.pitch), str(fact.pitch._replace(alter=fact.read))
    notes = "note" if fact.more == 1 else "notes"
    more = f", and so {'is' if fact.more == 1 else 'are'} {fact.more} more {notes} after it"
    start = at.reading.timeline.starts[fact.bar]
    return Said(
        place=at.place(fact.part, fact.bar, start + fact.event.onset),
        text=f"{means} prints {printed} and is read as {reads}{more if fact.more else ''}; "
        f"{_remedy(fact)}",
        sounds=means,
        wants=_named(name_of(fact.pitch.alter)),
    )


def mend(score: Finished, fact: WrongSign, _: Parameters) -> Mend | Unmended:
    """Print the sign the pitch needs, and what notes after it need then."""
    if not score.players[fact.part].sections:
        return Unmended("the part is no string section's")
    from rewriter.editing.edits import InBar, Replaced, bar_children
    from rewriter.editing.note_marks import with_accidental

    where = InBar(fact.part, fact.bar)
    children = bar_children(score.score, where)
    edits = []
    for child, alter in fact.needs:
        sign = b"<accidental>%b</accidental>" % word(name_of(alter))
        edits.append(Replaced(where, child, with_accidental(children[child], sign)))
    return Mend(_remedy(fact), tuple(edits))


def _remedy(fact: WrongSign) -> str:
    return f"print {_named(name_of(fact.pitch.alter))}"


def _named(name: str) -> str:
    return f"a {_WORDS.get(name, name.replace('-', ' '))}"


_WORDS = {"flat-flat": "double flat", "sharp-sharp": "double sharp"}

RULE = Rule(
    id="accidental-differs",
    title="sign says another pitch than the file",
    why="Who plays from the page plays another note than is heard from the file, and nobody "
    "notices before the rehearsal.",
    instead="Print the sign the pitch needs; or, if the page is right, correct the pitch.",
    source="K. W. Gehrkens, Music Notation and Terminology (1914), sections 21, 24, 25; that a "
    "sign holds in its own octave only is common practice, no source",
    severity="error",
    about=WrongSign,
    say=say,
    parameters=NONE,
    mends="certain",
    find=find,
    mend=mend,
)
