"""Where a string may be touched for a harmonic, and what sounds there.

Touched at a node, a string sounds one of its partials: at the octave the second, at the fifth
the third, at the fourth the fourth, and so on (acoustics; places in equal temperament).
"""

from __future__ import annotations

from typing import Final

PARTIALS: Final = frozenset((12, 19, 24, 28, 31, 36))
"""Semitones of the partials 2 to 6 and 8 above their string."""

NODES: Final = frozenset((3, 4, 5, 7, 9, 12, 16, 19, 24, 28, 31, 36))
"""Semitones above the string where one of these partials may be touched; every partial can be,
at its own sounding pitch."""
