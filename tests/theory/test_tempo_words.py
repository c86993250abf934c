"""What a player of four languages reads as tempo, and what not (common practice, no source).

The longer headings and the sentences stand so in scores of music21's corpus.
"""

import pytest

from rewriter.theory.tempo_words import tempo_kind

TEMPO = """
    allarg. | rit. | poco rit. | ritard. | riten. | molto rit. | rit. molto | (rit.) | rall.
    rallent. | meno mosso | Più mosso | Piu mosso. | un poco più mosso | a tempo | A Tempo
    à tempo | in tempo | tempo primo | Tempo I | Tempo I. | Tempo I° | Tempo 1 | stringendo
    string. | string. il tempo. | poco a poco accel. | poco a poco rit. | accel. poco a poco
    rit. e dim. | cresc. ed accel. | calando | l'istesso tempo | L\u2019istesso tempo
    lo stesso tempo | slentando | affrettando | stretto | Allegro | Allegro con brio
    allegro assai | Adagio ma non troppo | Largo | Larghetto | Lento | Andante | Andantino
    Andante espressivo | Moderato | Vivace | Presto | Prestissimo | Adagietto
    Tempo di Menuetto | Sempre più allegro | Meno mosso e moderato | Doppio più lento | rubato
    Andante con moto quasi Allegretto. | Alla Marcia, assai vivace | Trio. Vivace.
    Molto Adagio | ral - len - tan - do | ri-tar-dan-do | accel. - - - | e = 30 | ♩ = ca. 72
    Allegro (♩ = 120) | Langsam | Sehr langsam | Nicht schnell | Mäßig bewegt | Mässig
    etwas langsamer | schneller | immer geschwinder | langsamer werdend | zurückhaltend
    drängend | im Tempo | im Zeitmaß | gut im Takt | wie zu Anfang | nicht schleppen
    Langsam und sehnsuchtsvoll | Lent | Très lent | Vif | Modéré | cédez | Cédez un peu
    un peu retenu | en retenant | pressez | au mouvement | 1er mouvement | Au mouvt
    en élargissant | plus lent | sans ralentir | serrez | Slow | Slowly | Moderately slow
    faster | a little slower | gradually slower | hold back a little | slowing down
    broadening | in time | original tempo | pressing on
"""
EITHER = """
    tranquillo | molto tranquillo | più tranquillo | con moto | animato | più animato
    sostenuto | Assai sostenuto | Grave | Maestoso | agitato | largamente | ruhig
    etwas gedehnt | breit | calme | calmly | broadly
"""
NEITHER = """
    dolce | con anima | espr. | cresc. | poco a poco cresc. | dim. | smorzando | morendo
    sempre pp | con fuoco | poco | sempre | molto | pizz. | arco | sul G | D.C. al Fine | Fine
    Solo | Menuetto | breit gestrichen | lang gestrichen | slow vibrato | Slow bow
    with the bow | Marco enters | The door opens | colla parte | Heiliger Dankgesang
    Laudamus te | tempestoso | Preston | ritornello | stringed instruments only | 1st string
    Slow, says the guard | the slow train leaves | moderator
"""


def each(text: str) -> list[str]:
    return [one.strip() for row in text.strip().splitlines() for one in row.split("|")]


@pytest.mark.parametrize("text", each(TEMPO))
def test_tempo(text: str) -> None:
    assert tempo_kind(text) == "tempo"


@pytest.mark.parametrize("text", each(EITHER))
def test_tempo_or_expression(text: str) -> None:
    assert tempo_kind(text) == "either"


@pytest.mark.parametrize("text", each(NEITHER))
def test_no_tempo(text: str) -> None:
    assert tempo_kind(text) == ""
