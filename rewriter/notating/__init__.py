"""How a part looks: clefs, accidentals, rests, words, the score as a whole."""
