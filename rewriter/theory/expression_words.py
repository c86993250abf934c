"""Words of expression, in Italian, German, French and English.

They say how a stretch of music is to be played and hold until the next of them (common
practice, no source). Words for a single moment or for loudness are none of them.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

from rewriter.theory.phrases import phrases, pieces, plain

EXPRESSION: Final = "expression"
_MORE: Final = "more"
_OTHER: Final = "other"

EXPRESSIONS: Final = phrases(EXPRESSION, """
    dolce, dol, dolciss, dolcissimo, dolcemente, espr, espress, espressivo, espressivissimo,
    con espressione, con molta espressione, con anima, con sentimento, con molto sentimento,
    con passione, con grazia, con dolcezza, con tenerezza, con delicatezza, con dolore,
    con calore, con fuoco, con brio, con spirito, con forza, con tutta forza, con bravura,
    con energia, con slancio, con abbandono, con amore, con grandezza, con malinconia,
    con calma, cantabile, cantab, cantando, amabile, amoroso, affettuoso, appassionato, appass,
    ardente, brillante, delicato, delicatamente, deciso, dolente, doloroso, elegante, energico,
    eroico, fervente, festivo, giocoso, gioioso, giojoso, grandioso, grazioso, innocente,
    intenso, lontano, lagrimoso, lamentoso, leggiero, leggero, legg, leggierissimo,
    leggermente, lusingando, malinconico, marziale, mesto, misterioso, nobile, nobilmente,
    parlando, passionato, pastorale, patetico, piacevole, religioso, risoluto, rustico,
    scherzando, scherz, scherzoso, semplice, sempl, serioso, serio, sonoro, sognando, solenne,
    soave, spiritoso, teneramente, tenero, tristamente, triste, vigoroso, mezza voce, m v,
    sotto voce, sottovoce, a mezza voce, in rilievo, marcato il canto, il canto marcato,
    ben cantando, vibrato, sempre legato, sempre staccato, sempre stacc, sempre marcato,
    sempre marc, ausdrucksvoll, mit ausdruck, mit empfindung, mit innigster empfindung, zart,
    sehr zart, innig, weich, singend, gesangvoll, gesanglich, hervortretend, hervor, markig,
    kraftig, leicht, schlicht, einfach, geheimnisvoll, leidenschaftlich, klagend, warm, edel,
    anmutig, zierlich, sanft, lieblich, traurig, trub, feurig, wild, trotzig, expressif,
    tres expressif, avec expression, doux, douce, doucement, chantant, bien chante, en dehors,
    un peu en dehors, soutenu, tendre, tendrement, leger, legerement, gracieux, passionne,
    mysterieux, simple, simplement, avec charme, avec ame, avec sentiment, melancolique,
    energique, lointain, caressant, intime, expressive, expressively, with expression,
    with feeling, with warmth, warmly, sweetly, sweet, tenderly, tender, gently, gentle,
    singing, lightly, boldly, gracefully, simply, with longing, with passion, passionately,
    nobly, mysteriously, sadly, joyfully, playfully, distant, intimate
    """)  # fmt: skip
"""Phrase → its kind, without accents."""

EITHER: Final = phrases("either", """
    tranquillo, con moto, animato, sostenuto, grave, maestoso, agitato, comodo, commodo,
    largamente, alla marcia, a piacere, pesante, ruhig, ruhiger, breit, fliessend, fliessender,
    feierlich, getragen, gehalten, gedehnt, belebt, belebter, munter, frisch, anime, calme,
    large, largement, allant, mouvemente, calm, calmly, calmer, broad, broadly, flowing,
    animated, lively, steady, steadily, freely, solemn, solemnly, with motion, with movement
    """)  # fmt: skip
"""Words that say a tempo as well as an expression, likewise."""

_KINDS: Final = {
    **phrases(_MORE, """
        assai, molto, piu, poco, un poco, un po, sempre, e, ed, ma, con, non, troppo, quasi,
        meno, sehr, etwas, mit, immer, recht, und, tres, assez, plus, bien, toujours, peu, et,
        very, and, with, more
        """),
    **phrases(_OTHER, """
        p, pp, ppp, f, ff, fff, mp, mf, fp, sf, cresc, crescendo, decresc, decrescendo, dim,
        dimin, diminuendo, poco a poco, morendo, smorz, smorzando, perdendosi, legato,
        staccato, stacc, marcato, marc, ten, tenuto, simile, sim, pizz, pizzicato, arco, trem,
        tremolo, ord, con sord, con sordino, con sordini, senza sord, sul pont, sul tasto, div,
        unis, solo, tutti, sul g, sul d, sul a, sul e, sul c, rit, a tempo
        """),
    **EXPRESSIONS,
    **EITHER,
}  # fmt: skip
_SAID: Final = frozenset((EXPRESSION, "either"))
_JOINING: Final = frozenset(("e", "ed", "ma", "und", "et", "and", "con", "mit", "with"))


@lru_cache(maxsize=4096)
def expression_in(text: str) -> str:
    """The words of expression in a text, as they are printed; empty for none.

    >>> expression_in("p molto espr."), expression_in("sempre pp"), expression_in("Con anima")
    ('molto espr.', '', 'Con anima')
    >>> expression_in("dim. e dolce"), expression_in("The singer enters")
    ('dolce', '')
    """
    found = list(pieces(text, _KINDS))
    said = [at for at, one in enumerate(found) if one.kind in _SAID]
    if not said or any(not one.kind for one in found):
        return ""
    first, last = said[0], said[0]
    while first and found[first - 1].kind == _MORE:
        first -= 1
    while plain(text[found[first].start : found[first].stop]) in _JOINING:
        first += 1
    while any(last < at for at in said) and found[last + 1].kind in {_MORE, *_SAID}:
        last += 1
    end = found[max(at for at in said if at <= last)].stop
    return text[found[first].start : end] + ("." if text[end : end + 1] == "." else "")
