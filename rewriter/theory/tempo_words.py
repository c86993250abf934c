"""Words of tempo, in Italian, German, French and English.

Which words are names of a tempo, which change it, and which may as well say how to play
(common practice, no source; the Italian ones are those of any table of musical terms).
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final, Literal

from rewriter.theory.expression_words import EITHER, EXPRESSIONS
from rewriter.theory.phrases import joined, phrases, pieces

TempoKind = Literal["tempo", "either", ""]
"""``either`` may be tempo or expression, by what stands around it; empty is no tempo."""

_NAME: Final = "name"
_CHANGE: Final = "change"
_EITHER: Final = "either"
_FILLER: Final = "filler"
_PLAYING: Final = "playing"

_KINDS: Final = {
    **EXPRESSIONS,
    **phrases(_FILLER, """
        a, ad, al, alla, ancora, assai, ben, brio, come, con, da, del, della, di, e, ed, fine,
        forza, fuoco, giusto, doppio, gut, il, in, la, le, lo, ma, meno, misura, molto,
        moltissimo, non, ordinario, piu, po, poco, pochissimo, pochetto, poco a poco,
        a poco a poco, possibile, prima, primo, quasi, rigore, sempre, senza, sopra, spirito,
        subito, tanto, troppo, tutta, un, una, volta, cresc, crescendo, decresc, decrescendo,
        dim, dimin, diminuendo, mf, mp, p, pp, ppp, f, ff, coda, finale, marcia, menuetto,
        minuetto, polacca, scherzo, trio, valse, valzer, walzer, aber, allmahlich, anfangs,
        doch, ein, etwas, ganz, im, immer, kaum, mehr, merklich, mit, nach, nach und nach,
        nicht, noch, sehr, und, viel, weniger, wenig, werden, werdend, wieder, ziemlich, zu,
        zum, assez, bien, de, de plus en plus, du, en, encore, et, mais, moins, pas, peu,
        peu a peu, plus, presque, que, sans, toujours, tres, trop, un peu, again, always, and,
        as, at, but, becoming, bit by bit, even, getting, gradually, less, little, more,
        more and more, much, not, of, quite, rather, slightly, somewhat, still, suddenly, the,
        then, to, too, very, with
        """),
    **EITHER,
    **phrases(_NAME, """
        largo, larghetto, larghissimo, lento, lentissimo, lentamente, adagio, adagietto,
        adagissimo, andante, andantino, moderato, allegretto, allegro, allegrissimo, vivace,
        vivacissimo, vivo, presto, prestissimo, veloce, tempo, alla breve, doppio movimento,
        langsam, schnell, rasch, lebhaft, massig, bewegt, gehend, geschwind, eilig, gemachlich,
        gemessen, lent, lentement, vif, vivement, vite, modere, moderement, rapide, rapidement,
        mouvement
        """),
    **phrases(_CHANGE, """
        rit, ritard, ritardando, riten, ritenuto, ritenendo, rall, rallent, rallentando,
        allarg, allargando, slent, slentando, slargando, slargandosi, lentando, trattenuto,
        trattenendo, accel, acceler, accelerando, accelerato, string, stringendo, stretto,
        affrett, affrettando, affrettato, incalzando, precipitando, precipitato, animando,
        calando, calmando, mosso, rubato, a tempo, in tempo, senza tempo, senza misura,
        tempo i, tempo primo, i tempo, l istesso tempo, istesso tempo, lo stesso tempo,
        medesimo tempo, tempo giusto, langsamer, schneller, rascher, lebhafter, bewegter,
        breiter, geschwinder, gemachlicher, zuruckhalten, zuruckhaltend, zogern, zogernd,
        drangen, drangend, vorwarts, eilen, eilend, schleppen, schleppend, beschleunigen,
        beschleunigend, verbreitern, verbreiternd, verlangsamen, verlangsamend, nachlassen,
        nachlassend, nachgeben, nachgebend, treibend, im tempo, im takt, im zeitmass, zeitmass,
        hauptzeitmass, haupttempo, wie zu anfang, wie vorher, wie am anfang, cedez, ceder,
        cedant, ralentir, ralentissez, ralenti, ralentissant, retenu, retenez, retenir,
        retenant, pressez, presser, pressant, serrez, serrer, serrant, accelerez, accelerer,
        accelerant, animez, animer, animant, elargir, elargissez, elargissant, au mouvement,
        mouvement du debut, au mouvt, mouvt, premier mouvement, meme mouvement,
        revenez au mouvement, slower, faster, quicker, broader, slow down, slowing,
        slowing down, speed up, speeding up, hold back, holding back, held back, hurrying,
        press on, pressing on, push on, pushing on, move on, moving on, broaden, broadening,
        quickening, in time, in strict time, at tempo, original tempo, first tempo, 1st tempo,
        same tempo, main tempo, double time, half time, slow, slowly, fast, quick, quickly,
        brisk, briskly, moderate, moderately
        """),
    **phrases(_PLAYING, """
        gestrichen, gezogen, bogen, strich, striche, archet, arco, pizz, pizzicato, vibrato,
        trem, tremolo, triller, trillo, trille
        """),
}  # fmt: skip
_NUMBERS: Final = frozenset(("1", "1er", "1o", "2", "i"))
_METRONOME: Final = re.compile(r"=\s*(?:c(?:a|irca)?\.?\s*)?\d+", re.IGNORECASE)


@lru_cache(maxsize=4096)
def tempo_kind(text: str) -> TempoKind:
    """Whether words over a staff are a tempo.

    A text is a tempo when it is made of known words and one of them names or changes a tempo;
    a heading that begins with the name of one is, whatever follows.

    Args:
        text: as it is printed; the words of one direction, with spaces between them.

    >>> tempo_kind("poco rit."), tempo_kind("Adagio, quasi una preghiera"), tempo_kind("dolce")
    ('tempo', 'tempo', '')
    >>> tempo_kind("molto tranquillo"), tempo_kind("Marco enters")
    ('either', '')
    """
    if _METRONOME.search(text):
        return "tempo"
    found = [
        (one.kind or (_FILLER if text[one.start : one.stop].casefold() in _NUMBERS else ""))
        for one in pieces(text, _KINDS)
    ]
    leading = next((kind for kind in found if kind != _FILLER), "")
    if "" not in found and _PLAYING not in found:
        if _NAME in found or _CHANGE in found:
            return "tempo"
        if leading == _EITHER and set(found) <= {_EITHER, _FILLER}:
            return "either"
    elif leading == _NAME and _PLAYING not in found and text.lstrip("([ ")[:1].isupper():
        return "tempo"
    return "tempo" if _KINDS.get(joined(text)) == _CHANGE else ""
